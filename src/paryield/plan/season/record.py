"""A season on record: stored as plans and as the drawing it came from, and followed while it runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.club import Club
from paryield.club.designs import StoredDesign
from paryield.dose.diary import days_since_epoch, fill_minutes
from paryield.errors import InputError
from paryield.plan.season.emphases import Block, emphasised
from paryield.plan.season.layout import EPOCH, Season, plan_runs
from paryield.plan.season.lot import Entrant, Lot
from paryield.plan.season.reckoning import Promise
from paryield.plan.testing import last_tests
from paryield.posterior import Posterior
from paryield.tables import Tables, make_tables
from paryield.tables.categories import PHANTOM
from paryield.units import MINUTES_PER_HOUR

LATEST_DAYS = 183
DUE_WEEKS = 2
"""Weeks after a golfer's last test at which he is due for one, where the season says nothing else."""


@dataclass(frozen=True)
class Taking:
    """A member of a season on record.

    Parameters
    ----------
    entrant : Entrant
        As he entered the drawing.
    pair : int
    place : int
        Place in the drawing.
    order : tuple of str
        Emphasis of each block; blank for one as before.
    before : mapping of category to hours a week
    emphasis_hours : mapping of emphasis to (mapping of category to hours a week)
    """

    entrant: Entrant
    pair: int
    place: int
    order: tuple[str, ...]
    before: Mapping[str, float]
    emphasis_hours: Mapping[str, Mapping[str, float]]

    def hours(self, emphasis: str) -> Mapping[str, float]:
        """Hours a week by category under an emphasis, or as before."""
        return self.emphasis_hours[emphasis] if emphasis else self.before


@dataclass(frozen=True)
class Running:
    """A season read back from the club.

    Parameters
    ----------
    drawn : int
        Members of the drawing, those since erased included.
    """

    number: int
    plan: str
    seed: int
    share: float
    blocks: tuple[Block, ...]
    emphases: tuple[str, ...]
    promise: Promise
    tests_every: int | None
    cost: float
    members: tuple[Taking, ...]
    drawn: int

    @property
    def starts_on(self) -> date:
        """First day."""
        return self.blocks[0].starts_on

    @property
    def ends_on(self) -> date:
        """Last day."""
        return self.blocks[-1].ends_on

    def lot(self) -> Lot:
        """The drawing as it came out, of the members still on record."""
        names = tuple(sorted({name for one in self.members for name in one.entrant.emphases}))
        orders = [[names.index(name) if name else -1 for name in one.order] for one in self.members]
        return Lot(names, np.array(orders), np.array([one.pair for one in self.members]))


def start(club: Club, posterior: Posterior, season: Season, tests_every: int | None = None) -> int:
    """Put a season on record: its plans, and the drawing with its seed.

    Returns
    -------
    int
        Number of the season.

    Raises
    ------
    InputError
        When it starts before the records end or long after, or is on record already.
    """
    last = EPOCH + timedelta(days=posterior.as_of)
    first = season.blocks[0].starts_on
    if not last < first <= last + timedelta(days=LATEST_DAYS):
        raise InputError(
            f"a season cannot start on {first}: the records end on {last}",
            where="--start",
            remedy="give a day of the half year after the last row",
        )
    plan = f"season of {first.isoformat()}"
    told = next((one for one in season.told if one.tests_every == tests_every), season.told[0])
    facts: dict[str, Any] = {
        "seed": season.seed,
        "share": season.asked.share,
        "blocks": [[day.isoformat() for day in block.weeks] for block in season.blocks],
        "emphases": list(season.emphases),
        "promise": asdict(told.promise),
        "tests_every": told.tests_every,
        "cost": float(season.cost.mean()),
        "run_as_of": posterior.as_of,
    }
    members = [(one.golfer_id, _member_facts(season, place)) for place, one in enumerate(season.members)]
    return club.add_design(plan, facts, members, _plan_tables(season, plan))


def _member_facts(season: Season, place: int) -> dict[str, Any]:
    one = season.members[place]
    return {
        "level": one.level,
        "hours": one.week.free_hours,
        "emphases": list(one.emphases),
        "pair": int(season.lot.pairs[place]),
        "order": list(season.lot.words(place)),
        "before": _by_name(one.week.names, one.week.hours),
        "emphasis_hours": {
            name: _by_name(one.week.names, emphasised(one.week, name, season.asked.share))
            for name in one.emphases
        },
    }


def _by_name(names: Sequence[str], hours: FLOATS) -> dict[str, float]:
    return {
        name: round(float(value), 3)
        for name, value in zip(names, hours, strict=True)
        if name != PHANTOM and value > 0
    }


def _plan_tables(season: Season, plan: str) -> Tables:
    rows = [
        {"plan": plan, "golfer_id": member.golfer_id, "category": name}
        | {"starts_on": pd.Timestamp(first), "ends_on": pd.Timestamp(last)}
        | {"minutes_per_week": round(MINUTES_PER_HOUR * hours, 1)}
        for member, laid in zip(season.members, season.laid, strict=True)
        for first, last, held in plan_runs(laid, member.week.names)
        for name, hours in held.items()
    ]
    return make_tables({"plans": pd.DataFrame(rows)})


def read(stored: StoredDesign) -> Running:
    """Read a season from what the club stored."""
    facts = stored.facts
    members = tuple(
        Taking(
            Entrant(golfer, own["level"], own["hours"], tuple(own["emphases"])),
            own["pair"],
            place,
            tuple(own["order"]),
            own["before"],
            own["emphasis_hours"],
        )
        for place, golfer, own in stored.members
    )
    blocks = tuple(Block(tuple(date.fromisoformat(day) for day in weeks)) for weeks in facts["blocks"])
    kept = {**facts["promise"], "error": tuple(facts["promise"]["error"])}
    return Running(
        number=stored.number,
        plan=stored.plan,
        seed=facts["seed"],
        share=facts["share"],
        blocks=blocks,
        emphases=tuple(facts["emphases"]),
        promise=Promise(**kept),
        tests_every=facts["tests_every"],
        cost=facts["cost"],
        members=members,
        drawn=max((place for place, _, _ in stored.members), default=-1) + 1,
    )


@dataclass(frozen=True)
class Kept:
    """How a member keeps to the season so far.

    Parameters
    ----------
    golfer_id : str
    block : int
        The block he is in, from 1; 0 before the first and after the last.
    emphasis : str
    planned, done : float
        Hours planned and done since the start, in the categories planned.
    on_emphasis : float or None
        Share of the hours done in blocks that went to the block's emphasis.
    last_test : date or None
    test_due : bool
    """

    golfer_id: str
    block: int
    emphasis: str
    planned: float
    done: float
    on_emphasis: float | None
    last_test: date | None
    test_due: bool

    @property
    def share(self) -> float | None:
        """Share of the plan that was done."""
        return self.done / self.planned if self.planned > 0 else None


def progress(tables: Tables, running: Running, today: date) -> list[Kept]:
    """How every member keeps to a season up to a day, and who is due for a test."""
    diary = _hours_by_day(tables)
    plans = tables.plans[tables.plans["plan"] == running.plan]
    tests = last_tests(tables, today)
    now = next((n for n, one in enumerate(running.blocks) if one.starts_on <= today <= one.ends_on), None)
    every = running.tests_every or DUE_WEEKS
    found = []
    for one in running.members:
        golfer = one.entrant.golfer_id
        own = diary[diary["golfer_id"] == golfer]
        planned = _planned(plans[plans["golfer_id"] == golfer], today)
        inside = own[(own["on"] >= pd.Timestamp(running.starts_on)) & (own["on"] <= pd.Timestamp(today))]
        done = float(inside.loc[inside["category"].isin(list(planned)), "hours"].sum())
        last_test = max(tests.get(golfer, {}).values(), default=None)
        due = running.starts_on <= today <= running.ends_on and (
            last_test is None or (today - last_test).days >= 7 * every
        )
        found.append(
            Kept(
                golfer,
                0 if now is None else now + 1,
                "" if now is None else one.order[now],
                sum(planned.values()),
                done,
                _on_emphasis(inside, running, one),
                last_test,
                due,
            )
        )
    return found


def _hours_by_day(tables: Tables) -> pd.DataFrame:
    minutes, _ = fill_minutes(tables.practice, {one.name: one for one in tables.categories})
    return pd.DataFrame(
        {
            "golfer_id": tables.practice["golfer_id"].to_numpy(),
            "on": tables.practice["practised_on"].to_numpy(),
            "category": tables.practice["category"].to_numpy(),
            "hours": np.asarray(minutes, dtype=float) / MINUTES_PER_HOUR,
        }
    )


def _planned(rows: pd.DataFrame, today: date) -> dict[str, float]:
    """Hours planned up to a day, by category."""
    total: dict[str, float] = {}
    starts, ends = days_since_epoch(rows["starts_on"]), days_since_epoch(rows["ends_on"])
    last = (today - EPOCH).days
    for name, minutes, start, end in zip(
        rows["category"], rows["minutes_per_week"], starts, ends, strict=True
    ):
        weeks = max(min(int(end), last) - int(start) + 1, 0) / 7.0
        total[str(name)] = total.get(str(name), 0.0) + weeks * float(minutes) / MINUTES_PER_HOUR
    return {name: hours for name, hours in total.items() if hours > 0}


def _on_emphasis(done: pd.DataFrame, running: Running, one: Taking) -> float | None:
    """Share of the hours done in blocks that went to the block's emphasis; None without hours."""
    spent = on_it = 0.0
    for block, name in zip(running.blocks, one.order, strict=True):
        if not name:
            continue
        own = done[
            (done["on"] >= pd.Timestamp(block.starts_on)) & (done["on"] <= pd.Timestamp(block.ends_on))
        ]
        spent += float(own["hours"].sum())
        on_it += float(own.loc[own["category"] == name, "hours"].sum())
    return on_it / spent if spent > 0 else None
