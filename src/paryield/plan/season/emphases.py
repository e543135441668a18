"""What may still be best, for whom, in which weeks, and the hours that an emphasis has."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast.habits import limit_hours
from paryield.plan.options import Question, Week, golfer_question, present_week
from paryield.plan.phases import BREAK, IN_SEASON, week_shares, weeks_ahead
from paryield.plan.season.lot import Entrant
from paryield.plan.slots import place_of, slots
from paryield.posterior import Posterior
from paryield.tables import Category, Tables
from paryield.tables.categories import PHANTOM

FEWEST_WEEKS, MOST_WEEKS = 8, 13
"""Length of an emphasis: shorter, little is at work at its end; longer, few fit into a year. [judgement]"""
YEAR_WEEKS = 52
SHARE, LEAST_SHARE, MOST_SHARE = 0.7, 0.6, 0.8
"""Share of the hours that an emphasis has; the rest keeps the others alive. [judgement]"""
STILL_BEST = 0.05
"""A category whose chance to be best is below this ends as an emphasis. [judgement]"""
CLEAR = 0.9
"""A member whose own best category has this chance needs no season. [judgement]"""
COMPETITIONS = 2
"""A month with so many competition days in season is no block. [judgement]"""
SEARCHED = 4 * YEAR_WEEKS


@dataclass(frozen=True)
class Member:
    """A golfer of the season.

    Parameters
    ----------
    golfer_id : str
    level : float
        Mean differential that the fit expects now, strokes.
    week : Week
        Present week and what may be changed of it.
    emphases : tuple of str
        What may still be best for him and may be practised.
    settled : str or None
        His best category where that is clear already.
    """

    golfer_id: str
    level: float
    week: Week
    emphases: tuple[str, ...]
    settled: str | None = None

    @property
    def entrant(self) -> Entrant:
        """The member as he enters the drawing."""
        return Entrant(self.golfer_id, self.level, self.week.free_hours, self.emphases)


@dataclass(frozen=True)
class Block:
    """One block: the first days of its weeks, which a break or a competitive month may set apart."""

    weeks: tuple[date, ...]

    @property
    def starts_on(self) -> date:
        """First day."""
        return self.weeks[0]

    @property
    def ends_on(self) -> date:
        """Last day."""
        return self.weeks[-1] + timedelta(days=6)


def open_emphases(question: Question, movable: Sequence[str], most: int) -> tuple[str, ...]:
    """Categories that may still be best and may be shifted, likeliest first; at least two where there are."""
    chance = question.chance_best
    ranked = [question.names[place] for place in np.argsort(-chance, kind="stable")]
    free = [name for name in ranked if name in movable]
    likely = [name for name in free if chance[question.names.index(name)] >= STILL_BEST]
    return tuple((likely if len(likely) > 1 else free[:2])[:most])


def block_length(weeks: int | None, emphases: int) -> int:
    """Weeks of a block: as asked, else what lets every emphasis into one year.

    Raises
    ------
    InputError
        For a length that is no emphasis.
    """
    if weeks is None:
        return int(np.clip(YEAR_WEEKS // max(emphases, 1), FEWEST_WEEKS, MOST_WEEKS))
    if not FEWEST_WEEKS <= weeks <= MOST_WEEKS:
        raise InputError(
            f"an emphasis of {weeks} weeks cannot be laid out",
            where="--weeks",
            remedy=f"use {FEWEST_WEEKS} to {MOST_WEEKS}",
        )
    return weeks


def members_of(
    posterior: Posterior, few: Posterior, tables: Tables, emphases: Sequence[str], weeks: int
) -> list[Member]:
    """Golfers with hours to shift, by id; those whose answer is clear have no emphases."""
    found = []
    for golfer in sorted(posterior.golfers):
        week = present_week(posterior, tables, golfer, weeks)
        if week.free_hours <= 0:
            continue
        own = golfer_question(few, golfer)
        best = int(own.chance_best.argmax())
        settled = own.names[best] if own.chance_best[best] >= CLEAR else None
        may = tuple(
            name
            for name in emphases
            if week.movable[week.names.index(name)]
            and week.most[week.names.index(name)] >= LEAST_SHARE * week.free_hours
        )
        may = may if settled is None and len(may) > 1 else ()
        level = float(few.draws("level")[:, few.golfer_number(golfer)].sum(axis=1).mean())
        found.append(Member(golfer, level, week, may, settled))
    return found


def usable_weeks(tables: Tables, first: date, count: int) -> tuple[date, ...]:
    """First days of the next weeks that are neither break nor in a competitive month of the club.

    Raises
    ------
    InputError
        When the calendar leaves too few.
    """
    crowded = _competitive_months(tables, None)
    ahead = weeks_ahead(tables, "", first - timedelta(days=1), SEARCHED)
    free = [
        week.starts_on
        for week in ahead
        if week.phase != BREAK and (week.starts_on.year, week.starts_on.month) not in crowded
    ]
    if len(free) < count:
        raise InputError(
            f"the calendar leaves {len(free)} weeks for {count} of blocks",
            where="calendar",
            remedy="lay out fewer emphases, or mend the calendar",
        )
    return tuple(free[:count])


def _competitive_months(tables: Tables, golfer_id: str | None) -> set[tuple[int, int]]:
    calendar = tables.calendar[tables.calendar["phase"] == IN_SEASON]
    mine = calendar["golfer_id"].isna()
    if golfer_id is not None:
        mine |= calendar["golfer_id"].fillna("") == golfer_id
    days = pd.DatetimeIndex(calendar.loc[mine, "competition_on"].dropna().unique())
    months = [(day.year, day.month) for day in days]
    return {month for month in months if months.count(month) >= COMPETITIONS}


def make_blocks(weeks: Sequence[date], length: int) -> tuple[Block, ...]:
    """Cut usable weeks into blocks of one length."""
    return tuple(Block(tuple(weeks[at : at + length])) for at in range(0, len(weeks), length))


def emphasised(week: Week, name: str, share: float, most: FLOATS | None = None) -> FLOATS:
    """Weekly hours with a share of the movable ones on one category, the others kept alive.

    Parameters
    ----------
    week : Week
    name : str
    share : float
    most : array, shape (J,), optional
        Ceilings of the block's time; default those of the week.
    """
    ceiling = week.most if most is None else np.minimum(week.most, most)
    place, total = week.names.index(name), week.free_hours
    others = week.movable & (np.arange(len(week.names)) != place)
    hours = np.where(week.movable, 0.0, np.minimum(week.hours, ceiling))
    hours[place] = min(share * total, ceiling[place])
    left = total - hours[place]
    weight = np.where(others, week.hours, 0.0)
    weight = weight if weight.sum() > 0 else others.astype(float)
    for _ in range(len(hours)):
        room = np.where(others & (weight > 0), ceiling - hours, 0.0)
        open_to = room > 1e-9
        if left <= 1e-9 or not open_to.any():
            break
        part = np.where(open_to, weight, 0.0)
        added = np.minimum(left * part / part.sum(), room)
        hours, left = hours + added, left - float(added.sum())
    return hours


@dataclass(frozen=True)
class Laid:
    """Hours by week of one member, over all weeks from the first of the season to the last.

    Parameters
    ----------
    starts : tuple of date
        First day of each week, W of them.
    hours, before : arrays, shape (W, J)
        In the season, and if he went on as before.
    """

    starts: tuple[date, ...]
    hours: FLOATS
    before: FLOATS


def lay_out_member(
    tables: Tables,
    member: Member,
    order: Sequence[str],
    blocks: Sequence[Block],
    share: float,
    factors: FLOATS | None = None,
) -> Laid:
    """Hours of a member's season, week by week: inside every limit, phase and competitive month.

    Parameters
    ----------
    order : sequence of str
        Emphasis of each block; blank for one as before.
    factors : array, shape (B, J), optional
        Share of the hours that places of the club have room for; see :func:`place_factors`.
    """
    first, last = blocks[0].starts_on, blocks[-1].ends_on
    count = ((last - first).days + 1) // 7
    ahead = weeks_ahead(tables, member.golfer_id, first - timedelta(days=1), count)
    known = [one for one in tables.categories if one.name in member.week.names]
    shares = _shares(ahead, known, member.week.names)
    crowded = _competitive_months(tables, member.golfer_id)
    before = np.array([member.week.hours * share_of for share_of in shares])
    hours = before.copy()
    starts = tuple(week.starts_on for week in ahead)
    for number, (block, name) in enumerate(zip(blocks, order, strict=True)):
        room = np.ones(len(member.week.names)) if factors is None else factors[number]
        most = limit_hours(
            tables,
            member.golfer_id,
            member.week.names,
            block.starts_on - timedelta(days=1),
            ((block.ends_on - block.starts_on).days + 1) // 7,
        )
        changed = emphasised(member.week, name, share, most) if name else member.week.hours
        for start in block.weeks:
            at = starts.index(start)
            own_month = (start.year, start.month) in crowded
            hours[at] = (member.week.hours if own_month else changed) * shares[at] * room
    return Laid(starts, hours, before)


def _shares(ahead: Sequence[object], known: Sequence[Category], names: Sequence[str]) -> FLOATS:
    some = week_shares(ahead, known, free=False)  # type: ignore[arg-type]
    shares = np.ones((len(ahead), len(names)))
    for column, category in enumerate(known):
        shares[:, names.index(category.name)] = some[:, column]
    if PHANTOM in names:
        shares[:, names.index(PHANTOM)] = 0.0
    return shares


def place_factors(
    tables: Tables, members: Sequence[Member], orders: Sequence[Sequence[str]], blocks: int, share: float
) -> tuple[FLOATS, list[str]]:
    """Share of the hours that bays and greens have room for, shape (B, J), and what to say about it."""
    names = members[0].week.names
    by_name = {one.name: one for one in tables.categories}
    places = [place_of(by_name[name]) if name in by_name else None for name in names]
    capacity, factors, notes = slots(tables.settings), np.ones((blocks, len(names))), []
    for block in range(blocks):
        hours = sum(
            (
                emphasised(one.week, order[block], share) if order[block] else one.week.hours
                for one, order in zip(members, orders, strict=True)
            ),
            np.zeros(len(names)),
        )
        for place, word in enumerate(("bays", "greens")):
            taken = np.array([where == place for where in places])
            used = float(hours[taken].sum())
            if used > capacity[place]:
                factors[block, taken] = capacity[place] / used
                notes.append(
                    f"block {block + 1} would take {used:.0f} hours a week of the {word}, the club has "
                    f"{capacity[place]:.0f}: everybody's hours there are cut in proportion"
                )
    return factors, notes
