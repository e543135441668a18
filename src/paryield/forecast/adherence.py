"""How much of a plan a golfer usually does, learnt from past plans, and what a plan as usually done gives.

Hours done in a planned category are counts of short sessions: ``done / u ~ Poisson(a b planned / u)`` with a
golfer's share ``a ~ Gamma(mean m)``, his leaning to a category ``b ~ Gamma(mean 1)`` and a session ``u`` that
makes the spread of weeks right. ``b`` integrates out in closed form (negative binomial, Greenwood & Yule
1920, from memory), ``a`` and the club's values are summed over a grid.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.dose.diary import DAYS_PER_WEEK, Diary, days_since_epoch
from paryield.forecast.habits import habit_hours, weekly_minutes
from paryield.forecast.past import club_diary
from paryield.posterior import Posterior
from paryield.results import summary
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR

LEAST_WEEKS = 4.0
"""Golfer-weeks of plans that a diary must cover before anything is learnt. [judgement]"""
CLUB_SHARE, CLUB_LOG_SD = 0.7, 0.4
"""Share of a plan that is usually done, before any plan is seen, and its spread. [judgement]"""
SPREADS = (0.15, 0.25, 0.4, 0.6, 0.9)
"""Relative spread between golfers, and of one golfer between categories, each as likely as the other."""
SESSION_HOURS, SESSION_WEIGHT = 0.5, 10.0
"""Prior for the session that makes weeks spread, in hours, and the weeks it counts for. [judgement]"""
EXTRA_SHARE, EXTRA_WEEKS = 0.5, 8.0
"""Share of his habit that a golfer keeps up beside a plan that leaves it out, and the weeks it counts for.
[judgement]"""
SHARES: FLOATS = np.exp(np.linspace(np.log(0.02), np.log(3.0), 90))

NOT_LEARNT = (
    "what golfers of this club usually do of a plan is not known yet: the diary covers fewer than 4 weeks "
    "under a plan"
)


@dataclass(frozen=True)
class PlanRecord:
    """What was planned and what was done on days that the diary knows.

    Parameters
    ----------
    planned, done : arrays, shape (golfer, category)
        Hours in the categories of the plan that was running.
    weeks : array, shape (golfer,)
        Weeks under a plan that the diary knows.
    beside, usual : arrays, shape (golfer,)
        Hours in categories that the running plan left out: done, and what the golfer's habit holds.
    session : float
        Hours that count as one event, so that weeks spread as they do.
    """

    planned: FLOATS
    done: FLOATS
    weeks: FLOATS
    beside: FLOATS
    usual: FLOATS
    session: float


@dataclass(frozen=True)
class Adherence:
    """Draws of the share of a plan that each golfer does.

    Parameters
    ----------
    share : array, shape (S, golfer, category)
        Hours done over hours planned.
    beside : array, shape (S, golfer)
        Share of his habit that the golfer keeps up in categories that a plan leaves out.
    club : array, shape (S,)
        The club's mean share.
    weeks : array, shape (golfer,)
        Weeks under a plan that it was learnt from.
    """

    share: FLOATS
    beside: FLOATS
    club: FLOATS
    weeks: FLOATS


def plan_record(tables: Tables, diary: Diary, categories: list[str]) -> PlanRecord:
    """Add up plans and diary over the days that both cover.

    Parameters
    ----------
    tables : Tables
    diary : Diary
    categories : list of str
        Order of the category axis.
    """
    shape = (len(diary.golfers), diary.hours.shape[1], len(categories))
    hours, planned = np.zeros(shape), planned_by_day(tables, diary, categories)
    for place, category in enumerate(diary.categories):
        if category.name in categories:
            hours[:, :, categories.index(category.name)] = diary.hours[:, :, place]
    running = (planned > 0).any(axis=2) & diary.known
    inside = (planned > 0) & running[:, :, None]
    outside = ~(planned > 0) & running[:, :, None]
    habit = np.zeros((len(diary.golfers), len(categories)))
    for place, category in enumerate(diary.categories):
        if category.name in categories:
            habit[:, categories.index(category.name)] = diary.habit[:, place] / DAYS_PER_WEEK
    return PlanRecord(
        planned=(planned * inside).sum(axis=1),
        done=(hours * inside).sum(axis=1),
        weeks=running.sum(axis=1) / DAYS_PER_WEEK,
        beside=(hours * outside).sum(axis=(1, 2)),
        usual=(outside * habit[:, None, :]).sum(axis=(1, 2)),
        session=_session(hours * inside, planned * inside),
    )


def planned_by_day(tables: Tables, diary: Diary, categories: list[str]) -> FLOATS:
    """Hours planned on each day of the diary, even over a week, shape (golfer, day, category).

    Of several plans of a golfer on one day the one begun last counts, as in his week (see
    :func:`paryield.plan.saved.running_plan`); of those begun and ending together the first by name.
    """
    planned = np.zeros((len(diary.golfers), diary.hours.shape[1], len(categories)))
    plans = tables.plans[tables.plans["golfer_id"].isin(diary.golfers)]
    if plans.empty:
        return planned
    starts = days_since_epoch(plans["starts_on"]) - diary.first_day
    ends = days_since_epoch(plans["ends_on"].fillna(pd.Timestamp("2200-01-01"))) - diary.first_day + 1
    whose = plans.assign(start=starts, end=ends).groupby(["golfer_id", "plan"], dropna=False, sort=False)
    by_name = sorted(whose, key=lambda pair: str(pair[0][1]), reverse=True)
    ordered = sorted((one for _, one in by_name), key=lambda one: (one["start"].min(), one["end"].max()))
    for plan in ordered:
        own = np.zeros(planned.shape[1:])
        for row in plan.to_dict("records"):
            name = str(row["category"])
            minutes = weekly_minutes(tables, name, row["minutes_per_week"], row["reps_per_week"])
            if name in categories and minutes is not None and row["end"] > 0:
                daily = minutes / MINUTES_PER_HOUR / DAYS_PER_WEEK
                own[max(int(row["start"]), 0) : int(row["end"]), categories.index(name)] += daily
        days = own.any(axis=1)
        planned[diary.golfers.index(str(plan["golfer_id"].iloc[0])), days] = own[days]
    return planned


def _session(done: FLOATS, planned: FLOATS) -> float:
    """Variance over mean of weekly hours in a planned category, hours (a quasi-Poisson dispersion)."""
    weeks = done.shape[1] // DAYS_PER_WEEK
    if weeks < 1:
        return SESSION_HOURS
    cut = (done.shape[0], weeks, DAYS_PER_WEEK, done.shape[2])
    by_week = done[:, -weeks * DAYS_PER_WEEK :].reshape(cut).sum(axis=2)
    due = (planned[:, -weeks * DAYS_PER_WEEK :].reshape(cut) > 0).all(axis=2)
    count = due.sum(axis=1)
    mean = (by_week * due).sum(axis=1) / np.maximum(count, 1)
    enough = (count >= 3) & (mean > 0)
    squares = (((by_week - mean[:, None]) ** 2) * due).sum(axis=1)
    free = np.where(enough, count - 1.0, 0.0)
    ratio = np.divide(squares, mean, out=np.zeros_like(mean), where=enough)
    total = SESSION_WEIGHT * SESSION_HOURS + float(ratio[enough].sum())
    return total / (SESSION_WEIGHT + float(free.sum()))


def learn_adherence(
    record: PlanRecord, samples: int, seed: int, only: tuple[int, ...] | None = None
) -> Adherence | None:
    """Draw every golfer's share of a plan, or None when too few plans were lived through.

    Parameters
    ----------
    record : PlanRecord
    samples : int
        Number of draws.
    seed : int
    only : tuple of int, optional
        Places of the golfers to draw; the shares of the others are NaN.
    """
    if float(record.weeks.sum()) < LEAST_WEEKS:
        return None
    done, planned = record.done / record.session, record.planned / record.session
    club, between, before = club_grid()
    likely = [np.exp(lean_likelihood(own, due)) for own, due in zip(done, planned, strict=True)]
    law = np.exp(share_law(club, between))
    chance = club_chance(likely, law, before)
    rng = np.random.default_rng([seed, 8])
    at = rng.choice(chance.size, size=samples, p=chance.ravel())
    row, lean = np.divmod(at, len(SPREADS))
    share = np.full((samples, *done.shape), np.nan)
    beside = np.full((samples, len(done)), np.nan)
    for golfer in range(len(done)) if only is None else only:
        rng = np.random.default_rng([seed, 8, golfer + 1])  # a trailing 0 would repeat the stream above
        own = _draw_share(law[row] * likely[golfer][lean], rng)
        weight = 1.0 / np.array(SPREADS)[lean, None] ** 2
        rate = weight + own[:, None] * planned[golfer]
        share[:, golfer] = own[:, None] * rng.gamma(weight + done[golfer], 1.0 / rate)
        beside[:, golfer] = _draw_beside(record, golfer, samples, rng)
    return Adherence(share, beside, club[row], record.weeks)


def club_grid() -> tuple[FLOATS, FLOATS, FLOATS]:
    """Club's mean share, spread between golfers and chance beforehand, each combination, shape (C,)."""
    z = np.linspace(-3.0, 3.0, 25)
    means = np.exp(np.log(CLUB_SHARE) + CLUB_LOG_SD * z)
    club, between = (grid.ravel() for grid in np.meshgrid(means, np.array(SPREADS), indexing="ij"))
    before = np.repeat(np.exp(-0.5 * z**2), len(SPREADS))
    return club, between, before / before.sum()


def share_law(club: FLOATS, between: FLOATS) -> FLOATS:
    """Log density by log share of a golfer's share on the grid, for each club, shape (C, A)."""
    from scipy.special import gammaln

    shape = 1.0 / between[:, None] ** 2
    rate = shape / club[:, None]
    law: FLOATS = shape * np.log(rate * SHARES) - gammaln(shape) - rate * SHARES
    return law


def lean_likelihood(done: FLOATS, planned: FLOATS) -> FLOATS:
    """Log likelihood of one golfer's sessions by spread between categories and own share, shape (W, A).

    Parameters
    ----------
    done, planned : arrays, shape (category,)
        In sessions; a category without a plan does not speak.
    """
    from scipy.special import gammaln

    total = np.zeros((len(SPREADS), len(SHARES)))
    lean = 1.0 / np.array(SPREADS)[:, None] ** 2
    for count, due in zip(done, planned, strict=True):
        if due > 0:
            mean = SHARES[None, :] * due
            total += gammaln(lean + count) - gammaln(lean) - gammaln(count + 1.0)
            total += lean * np.log(lean) + count * np.log(mean) - (lean + count) * np.log(lean + mean)
    return total


def club_chance(likely: list[FLOATS], law: FLOATS, before: FLOATS) -> FLOATS:
    """Chance of each club and spread between categories after all golfers, shape (C, W)."""
    total = np.log(before)[:, None] + np.zeros(len(SPREADS))
    for one in likely:
        total = total + np.log(law @ one.T)
    chance = np.exp(total - total.max())
    return np.asarray(chance / chance.sum())


def _draw_share(chance: FLOATS, rng: np.random.Generator) -> FLOATS:
    """One share from each row of chances on the grid, even within a step."""
    below = chance.cumsum(axis=1) / chance.sum(axis=1, keepdims=True) < rng.random((len(chance), 1))
    step = np.log(SHARES[1] / SHARES[0]) * (rng.random(len(chance)) - 0.5)
    drawn: FLOATS = SHARES[np.minimum(below.sum(axis=1), len(SHARES) - 1)] * np.exp(step)
    return drawn


def _draw_beside(record: PlanRecord, golfer: int, samples: int, rng: np.random.Generator) -> FLOATS:
    weeks, usual = float(record.weeks[golfer]), float(record.usual[golfer])
    known = EXTRA_WEEKS * (usual / weeks if weeks > 0 and usual > 0 else 1.0) / record.session
    shape = EXTRA_SHARE * known + record.beside[golfer] / record.session
    return rng.gamma(shape, 1.0 / (known + usual / record.session), size=samples)


def usual_hours(planned: FLOATS, habit: FLOATS, adherence: Adherence, golfer: int) -> FLOATS:
    """Weekly hours by category if the golfer does what he usually does of a plan, shape (S, J).

    Parameters
    ----------
    planned, habit : arrays, shape (J,)
        Hours a week of the plan and of the golfer's present habit.
    adherence : Adherence
    golfer : int
        Place of the golfer.
    """
    kept = adherence.beside[:, [golfer]] * habit
    return np.where(planned > 0, adherence.share[:, golfer] * planned, kept)


@dataclass(frozen=True)
class Usual:
    """Weekly hours under a plan as it is usually done.

    Parameters
    ----------
    hours : array, shape (S, J)
    share : array, shape (S,)
        Hours done in the plan's categories over hours planned.
    """

    hours: FLOATS
    share: FLOATS


def club_adherence(posterior: Posterior, tables: Tables, golfers: list[str]) -> Adherence | None:
    """Learn from the club's past plans and diary; None when there are too few."""
    diary = club_diary(posterior, tables)
    record = plan_record(tables, diary, posterior.categories)
    only = tuple(posterior.golfer_number(golfer) for golfer in golfers)
    return learn_adherence(record, posterior.samples, int(posterior.facts["seed"]), only)


def usual_plan(posterior: Posterior, adherence: Adherence, golfer_id: str, planned: FLOATS) -> Usual:
    """Hours of one golfer if he does what he usually does of this plan.

    Parameters
    ----------
    posterior : Posterior
    adherence : Adherence
    golfer_id : str
    planned : array, shape (J,)
        Hours a week as planned.
    """
    number = posterior.golfer_number(golfer_id)
    hours = usual_hours(planned, habit_hours(posterior, golfer_id), adherence, number)
    total = float(planned.sum())
    done = hours[:, planned > 0].sum(axis=1)
    return Usual(hours, done / total if total > 0 else np.ones(len(hours)))


def beside_plan(
    records: list[dict[str, Any]], usual: list[dict[str, Any]], found: Usual
) -> list[dict[str, Any]]:
    """Put the answer for the plan as usually done into each record of the plan as planned."""
    out = []
    for record, other in zip(records, usual, strict=True):
        more: dict[str, Any] = {"usual_share": summary(found.share)}
        if other["reportable"]:
            more["usual"] = {name: other[name] for name in summary(np.zeros(1))}
        if "chance" in other:
            more["usual_chance"] = other["chance"]
        out.append(record | more)
    return out
