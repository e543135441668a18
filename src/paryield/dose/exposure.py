"""Who took part in a programme, and how much of it had been received by a day.

Exposure rises in a straight line from the start to the planned end and then stays: a member who finishes
reaches 1, one who leaves keeps the share received. Length and shape are assumed, not learnt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.days import EPOCH

USUAL_DAYS = 112
"""Length of a programme of which no member has finished yet: 16 weeks (common practice, no source)."""
COMPLETED, LEFT, RUNNING = "completed", "left", "running"


Share = Callable[[Iterable["Enrolment"], str, npt.ArrayLike], FLOATS]
"""From a golfer's enrolments, a programme and days to a share of it by day."""
FORM_SHARE, FORM_DAYS, SPELL_ROUNDS, SPELL_DAYS = 0.23, 60.0, 5, 120
"""Of a bad spell of five rounds, on which members join, about this share is form, which comes and goes in
this many days; the rest is luck: form of 0.8 strokes against five rounds of 3.3, 0.64 / (0.64 + 10.9 / 5)
[C from spreads that are judgement]."""


@dataclass(frozen=True)
class Enrolment:
    """One golfer in one programme; days since 1970-01-01.

    Parameters
    ----------
    golfer_id, programme : str
    start : int
    planned_end : int
        Day of full exposure.
    stopped : int
        Day from which exposure no longer rises: the planned end, or the day of leaving.
    outcome : {"completed", "left", "running"}
    dated : bool
        False where a member left on a day that was not written down; half way is assumed.
    """

    golfer_id: str
    programme: str
    start: int
    planned_end: int
    stopped: int
    outcome: str
    dated: bool = True

    def __post_init__(self) -> None:
        if self.planned_end <= self.start or not self.start <= self.stopped <= self.planned_end:
            raise ValueError(f"a programme must end after it starts: {self}")

    def exposure(self, days: npt.ArrayLike) -> FLOATS:
        """Share of the programme received by each day, 0 to 1, shape of ``days``."""
        until = np.minimum(np.asarray(days, dtype=float), float(self.stopped))
        share: FLOATS = np.clip((until - self.start) / (self.planned_end - self.start), 0.0, 1.0)
        return share


def enrolments(programmes: pd.DataFrame, as_of: int) -> tuple[Enrolment, ...]:
    """Read the programmes table.

    A blank outcome is completed where an end on or before the as-of day is given, else running. The planned
    length of one who left is that of those who finished the same programme (median), else
    :data:`USUAL_DAYS`. Members who start after the as-of day are left out.

    Parameters
    ----------
    programmes : DataFrame
        The programmes table.
    as_of : int
        Last day of the data, in days since 1970-01-01.

    Returns
    -------
    tuple of Enrolment
        By programme, start and golfer.
    """
    rows = [_row(row) for row in programmes.to_dict("records")]
    lengths: dict[str, list[int]] = {}
    for row in rows:
        if row["end"] is not None and row["outcome"] != LEFT:
            lengths.setdefault(row["programme"], []).append(row["end"] - row["start"])
    usual = {name: max(int(np.median(days)), 1) for name, days in lengths.items()}
    found = [_enrolment(row, usual.get(row["programme"], USUAL_DAYS), as_of) for row in rows]
    begun = [one for one in found if one.start <= as_of]
    return tuple(sorted(begun, key=lambda one: (one.programme, one.start, one.golfer_id)))


def _row(row: dict[Any, Any]) -> dict[str, Any]:
    def day(value: Any) -> int | None:
        return None if pd.isna(value) else (pd.Timestamp(value) - pd.Timestamp(EPOCH)).days

    outcome = None if pd.isna(row["outcome"]) else str(row["outcome"])
    names = {"golfer_id": str(row["golfer_id"]), "programme": str(row["programme"])}
    return {**names, "start": day(row["started_on"]), "end": day(row["ended_on"]), "outcome": outcome}


def _enrolment(row: dict[str, Any], usual: int, as_of: int) -> Enrolment:
    start, end, outcome = row["start"], row["end"], row["outcome"]
    if outcome == LEFT:
        planned = start + max(usual, 1 if end is None else end - start, 1)
        stopped = start + (planned - start) // 2 if end is None else end
        return Enrolment(row["golfer_id"], row["programme"], start, planned, stopped, LEFT, end is not None)
    planned = max(start + usual if end is None else end, start + 1)
    done = planned <= as_of and (end is not None or outcome == COMPLETED)
    outcome = COMPLETED if done else RUNNING
    return Enrolment(row["golfer_id"], row["programme"], start, planned, planned, outcome)


def total_exposure(members: Iterable[Enrolment], programme: str, days: npt.ArrayLike) -> FLOATS:
    """Exposure of one golfer to one programme, all his enrolments in it added up, shape of ``days``."""
    at = np.asarray(days, dtype=float)
    return sum((one.exposure(at) for one in members if one.programme == programme), np.zeros(at.shape))


def form_on_joining(members: Iterable[Enrolment], programme: str, days: npt.ArrayLike) -> FLOATS:
    """Share of the bad spell before joining that is form, by day, shape of ``days``: fades to both sides."""
    at = np.asarray(days, dtype=float)
    starts = [one.start for one in members if one.programme == programme]
    shares = [FORM_SHARE * form_left(np.abs(at - start)) for start in starts]
    return np.max([np.zeros(at.shape), *shares], axis=0)


def form_left(days: npt.ArrayLike) -> FLOATS:
    """What is left of form on joining so many days from it, shape of ``days``."""
    left: FLOATS = np.exp(-np.asarray(days, dtype=float) / FORM_DAYS)
    return left


def spell_of_rounds(members: Iterable[Enrolment], programme: str, days: npt.ArrayLike) -> FLOATS:
    """Share of the bad spell in each of a golfer's rounds, in the order of play, shape of ``days``.

    The last five before joining hold all of it, luck included, because joining hangs on their sum; what is
    form goes on afterwards.
    """
    at = np.asarray(days, dtype=float)
    out = np.zeros(at.shape)
    for one in members:
        if one.programme == programme:
            out = np.maximum(out, form_on_joining([one], programme, at) * (at >= one.start))
            before = np.flatnonzero((at < one.start) & (at >= one.start - SPELL_DAYS))
            out[before[-SPELL_ROUNDS:]] = 1.0
    return out


def of_programmes(
    programmes: pd.DataFrame, golfers: npt.ArrayLike, days: npt.ArrayLike, as_of: int, share: Share
) -> tuple[tuple[str, ...], FLOATS]:
    """Names of the programmes, and a share of each by golfer and day, shape (days, programmes).

    Parameters
    ----------
    programmes : DataFrame
        The programmes table.
    golfers, days : array_like, shape (days,)
        Who, and when (days since 1970-01-01), in the order of play.
    as_of : int
    share : callable
        :func:`total_exposure`, :func:`form_on_joining` or :func:`spell_of_rounds`.
    """
    members = enrolments(programmes, as_of)
    names = tuple(sorted({one.programme for one in members}))
    who, when = np.asarray(golfers, dtype=object), np.asarray(days)
    out = np.zeros((len(when), len(names)))
    for golfer in sorted({one.golfer_id for one in members}):
        mine = who == golfer
        own = [one for one in members if one.golfer_id == golfer]
        for place, name in enumerate(names):
            out[mine, place] = share(own, name, when[mine])
    return names, out
