"""What a golfer's past change was made of, draw by draw: parts that sum to the whole."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.diary import Diary, days_since_epoch
from paryield.errors import InputError
from paryield.forecast.credit import practice_credit
from paryield.forecast.past import (
    PARTS,
    beside_practice,
    by_part,
    club_diary,
    golfer_hours,
    golfer_past,
    past_days,
    term_columns,
)
from paryield.model.population import of_fit
from paryield.model.terms import COURSE, TERMS
from paryield.posterior import Posterior
from paryield.scoring import differentials
from paryield.tables import Tables

FLOATS = npt.NDArray[np.float64]
INTS = npt.NDArray[np.int64]


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
    moved : dict of array, shape (C,)
        Change of what each term weighs, by its name: over the period, and for terms of rounds between rounds.
    """

    level: Change
    rounds: Change | None
    before: int
    after: int
    observed: float
    filled_days: int
    moved: dict[str, FLOATS] = field(default_factory=dict)


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
    ends = past_days(posterior, tables, golfer_id, np.array([since, until]))
    moved = {name: one[:, 1] - one[:, 0] for name, one in term_columns(posterior, ends, False).items()}
    if not after or not before:
        return SplitDraws(level, None, before, after, float("nan"), filled, moved)
    weight = np.where(late, 1.0 / after, -1.0 / before)
    observed = float(weight @ played["differential"].to_numpy(float))
    parts = {name: beside[name][:, 2:] @ weight for name in PARTS}
    at = past_days(posterior, tables, golfer_id, played["day"].to_numpy(), played)
    columns = term_columns(posterior, at, True)
    moved |= {name: one @ weight for name, one in columns.items()}
    his = posterior.of(golfer_id)
    of_rounds = by_part(his, columns, dict.fromkeys(term.part for term in TERMS if term.of_rounds))
    parts |= {name: strokes @ weight for name, strokes in of_rounds.items()}
    parts["course"] = parts["course"] + _courses(his, played) @ weight
    practice = np.einsum("stj,t->sj", credit[:, 2:], weight)
    explained = practice.sum(axis=1) + sum(parts.values())
    parts["luck"] = observed - explained
    return SplitDraws(level, Change(practice, parts), before, after, observed, filled, moved)


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
    """Rounds of the period and of an equal time before it: day, differential and the columns of rounds."""
    rounds = differentials(tables, golfer=golfer_id).dropna(subset="differential")
    cards = tables.rounds[tables.rounds["golfer_id"] == golfer_id]
    keys = ["golfer_id", "played_on", "round_no"]
    also = [name for name in cards.columns if name not in rounds.columns]
    rounds = rounds.merge(cards[[*keys, *also]], on=keys, how="left")
    day = days_since_epoch(rounds["played_on"])
    start = int(posterior.constant("starts")[posterior.golfer_number(golfer_id)])
    inside = (day > since - (until - since)) & (day <= until) & (day >= start)
    return rounds.assign(day=day)[inside].reset_index(drop=True)


def _courses(posterior: Posterior, played: pd.DataFrame) -> FLOATS:
    """What the course added to each round, shape (S, R)."""
    names = [str(name) for name in posterior.tree["posterior"]["course_effect"].coords["course"].to_numpy()]
    known_course = pd.Index(names).get_indexer(pd.Index(played["course"].fillna("")))
    one_hot = (known_course[None, :] == np.arange(len(names))[:, None]).astype(float)
    strokes: FLOATS = COURSE.strokes(of_fit(posterior, ["course_effect"]), one_hot, np)
    return strokes
