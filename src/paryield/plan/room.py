"""What a golfer's week may hold: wishes, ceilings, limits, and the range that the records speak about."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS, INTS
from paryield.errors import InputError
from paryield.forecast.habits import limit_hours
from paryield.forecast.once import club_of, own_entries, people
from paryield.plan.outcome import PHANTOM
from paryield.plan.phases import is_strength
from paryield.plan.solver import QUARTER, Room
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR

BLOCK_DAYS = 84
ALIKE = 12
LIKE_RANGE = (0.1, 0.9)
"""The default box is the range of a golfer's own quarters, widened to the middle 80 % of the 12 golfers
nearest in level. [judgement]"""
LEAST_TOLD = 0.25
"""Share of the planned hours from which a diary of late tells how a week is split. [judgement]"""
MOST_HOURS = 112.0
"""16 hours a day, the most that a diary may hold."""
SLACK = 1e-9


@dataclass(frozen=True)
class Wishes:
    """What was asked of a plan.

    Parameters
    ----------
    hours : float
        Hours a week.
    floors, ceilings : mapping of category to hours a week
    locks : mapping of category to (sessions, minutes)
        Kept exactly as they are: "strength at 2 x 40 minutes".
    free : bool
        Lift the box around the golfer's habit.
    """

    hours: float
    floors: Mapping[str, float] = field(default_factory=dict)
    ceilings: Mapping[str, float] = field(default_factory=dict)
    locks: Mapping[str, tuple[int, float]] = field(default_factory=dict)
    free: bool = False

    def __post_init__(self) -> None:
        if not 0.0 <= self.hours <= MOST_HOURS:
            raise InputError(
                f"{self.hours:g} hours a week cannot be planned", where="--hours", remedy="use 0 to 112"
            )
        for where, given in (("--floor", self.floors), ("--ceiling", self.ceilings)):
            for name, hours in given.items():
                if not 0.0 <= hours <= MOST_HOURS:
                    raise InputError(
                        f"{name} cannot take {hours:g} hours", where=where, remedy="use 0 to 112"
                    )
        for name, (sessions, minutes) in self.locks.items():
            if not 0 <= sessions <= 21 or not 0 <= minutes <= 960:
                raise InputError(
                    f"{name} cannot take {sessions} x {minutes:g} minutes",
                    where="--lock",
                    remedy="use up to 21 sessions of up to 960 minutes",
                )
            if name in self.floors or name in self.ceilings:
                raise InputError(
                    f"{name} is locked and bounded too", where="--lock", remedy="give the lock alone"
                )

    def lock_hours(self) -> dict[str, float]:
        """Weekly hours of the locked categories."""
        return {name: count * minutes / MINUTES_PER_HOUR for name, (count, minutes) in self.locks.items()}


@dataclass(frozen=True)
class Bounds:
    """Lowest and highest weekly hours by category, shape (J,).

    ``floor`` and ``ceiling`` must hold, ``low`` and ``high`` bound the search; ``usual`` (2, J) is the range
    that the records speak about, which is the default box.
    """

    floor: FLOATS
    ceiling: FLOATS
    low: FLOATS
    high: FLOATS
    usual: FLOATS


def planned_names(tables: Tables, posterior: Posterior, wishes: Wishes) -> tuple[str, ...]:
    """Categories of a plan: those with diary entries in the club, and any that a floor or lock names.

    Raises
    ------
    InputError
        For a name that is no category of the club.
    """
    known = {category.name for category in tables.categories}
    given = (("--floor", wishes.floors), ("--ceiling", wishes.ceilings), ("--lock", wishes.locks))
    for where, names in given:
        for name in names:
            if name not in known:
                remedy = f"use one of {', '.join(sorted(known))}"
                raise InputError(f"there is no practice category {name!r}", where=where, remedy=remedy)
    used = [name for name in posterior.categories if name != PHANTOM]
    wanted = [*wishes.floors, *wishes.locks]
    return tuple(dict.fromkeys([*used, *wanted]))


def most_hours(tables: Tables, golfer_id: str, hours: float) -> float:
    """Hours a week that a plan may take: those given, or the golfer's ceiling where that is lower."""
    most = people(club_of(tables)).get(golfer_id, {}).get("most_weekly_hours")
    return hours if pd.isna(most) else min(hours, float(most))


def habit_shares(tables: Tables, posterior: Posterior, golfer_id: str, names: Sequence[str]) -> FLOATS:
    """Shares of a golfer's practice by category in each quarter of his diary, shape (quarters, J)."""
    mine = own_entries(tables, golfer_id)
    column = {name: place for place, name in enumerate(names)}
    held: dict[tuple[int, int], list[float]] = {}
    blocks = ((posterior.as_of - mine.day) // BLOCK_DAYS).tolist()
    for block, name, minutes in zip(blocks, mine.category.tolist(), mine.minutes.tolist(), strict=True):
        if name in column and minutes > 0:
            held.setdefault((block, column[name]), []).append(minutes)
    rows = {block: row for row, block in enumerate(sorted({block for block, _ in held}))}
    total = np.zeros((len(rows), len(names)))
    for (block, place), each in held.items():
        total[rows[block], place] = math.fsum(each)
    shares: FLOATS = total / total.sum(axis=1, keepdims=True)
    return shares


def like_shares(posterior: Posterior, golfer_id: str, names: Sequence[str]) -> FLOATS:
    """Present shares of the golfers nearest in level, shape (golfers, J); those without practice left out."""
    level = posterior.constant("level_usual")
    distance = np.abs(level - level[posterior.golfer_number(golfer_id)])
    recent = _columns(posterior.constant("recent"), posterior, names)
    practising = np.flatnonzero(recent.sum(axis=1) > 0)
    near = practising[np.argsort(distance[practising], kind="stable")][: ALIKE + 1]
    shares: FLOATS = recent[near] / recent[near].sum(axis=1, keepdims=True)
    return shares


def present_split(posterior: Posterior, golfer_id: str, names: Sequence[str], hours: float) -> FLOATS:
    """Present split scaled to the hours, shape (J,); that of like golfers where he has none of his own.

    A diary of late that holds less than :data:`LEAST_TOLD` of the hours is no split yet: up to there it is
    filled with his habit, so that one entry after a long silence does not stand for a whole week.
    """
    recent = _columns(posterior.constant("recent"), posterior, names)
    place = posterior.golfer_number(golfer_id)
    own = recent[place]
    if own.sum() <= 0:
        like = like_shares(posterior, golfer_id, names)
        split: FLOATS = like.mean(axis=0) if len(like) else np.full(len(names), 1.0)
        return split * (hours / split.sum())
    habit = _columns(posterior.constant("habit"), posterior, names)[place]
    missing = LEAST_TOLD * hours - float(own.sum())
    if missing > 0 and habit.sum() > 0:
        own = own + habit * (missing / habit.sum())
    return own * (hours / own.sum())


def _columns(values: FLOATS, posterior: Posterior, names: Sequence[str]) -> FLOATS:
    known = posterior.categories
    out = np.zeros((len(values), len(names)))
    for column, name in enumerate(names):
        if name in known:
            out[:, column] = values[:, known.index(name)]
    return out


def make_bounds(
    tables: Tables,
    posterior: Posterior,
    golfer_id: str,
    names: Sequence[str],
    wishes: Wishes,
    hours: float,
    weeks: int,
    present: FLOATS,
    *,
    keep_strength: bool,
) -> Bounds:
    """Bounds of a golfer's week.

    Parameters
    ----------
    hours : float
        Hours a week, the golfer's ceiling applied.
    present : array, shape (J,)
        Present split scaled to the hours.
    keep_strength : bool
        Whether strength may not rise above its present hours (in season).

    Raises
    ------
    InputError
        When floors and locks do not fit into the hours, or into what may be planned for this golfer.
    """
    as_of = date(1970, 1, 1) + timedelta(days=posterior.as_of)
    limits = limit_hours(tables, golfer_id, names, as_of, weeks)
    locks = wishes.lock_hours()
    floor = np.array([locks.get(name, wishes.floors.get(name, 0.0)) for name in names])
    asked = np.array([locks.get(name, wishes.ceilings.get(name, math.inf)) for name in names])
    ceiling = np.minimum(np.minimum(asked, limits), hours)
    _check(names, floor, asked, ceiling, hours)
    usual = usual_range(tables, posterior, golfer_id, names, hours, present)
    if wishes.free:
        return Bounds(floor, ceiling, np.zeros(len(names)), np.full(len(names), hours), usual)
    low, high = usual
    if keep_strength:
        heavy = np.array([is_strength(tables.category(name)) for name in names])
        high = np.where(heavy, np.minimum(high, np.ceil(present / QUARTER - SLACK) * QUARTER), high)
    return Bounds(floor, ceiling, low, high, usual)


def usual_range(
    tables: Tables,
    posterior: Posterior,
    golfer_id: str,
    names: Sequence[str],
    hours: float,
    present: FLOATS,
) -> FLOATS:
    """Lowest and highest weekly hours that the golfer or golfers of like level keep up, shape (2, J)."""
    own = present[None] / max(hours, SLACK)
    shares = np.vstack([habit_shares(tables, posterior, golfer_id, names), own])
    like = like_shares(posterior, golfer_id, names)
    middle = np.quantile(like, LIKE_RANGE, axis=0) if len(like) else shares[-1:]
    low = np.minimum(shares.min(axis=0), middle.min(axis=0))
    high = np.maximum(shares.max(axis=0), middle.max(axis=0))
    usual: FLOATS = hours * np.array([low, high])
    return usual


def _check(names: Sequence[str], floor: FLOATS, asked: FLOATS, ceiling: FLOATS, hours: float) -> None:
    total = float(floor.sum())
    if total > hours + SLACK:
        raise InputError(
            f"floors and locks take {total:.2f} hours, the week has {hours:g}",
            where="--floor",
            remedy="ask for less, or give more hours",
        )
    for place, name in enumerate(names):
        if floor[place] > asked[place] + SLACK:
            raise InputError(
                f"{name} has a floor of {floor[place]:g} hours above its ceiling of {asked[place]:g}",
                where="--floor",
                remedy="lower the floor or raise the ceiling",
            )
        if floor[place] > ceiling[place] + SLACK:
            raise InputError(
                f"{name} cannot be planned for {floor[place]:g} hours a week for this golfer",
                where="--floor",
                remedy=f"ask for at most {max(ceiling[place], 0.0):g}",
            )


def make_room(bounds: Bounds, hours: float) -> Room:
    """Turn bounds into whole quarter hours.

    What must hold is rounded to the safe side. A floor that no whole quarter meets is fixed exactly. The
    box gives way where the hours would not fit into it otherwise; ceilings and limits never do, so then
    fewer hours are planned.
    """
    lowest, highest, fixed, total = _whole(bounds, np.zeros_like(bounds.floor), hours)
    if np.any(lowest > highest) or lowest.sum() > total or highest.sum() < total:
        # Rounding took away what must be possible: count quarters from the floors, or up to the ceilings.
        fixed = bounds.floor if lowest.sum() > total or np.any(lowest > highest) else _parts(bounds)
        lowest, highest, fixed, total = _whole(bounds, fixed, hours)
    total = min(total, int(highest.sum()))
    low = np.clip(np.floor((bounds.low - fixed) / QUARTER + SLACK).astype(np.int64), lowest, highest)
    high = np.clip(np.ceil((bounds.high - fixed) / QUARTER - SLACK).astype(np.int64), lowest, highest)
    high = np.maximum(high, low)
    if low.sum() > total:
        low = lowest
    if high.sum() < total:
        high = highest
    return Room(fixed, low, high, total)


def _whole(bounds: Bounds, fixed: FLOATS, hours: float) -> tuple[INTS, INTS, FLOATS, int]:
    lowest = np.maximum(np.ceil((bounds.floor - fixed) / QUARTER - SLACK), 0).astype(np.int64)
    highest = np.floor((bounds.ceiling - fixed) / QUARTER + SLACK).astype(np.int64)
    return lowest, highest, fixed, math.floor((hours - float(fixed.sum())) / QUARTER + SLACK)


def _parts(bounds: Bounds) -> FLOATS:
    """What is left of each ceiling beyond whole quarter hours."""
    parts: FLOATS = bounds.ceiling - QUARTER * np.floor(bounds.ceiling / QUARTER + SLACK)
    return np.maximum(parts, 0.0)


def fit_into(hours: FLOATS, bounds: Bounds, total: float) -> FLOATS:
    """Nearest split to ``hours`` that keeps to what must hold; unchanged where it does already.

    Parameters
    ----------
    hours : array, shape (J,)
    bounds : Bounds
    total : float
        Hours a week; where ceilings hold less, less is placed.
    """
    inside = np.clip(hours, bounds.floor, bounds.ceiling)
    for _ in range(len(hours) + 1):
        short = total - float(inside.sum())
        free = inside < bounds.ceiling - SLACK if short > 0 else inside > bounds.floor + SLACK
        if abs(short) < SLACK or not free.any():
            break
        weight = np.where(free, np.maximum(inside, SLACK), 0.0)
        inside = np.clip(inside + short * weight / weight.sum(), bounds.floor, bounds.ceiling)
    found: FLOATS = inside
    return found
