"""A season of emphases laid out: who has which emphasis when, what it tells, and what it costs."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast.rounds import club_paces
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.options import HELPS, LOCKED_LOADS, SETTLED_BITS, SETTLES, club_question
from paryield.plan.season.emphases import (
    LEAST_SHARE,
    MOST_SHARE,
    SHARE,
    YEAR_WEEKS,
    Block,
    Laid,
    Member,
    block_length,
    lay_out_member,
    make_blocks,
    members_of,
    open_emphases,
    place_factors,
    usable_weeks,
)
from paryield.plan.season.lot import Lot, balance, draw_lot
from paryield.plan.season.reckoning import (
    Beliefs,
    Promise,
    beliefs,
    kept_information,
    promise,
    reckon_member,
    routine_information,
    season_tests,
    shared_sd,
)
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.results import summary
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

SEASON_DRAWS = 200
EVERY = (2, 1)
"""Weeks between two tests of each area that are reckoned beside the tests the club keeps."""
MOST_TIMES = 64
SEASONS = (1, 2)
EPOCH = date(1970, 1, 1)
NOTHING = "no members play and have hours to shift between two categories that may still be best"


@dataclass(frozen=True)
class Asked:
    """What was asked of a season.

    Parameters
    ----------
    weeks : int or None
        Length of an emphasis; by default what lets every emphasis into one year.
    share : float
        Share of the hours that an emphasis has.
    start : date or None
        First day; by default the day after the records.
    seed : int or None
        Of the drawing; by default that of the fit.
    """

    weeks: int | None = None
    share: float = SHARE
    start: date | None = None
    seed: int | None = None

    def __post_init__(self) -> None:
        if not LEAST_SHARE <= self.share <= MOST_SHARE:
            raise InputError(
                f"an emphasis cannot have {self.share:g} of the hours",
                where="--share",
                remedy=f"use {LEAST_SHARE:g} to {MOST_SHARE:g}",
            )


@dataclass(frozen=True)
class Enough:
    """What would be enough: so many members and seasons, with a test of each area every so many weeks."""

    members: int
    seasons: int
    weeks: int
    tests_every: int | None
    share_told: float


@dataclass(frozen=True)
class Told:
    """What a season tells under one way of testing; ``tests_every`` None is as the club tests now."""

    tests_every: int | None
    promise: Promise


@dataclass(frozen=True)
class Season:
    """A season laid out, before anybody starts.

    Parameters
    ----------
    emphases, left_out : tuple of str
        Categories with a block, and real ones without.
    members : tuple of Member
        Those of the lot, in the order that the seed belongs to.
    settled : tuple of Member
        Those whose own answer is clear: they are not in the lot.
    lot : Lot
    blocks : tuple of Block
    laid : tuple of Laid
        Hours of each member, week by week.
    told : tuple of Told
    present : Promise
        What the same weeks would tell without any change, tests as now.
    enough : tuple of Enough
    cost : array, shape (S,)
        Strokes a round given up on average over members and season.
    each_cost : tuple of array
    """

    asked: Asked
    seed: int
    emphases: tuple[str, ...]
    left_out: tuple[str, ...]
    members: tuple[Member, ...]
    settled: tuple[Member, ...]
    lot: Lot
    blocks: tuple[Block, ...]
    laid: tuple[Laid, ...]
    names: tuple[str, ...]
    told: tuple[Told, ...]
    present: Promise
    enough: tuple[Enough, ...]
    cost: FLOATS = field(repr=False)
    each_cost: tuple[FLOATS, ...] = field(repr=False)
    rounds: float = 0.0
    notes: tuple[str, ...] = ()

    @property
    def weeks(self) -> int:
        """Weeks of a block."""
        return len(self.blocks[0].weeks)

    @property
    def verdict(self) -> str:
        """What the season would do for the open question, with the tests that the club keeps."""
        return verdict(self.told[0].promise, self.present)


def verdict(found: Promise, present: Promise) -> str:
    """What a season would do for the open question, beyond going on as before."""
    if found.before <= SETTLED_BITS:
        return "settled already"
    share = (present.after - found.after) / found.before
    if share >= SETTLES:
        return "would settle it"
    return "would help" if share >= HELPS else "would tell too little"


def season_fit(posterior: Posterior, tables: Tables, asked: Asked | None = None) -> Season | None:
    """Lay out a season from a fit and tables; None where nobody could take part.

    Raises
    ------
    InputError
        When the calendar leaves no weeks, or what was asked cannot be laid out.
    """
    asked = asked or Asked()
    few = thinned(posterior, SEASON_DRAWS)
    question = club_question(thinned(posterior, 1000))
    load = {category.name: category.load for category in tables.categories}
    movable = [name for name in question.names if load.get(name) not in LOCKED_LOADS]
    emphases = open_emphases(question, movable, YEAR_WEEKS // 8)
    length = block_length(asked.weeks, len(emphases))
    everybody = members_of(posterior, few, tables, emphases, length * max(len(emphases), 1))
    paces = club_paces(tables, posterior.golfers, posterior.as_of)
    members = tuple(one for one in everybody if one.emphases and paces[one.golfer_id].mean > 0)
    if not members:
        return None
    seed = int(posterior.facts["seed"]) if asked.seed is None else asked.seed
    lot = draw_lot([one.entrant for one in members], seed)
    first = asked.start or EPOCH + timedelta(days=posterior.as_of + 1)
    count = lot.orders.shape[1]
    blocks = make_blocks(usable_weeks(tables, first, length * count), length)
    orders = [lot.words(place) for place in range(len(members))]
    factors, notes = place_factors(tables, members, orders, count, asked.share)
    laid = tuple(
        lay_out_member(tables, one, order, blocks, asked.share, factors)
        for one, order in zip(members, orders, strict=True)
    )
    reckoned = reckon(few, tables, members, laid, seed)
    return Season(
        asked=asked,
        seed=seed,
        emphases=emphases,
        left_out=tuple(name for name in question.names if name not in emphases),
        members=members,
        settled=tuple(one for one in everybody if one.settled),
        lot=lot,
        blocks=blocks,
        laid=laid,
        notes=tuple(notes),
        **reckoned,
    )


def reckon(
    few: Posterior, tables: Tables, members: Sequence[Member], laid: Sequence[Laid], seed: int
) -> dict[str, Any]:
    """What a season tells and costs: the last fields of :class:`Season`."""
    names, believed = beliefs(few)
    shared = shared_sd(few)
    paces = club_paces(tables, few.golfers, few.as_of)
    kept = kept_information(tables, few.as_of, len(few.golfers))
    ways = [kept, *(routine_information(every) for every in EVERY)]
    size = len(names) + len(shared)
    total = [np.zeros((size, size)) for _ in ways]
    present = np.zeros((size, size))
    costs, rounds = [], 0.0
    for one, own in zip(members, laid, strict=True):
        pace = paces[one.golfer_id]
        found, cost, played = reckon_member(few, one.golfer_id, own, pace, ways)
        total = [before + more for before, more in zip(total, found, strict=True)]
        still, _, _ = reckon_member(
            few, one.golfer_id, Laid(own.starts, own.before, own.before), pace, ways[:1]
        )
        present += still[0]
        costs.append(cost)
        rounds += played
    told = tuple(
        Told(every, promise(believed, information, shared, seed))
        for every, information in zip((None, *EVERY), total, strict=True)
    )
    return {
        "names": names,
        "told": told,
        "present": promise(believed, present, shared, seed),
        "enough": enough(believed, total, shared, len(members), len(laid[0].starts), seed),
        "cost": np.mean(costs, axis=0),
        "each_cost": tuple(costs),
        "rounds": rounds,
    }


def enough(
    believed: Beliefs,
    information: Sequence[FLOATS],
    shared: Sequence[float],
    members: int,
    weeks: int,
    seed: int,
) -> tuple[Enough, ...]:
    """How many members it takes to tell half of what is open, by tests and seasons.

    Information adds up over members and, tests and weeks being alike, over seasons.
    """
    found = []
    for every, one in zip((None, *EVERY), information, strict=True):
        for seasons in SEASONS:

            def share(times: int, one: FLOATS = one, seasons: int = seasons) -> float:
                expected = promise(believed, times * seasons * one, shared, seed)
                return expected.told / max(expected.before, 1e-9)

            if share(MOST_TIMES) >= SETTLES:
                times = 1 + bisect_left(range(1, MOST_TIMES), SETTLES, key=share)
                found.append(Enough(members * times, seasons, weeks, every, share(times)))
    return tuple(found)


def season_records(season: Season | None, length: int | None = None) -> list[dict[str, Any]]:
    """Records of a season: the club first, then each member."""
    if season is None:
        return [
            {"golfer_id": None, "weeks": length or 0, "rounds": 0.0, "reportable": False, "reason": NOTHING}
            | {"focus": [], "cost": None, "verdict": "cannot tell", "weeks_plan": []}
            | {"cautions": list(STANDING_CAUTIONS)}
        ]
    return [_club_record(season), *_member_records(season)]


def _club_record(season: Season) -> dict[str, Any]:
    now = season.told[0].promise
    counts = balance(season.lot)
    return {
        "golfer_id": None,
        "weeks": season.weeks,
        "rounds": round(season.rounds, 1),
        "reportable": True,
        "focus": list(season.emphases),
        "left_out": list(season.left_out),
        "seed": season.seed,
        "members": len(season.members),
        "blocks": [
            {"block": number + 1, "starts_on": one.starts_on.isoformat(), "ends_on": one.ends_on.isoformat()}
            | {"members": dict(zip(season.lot.names, map(int, counts[:, number]), strict=True))}
            for number, one in enumerate(season.blocks)
        ],
        "entropy_now": now.before,
        "entropy_after": now.after,
        "information": now.told,
        "information_present": season.present.told,
        "verdict": season.verdict,
        "tests": [promise_fields(one, season.names) for one in season.told],
        "each_test": [task.title for task in season_tests()],
        "enough": [asdict(one) for one in season.enough],
        "cost": summary(season.cost),
        "settled": {one.golfer_id: one.settled for one in season.settled},
        "weeks_plan": [],
        "notes": list(season.notes),
        "cautions": list(STANDING_CAUTIONS),
    }


def _minutes(every: int | None) -> float | None:
    """Minutes of testing a week; None for tests as they are kept."""
    return None if every is None else round(sum(task.minutes for task in season_tests()) / every, 1)


def promise_fields(told: Told, names: Sequence[str]) -> dict[str, Any]:
    """What a season tells under one way of testing, as a record."""
    found = told.promise
    return {
        "tests_every": told.tests_every,
        "minutes_a_week": _minutes(told.tests_every),
        "information": found.told,
        "lost_now": found.lost_before,
        "lost_after": found.lost_after,
        "error": dict(zip(names, found.error, strict=True)),
    }


def _member_records(season: Season) -> list[dict[str, Any]]:
    shared = {"weeks": season.weeks, "reportable": True, "verdict": season.verdict}
    return [
        {"golfer_id": one.golfer_id, **shared}
        | {"focus": list(season.lot.words(place)), "pair": int(season.lot.pairs[place])}
        | {"cost": summary(season.each_cost[place]), "weeks_plan": member_plan(season, place)}
        | {"cautions": list(STANDING_CAUTIONS)}
        for place, one in enumerate(season.members)
    ]


def member_plan(season: Season, place: int) -> list[dict[str, Any]]:
    """Hours of each block beside the present ones, in whole weeks of the block."""
    names, laid = season.members[place].week.names, season.laid[place]
    rows = []
    for number, block in enumerate(season.blocks):
        at = [laid.starts.index(start) for start in block.weeks]
        now, then = laid.before[at].mean(axis=0), laid.hours[at].mean(axis=0)
        rows += [
            {"block": number + 1, "starts_on": block.starts_on.isoformat(), "category": name}
            | {"ends_on": block.ends_on.isoformat()}
            | {"hours_now": round(float(now[j]), 2), "hours_block": round(float(then[j]), 2)}
            for j, name in enumerate(names)
            if name != PHANTOM and max(now[j], then[j]) > 0
        ]
    return rows


def plan_runs(laid: Laid, names: Sequence[str]) -> list[tuple[date, date, Mapping[str, float]]]:
    """Runs of like weeks: first day, last day and hours a week by category; weeks without hours left out."""
    runs: list[tuple[date, date, Mapping[str, float]]] = []
    for start, hours in zip(laid.starts, laid.hours, strict=True):
        held = {
            name: float(value)
            for name, value in zip(names, hours, strict=True)
            if name != PHANTOM and value > 1e-3
        }
        last = start + timedelta(days=6)
        if runs and runs[-1][2] == held and runs[-1][1] + timedelta(days=1) == start:
            runs[-1] = (runs[-1][0], last, held)
        else:
            runs.append((start, last, held))
    return [run for run in runs if run[2]]
