"""What a golfer's change is made of, in parts that sum to the whole: the past one, and the one ahead.

Categories act together, because each closes a share of the gap that the others left. Along the straight
line from the first state to the second every small step belongs to one category; summed up, the shares are
exact and do not depend on an order (Aumann & Shapley 1974, Values of Non-Atomic Games; for products of
factors the same as the logarithmic mean Divisia index, Ang 2004, Energy Policy 32:1131; both from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.dose.diary import Diary, days_since_epoch
from paryield.dose.stock import HOURS_UNIT, bend_slope, bent
from paryield.errors import InputError
from paryield.forecast.outlook import GolferDraws, columns_ahead, lost_ahead, shared_path
from paryield.forecast.past import (
    PARTS,
    Past,
    beside_practice,
    by_part,
    club_diary,
    golfer_hours,
    golfer_past,
    past_days,
    term_columns,
)
from paryield.model.population import of_fit
from paryield.model.terms import COURSE, TERMS, shared_strokes
from paryield.posterior import Posterior
from paryield.scoring import differentials
from paryield.tables import Tables

POINTS, WEIGHTS = np.polynomial.legendre.leggauss(5)

SHARED = tuple(dict.fromkeys(term.part for term in TERMS if term.part != "form"))
"""Parts that the terms of the model add, but what of a spell is form."""

ALWAYS = ("season", "practice", "background", "form")
"""Parts that are named even where they are nothing."""

SHOWN = ("q10", "q50", "q90")


def practice_credit(past: Past, reference: int) -> FLOATS:
    """Change of strokes lost that each category made since a reference day.

    Parameters
    ----------
    past : Past
    reference : int
        Place of the reference day among ``past.days``.

    Returns
    -------
    array, shape (S, T, J)
        Strokes, negative where scores fell; over categories they sum to the change of
        :func:`paryield.forecast.outlook.practised`.
    """
    golfer = past.golfer
    rates = golfer.rate_area / HOURS_UNIT
    begun = bend_slope(golfer.start, golfer.bend_hours) * golfer.steady
    done = bent(past.stock, golfer.bend_hours) - bent(golfer.start, golfer.bend_hours)[:, None, :]
    turn = past.extra * bend_slope(past.stock, golfer.bend_hours) - begun[:, None, :]
    closed, turned = done @ rates, turn @ rates
    # Written out over all days once: operations that repeat four areas at a time are slow.
    gap, extra, first_closed, first_turned = (
        np.ascontiguousarray(np.broadcast_to(value, closed.shape))
        for value in (
            (golfer.level - golfer.floor + golfer.response[:, None] * golfer.gap)[:, None, :],
            (golfer.start_extra[:, None] * golfer.gap)[:, None, :],
            closed[:, [reference]],
            turned[:, [reference]],
        )
    )
    by_done, by_turn = np.zeros_like(closed), np.zeros_like(closed)
    closing, turning = closed - first_closed, turned - first_turned
    for point, weight in zip((POINTS + 1.0) / 2.0, WEIGHTS / 2.0, strict=True):
        left = weight * np.exp(-(first_closed + point * closing))
        by_done -= left * (gap - extra * (first_turned + point * turning))
        by_turn -= left * extra
    step, twist = done - done[:, [reference]], turn - turn[:, [reference]]
    back = rates.transpose(0, 2, 1)
    credit: FLOATS = step * (by_done @ back) + twist * (by_turn @ back)
    return credit


def change_ahead(golfer: GolferDraws, days: FLOATS, hours: FLOATS, mean: FLOATS) -> dict[str, FLOATS]:
    """Split the change of the mean differential from the last day of the data to days ahead.

    Parameters
    ----------
    golfer : GolferDraws
    days : array, shape (H,)
        Days after the as-of day.
    hours : array, shape (J,)
        Weekly hours by category.
    mean : array, shape (S, H)
        Mean differential on those days, as forecast.

    Returns
    -------
    dict of array, shape (S, H)
        Strokes by part, positive where scores rise; they sum to the change. ``form`` is what is left when
        today's form fades and new form and drift come; ``programme`` is form on joining one that fades.
    """
    both = np.concatenate([[0.0], days])
    lost = lost_ahead(golfer, both, hours)
    paths = {"practice": lost}
    columns, shared = columns_ahead(golfer, both), shared_path(golfer, both)
    for part in SHARED:
        mine = {term.name: columns[term.name] for term in TERMS if term.part == part and term.name in columns}
        paths[part] = shared_strokes(golfer.population, mine) + np.zeros(shared.shape)
    paths["programme"] = shared - sum(paths[part] for part in SHARED if part != "programme")
    parts = {name: path[:, 1:] - path[:, :1] for name, path in paths.items()}
    steady = lost + shared + golfer.drift.sum(axis=1)[:, None] * golfer.drift_now
    parts["form"] = mean - steady[:, 1:] - golfer.form[:, None]
    return parts


def because_records(parts: dict[str, FLOATS], place: int) -> list[dict[str, Any]]:
    """Records of the parts on one of the days: part, mean and the 8-in-10 range, the largest first."""
    found = []
    for name, draws in parts.items():
        sample = draws[:, place]
        if name in ALWAYS or np.abs(sample).max() > 1e-9:
            low, middle, high = map(float, np.quantile(sample, [0.1, 0.5, 0.9]))
            values = dict(zip(SHOWN, (low, middle, high), strict=True))
            found.append({"part": name, "mean": float(sample.mean()), **values})
    return sorted(found, key=lambda one: -abs(one["mean"]))


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
