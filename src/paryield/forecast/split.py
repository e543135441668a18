"""What a golfer's past change was made of, draw by draw: parts that sum to the whole."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.diary import Diary, days_since_epoch
from paryield.dose.exposure import Share, form_on_joining, of_programmes, total_exposure
from paryield.errors import InputError
from paryield.forecast.credit import practice_credit
from paryield.forecast.past import beside_practice, club_diary, golfer_hours, golfer_past
from paryield.posterior import Posterior
from paryield.scoring import differentials
from paryield.tables import Tables

FLOATS = npt.NDArray[np.float64]
INTS = npt.NDArray[np.int64]
PARTS = ("background", "season", "form", "joining", "programme")
"""Parts of the mean differential beside practice, in the order of the answer."""


@dataclass(frozen=True)
class Change:
    """A change and what it was made of.

    Parameters
    ----------
    practice : array, shape (S, J)
        Strokes by category of the fit, negative where scores fell.
    parts : dict of array, shape (S,)
        The other parts; ``course`` and ``luck`` only for rounds that were played.
    """

    practice: FLOATS
    parts: dict[str, FLOATS]

    @property
    def whole(self) -> FLOATS:
        """The change itself, shape (S,): the sum of its parts."""
        total: FLOATS = self.practice.sum(axis=1) + sum(self.parts.values())
        return total


@dataclass(frozen=True)
class SplitDraws:
    """Draws of one golfer's split.

    Parameters
    ----------
    level : Change
        Of the mean differential, from one day to the other.
    rounds : Change or None
        Of the average score differential: rounds of the period against those of an equal time before it;
        None where either has no round.
    before, after : int
        Rounds in each.
    observed : float
        Average of the rounds after minus that before, strokes; NaN without.
    filled_days : int
        Days of the period whose practice was filled in from the golfer's habit.
    exposed : float
        Share of a programme received in the period, all programmes added up.
    spell : float
        Change in the share of form on joining programmes, all programmes added up.
    """

    level: Change
    rounds: Change | None
    before: int
    after: int
    observed: float
    filled_days: int
    exposed: float = 0.0
    spell: float = 0.0


def split_draws(
    posterior: Posterior,
    tables: Tables,
    golfer_id: str,
    since: int,
    until: int,
    diary: Diary | None = None,
) -> SplitDraws:
    """Split a golfer's change between two days.

    Parameters
    ----------
    posterior : Posterior
    tables : Tables
    golfer_id : str
    since, until : int
        Days since 1970-01-01, within the golfer's record.
    diary : Diary, optional
        The club's diary where it was read already.

    Raises
    ------
    InputError
        When a day lies outside the golfer's record or the period is empty.
    """
    _inside(posterior, golfer_id, since, until)
    practised = golfer_hours(posterior, diary or club_diary(posterior, tables), golfer_id)
    played = _played(posterior, tables, golfer_id, since, until)
    days = np.concatenate([[since, until], played["day"].to_numpy()]).astype(np.int64)
    past = golfer_past(posterior, golfer_id, practised, days)
    credit = practice_credit(past, 0)
    beside = beside_practice(posterior, tables, golfer_id, past)
    level = Change(credit[:, 1], {name: beside[name][:, 1] - beside[name][:, 0] for name in PARTS})
    late = played["day"].to_numpy() > since
    after, before = int(late.sum()), int((~late).sum())
    inside = slice(since + 1 - practised.first_day, until + 1 - practised.first_day)
    filled = int(np.sum(~practised.known[inside]))
    shares = [
        _share_between(posterior, tables, golfer_id, [since, until], share)
        for share in (total_exposure, form_on_joining)
    ]
    if not after or not before:
        return SplitDraws(level, None, before, after, float("nan"), filled, *shares)
    weight = np.where(late, 1.0 / after, -1.0 / before)
    observed = float(weight @ played["differential"].to_numpy(float))
    parts = {name: beside[name][:, 2:] @ weight for name in PARTS}
    parts["course"] = _courses(posterior.of(golfer_id), played) @ weight
    practice = np.einsum("stj,t->sj", credit[:, 2:], weight)
    explained = practice.sum(axis=1) + sum(parts.values())
    parts["luck"] = observed - explained
    return SplitDraws(level, Change(practice, parts), before, after, observed, filled, *shares)


def _share_between(
    posterior: Posterior, tables: Tables, golfer_id: str, ends: list[int], share: Share
) -> float:
    """Change of a share of programmes from one day to the other, all programmes added up."""
    _, held = of_programmes(tables.programmes, [golfer_id] * 2, ends, posterior.as_of, share)
    return float((held[1] - held[0]).sum())


def _inside(posterior: Posterior, golfer_id: str, since: int, until: int) -> None:
    start = int(posterior.constant("starts")[posterior.golfer_number(golfer_id)])
    first, last = (np.datetime64(day, "D") for day in (start, posterior.as_of))
    for option, day in (("--from", since), ("--to", until)):
        if not start <= day <= posterior.as_of:
            raise InputError(
                f"{np.datetime64(day, 'D')} is outside the record of {golfer_id}",
                where=option,
                remedy=f"use a date from {first} to {last}",
            )
    if since >= until:
        raise InputError(
            f"the period from {np.datetime64(since, 'D')} to {np.datetime64(until, 'D')} is empty",
            where="--from",
            remedy="give an earlier --from or a later --to",
        )


def _played(posterior: Posterior, tables: Tables, golfer_id: str, since: int, until: int) -> pd.DataFrame:
    """Rounds of the period and of an equal time before it: day, differential, course, competition."""
    rounds = differentials(tables, golfer=golfer_id).dropna(subset="differential")
    cards = tables.rounds[tables.rounds["golfer_id"] == golfer_id]
    keys = ["golfer_id", "played_on", "round_no"]
    rounds = rounds.merge(cards[[*keys, "competition"]], on=keys, how="left")
    day = days_since_epoch(rounds["played_on"])
    start = int(posterior.constant("starts")[posterior.golfer_number(golfer_id)])
    inside = (day > since - (until - since)) & (day <= until) & (day >= start)
    return rounds.assign(day=day)[inside].reset_index(drop=True)


def _courses(posterior: Posterior, played: pd.DataFrame) -> FLOATS:
    """What the course, and a competition, added to each round, shape (S, R)."""
    names = [str(name) for name in posterior.tree["posterior"]["course_effect"].coords["course"].to_numpy()]
    effect = posterior.draws("course_effect")
    out = np.zeros((posterior.samples, len(played)))
    for place, name in enumerate(played["course"]):
        if not pd.isna(name) and str(name) in names:
            out[:, place] = effect[:, names.index(str(name))]
    competed = played["competition"].fillna(False).to_numpy(dtype=float)
    return out + np.outer(posterior.draws("competition"), competed)
