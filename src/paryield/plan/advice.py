"""The advised week against the present one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast import gate
from paryield.forecast.once import club_of, own_entries, people
from paryield.forecast.rounds import Pace, club_paces, early_notes
from paryield.plan.advised import Advice, held_back, notes_of, record_of
from paryield.plan.evidence import gain_evidence
from paryield.plan.learn_aim import bits_told, telling_split, told_note
from paryield.plan.outcome import SEARCH_DRAWS, make_outcome
from paryield.plan.phases import maintains_strength, week_shares, weeks_ahead
from paryield.plan.room import (
    LIKE_RANGE,
    Wishes,
    fit_into,
    like_shares,
    make_bounds,
    make_room,
    most_hours,
    planned_names,
    present_split,
)
from paryield.plan.slots import Shared, place_of, share_places, slots
from paryield.plan.solver import QUARTER, best_by_draw, best_split, mean_gain, safe_gain
from paryield.plan.week_verdict import (
    KEEP,
    keep_alive,
    price_if_wrong,
    rests_on,
    told_before,
    week_verdict,
)
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.tables import Tables
from paryield.tables.frames import departed, once

DEFAULT_WEEKS = 12
AIMS = ("likely", "safe", "learn")
MOVED = "moved to fit the club's bays and greens"


@dataclass(frozen=True)
class Plan:
    """Records of plans, with the draws of their gain by golfer, shape (S,), strokes."""

    records: list[dict[str, Any]]
    draws: dict[str, FLOATS] = field(repr=False)
    advice: dict[str, Advice] = field(repr=False)
    banner: str = ""

    def to_frame(self) -> pd.DataFrame:
        """One row per golfer and category, with the gain of the whole plan beside it."""
        rows = []
        for record in self.records:
            shared = {key: record[key] for key in ("golfer_id", "hours", "weeks", "aim", "verdict")}
            shared |= {"chance_gain": record["chance_gain"], "gain": record["gain"]["q50"]}
            rows += [{**shared, **row} for row in record["weeks_plan"]]
        return pd.DataFrame.from_records(rows)


def plan(
    club: Any,
    golfer: str | None = None,
    hours: float | None = None,
    weeks: int = DEFAULT_WEEKS,
    aim: str = "likely",
    floors: Mapping[str, float] | None = None,
    ceilings: Mapping[str, float] | None = None,
    locks: Mapping[str, tuple[int, float]] | None = None,
    free: bool = False,
    anyway: bool = False,
) -> Plan:
    """Split weekly hours over practice categories.

    Parameters
    ----------
    club : Club
    golfer : str, optional
        One golfer; default all, planned together within the club's bays and greens.
    hours : float, optional
        Hours a week; default those on file for the golfer, else those he practises now.
    weeks : int
        How long the week is kept up; the gain is that at the end.
    aim : {"likely", "safe", "learn"}
        The greatest mean gain, the greatest gain that is reached in 8 cases of 10, or the split that says
        most about which category is best.
    floors, ceilings : mapping, optional
        Lowest and highest weekly hours by category.
    locks : mapping, optional
        Sessions a week and minutes each, kept as they are, by category.
    free : bool
        Lift the box around the golfer's own habit and that of golfers of like level.
    anyway : bool
        Answer although the health gate says no; the answer carries a banner.

    Raises
    ------
    InputError
        For an unknown golfer, category or aim, or wishes that cannot be met.
    NotReportableError
        When the fit is not healthy.

    Examples
    --------
    ``anyway`` because the club of this example is small and its fit short.

    >>> from paryield.club import Club
    >>> with Club.open("club.db") as club:
    ...     week = plan(club, golfer="G01", hours=4, anyway=True).records[0]
    >>> round(sum(row["hours_advised"] for row in week["weeks_plan"]), 2)
    4.0
    >>> sorted(week["gain"])[:3]
    ['mean', 'q025', 'q05']
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    return plan_tables(
        posterior,
        club.tables(),
        golfers=None if golfer is None else [golfer],
        hours=hours,
        weeks=weeks,
        aim=aim,
        floors=floors,
        ceilings=ceilings,
        locks=locks,
        free=free,
        banner=gate(posterior, anyway),
    )


def plan_tables(
    posterior: Posterior,
    tables: Tables,
    *,
    golfers: Sequence[str] | None = None,
    hours: float | None = None,
    weeks: int = DEFAULT_WEEKS,
    aim: str = "likely",
    floors: Mapping[str, float] | None = None,
    ceilings: Mapping[str, float] | None = None,
    locks: Mapping[str, tuple[int, float]] | None = None,
    free: bool = False,
    banner: str = "",
) -> Plan:
    """Plan from a fit and tables; see :func:`plan`. Golfers planned together share bays and greens."""
    ids = _here(_asked(posterior, golfers, weeks, aim), tables, posterior, named=golfers is not None)
    few, paces = thinned(posterior, SEARCH_DRAWS), club_paces(tables, posterior.golfers, posterior.as_of)
    plain = weeks == DEFAULT_WEEKS and aim == "likely" and not (floors or ceilings or locks or free)
    advice = {}
    for golfer_id in ids:
        usual = usual_hours(tables, posterior, golfer_id)
        wishes = Wishes(usual if hours is None else hours, floors or {}, ceilings or {}, locks or {}, free)
        before = told_before(posterior, golfer_id) if plain and wishes.hours == usual else None
        advice[golfer_id] = advise(
            posterior, few, tables, golfer_id, wishes, weeks, aim, before=before, pace=paces[golfer_id]
        )
    advice = within_slots(advice, tables, posterior)
    records = [record_of(one, tables, locks or {}, aim, posterior.as_of) for one in advice.values()]
    return Plan(records, {name: one.gain for name, one in advice.items()}, advice, banner)


def within_slots(advice: dict[str, Advice], tables: Tables, posterior: Posterior) -> dict[str, Advice]:
    """Move what the club's bays and greens cannot hold; the golfers whose week moved say so."""
    capacity = slots(tables.settings)
    if np.all(np.isinf(capacity)):
        return advice
    weeks = {
        name: Shared(
            one.advised, one.bounds, one.search, tuple(place_of(tables.category(n)) for n in one.names)
        )
        for name, one in advice.items()
    }
    found, evidence = dict(advice), gain_evidence(posterior)
    for name, hours in share_places(weeks, capacity).items():
        one = advice[name]
        gain = one.outcome.gain(hours[None, :], one.now)[:, 0]
        given_up = float(np.mean(one.search.lost(hours[None]) - one.search.lost(one.advised[None])))
        found[name] = replace(
            one,
            best=hours,
            advised=hours,
            gain=gain,
            evidence=rests_on(evidence, one.names, hours - one.now),
            price=price_if_wrong(one.search, hours, one.now),
            verdict=week_verdict(
                gain, rests_on(evidence, one.names, hours - one.now), one.regret_now, one.before
            ),
            regret=max(one.regret + given_up, 0.0),
            notes=(*one.notes, MOVED),
        )
    return found


def _here(ids: list[str], tables: Tables, posterior: Posterior, *, named: bool) -> list[str]:
    """Return those who are still members; one who was asked for by name and has left is refused."""
    today = date(1970, 1, 1) + timedelta(days=posterior.as_of)
    left = once(tables, ("left", today), lambda: departed(tables, today))
    gone = [golfer for golfer in ids if golfer in left]
    if named and gone:
        raise InputError(
            f"{gone[0]} left the club on {left[gone[0]].isoformat()}, so no week is planned",
            where="left_on",
            remedy="clear left_on in the golfers table if the golfer is back",
        )
    return [golfer for golfer in ids if golfer not in left]


def _asked(posterior: Posterior, golfers: Sequence[str] | None, weeks: int, aim: str) -> list[str]:
    if not posterior.categories:
        raise InputError(
            "the club has no practice diary, so no week can be planned from it",
            where="practice",
            remedy="import a practice table and fit again",
        )
    if not 1 <= weeks <= 104:
        raise InputError(f"{weeks} weeks cannot be planned", where="--weeks", remedy="use 1 to 104")
    if aim not in AIMS:
        raise InputError(f"there is no aim {aim!r}", where="--aim", remedy=f"use {', '.join(AIMS)}")
    ids = posterior.golfers if golfers is None else list(golfers)
    for golfer_id in ids:
        if golfer_id not in posterior.golfers:
            raise InputError(
                f"the fit knows no golfer {golfer_id!r}",
                where="--golfer",
                remedy="use an id of the golfers table, or fit again if the golfer is new",
            )
    return ids


def usual_hours(tables: Tables, posterior: Posterior, golfer_id: str) -> float:
    """Hours a week on file for a golfer, else those he practises now.

    Of somebody without either, the median of those who practise: a newcomer's first week is none of 0 hours.
    """
    filed = people(club_of(tables)).get(golfer_id, {}).get("weekly_hours")
    if not pd.isna(filed):
        return float(filed)
    done = posterior.constant("recent").sum(axis=1)
    mine = float(done[posterior.golfer_number(golfer_id)])
    if mine > 0 or own_entries(tables, golfer_id).day.size or not (done > 0).any():
        return mine
    return QUARTER * round(float(np.median(done[done > 0])) / QUARTER)


def taken_from_others(posterior: Posterior, tables: Tables, golfer_id: str) -> tuple[float | str, ...]:
    """Return what a golfer's week takes from the practice of others: where it is the same, so is his week.

    That is his hours where they are the club's, what is said of its diaries, and the range and the mean of
    how golfers of like level split their time.
    """
    like = like_shares(posterior, golfer_id, planned_names(tables, posterior, Wishes(0.0)))
    told = [*np.quantile(like, LIKE_RANGE, axis=0), like.mean(axis=0)] if len(like) else []
    hours = usual_hours(tables, posterior, golfer_id)
    return (hours, *early_notes(posterior, ()), *np.round(np.ravel(told), 9).tolist())


def advise(
    posterior: Posterior,
    few: Posterior,
    tables: Tables,
    golfer_id: str,
    wishes: Wishes,
    weeks: int,
    aim: str,
    *,
    pace: Pace,
    before: str | None = None,
) -> Advice:
    """Find one golfer's week.

    Parameters
    ----------
    posterior, few : Posterior
        The fit, and the same fit with fewer draws for the search.
    tables : Tables
        The golfer's rows are enough.
    pace : Pace
        How often he plays.
    before : str, optional
        What the run before answered to the same question.
    """
    as_of = date(1970, 1, 1) + timedelta(days=posterior.as_of)
    names = planned_names(tables, posterior, wishes)
    hours = most_hours(tables, golfer_id, wishes.hours)
    ahead = weeks_ahead(tables, golfer_id, as_of, weeks)
    shares = week_shares(ahead, [tables.category(name) for name in names], free=wishes.free)
    now = present_split(posterior, golfer_id, names, hours)
    keep_strength = maintains_strength(ahead) and not wishes.free
    bounds = make_bounds(
        tables, posterior, golfer_id, names, wishes, hours, weeks, now, keep_strength=keep_strength
    )
    evidence = gain_evidence(posterior)
    bounds = keep_alive(bounds, names, now, evidence)
    room = make_room(bounds, hours)
    outcome = make_outcome(posterior, golfer_id, names, weeks, shares)
    search = make_outcome(few, golfer_id, names, weeks, shares)
    begin = (now - room.fixed) / QUARTER
    more: list[str] = []
    if aim == "learn":
        told = bits_told(few, golfer_id, names, weeks, pace)
        quarters, _ = telling_split(told, room, begin)
        more.append(told_note(told, room.hours(quarters), now))
    else:
        sought = search.bent_sooner()
        value = safe_gain(sought, now) if aim == "safe" else mean_gain(sought, now)
        quarters, _ = best_split(value, room, begin, concave=aim != "safe")
    best = room.hours(quarters)
    gain = outcome.gain(best[None, :], now)[:, 0]
    rests = rests_on(evidence, names, best - now)
    present = fit_into(now, bounds, hours)
    ideal = best_by_draw(search, room, quarters)
    short = {
        name: max(float(np.mean(search.lost(week[None, :])[:, 0] - ideal)), 0.0)
        for name, week in (("present", present), ("best", best))
    }
    verdict = week_verdict(gain, rests, short["present"], before)
    advised, regret = (present, short["present"]) if verdict == KEEP else (best, short["best"])
    if keep_strength:
        more += held_back(tables, names, bounds, room, best)
    notes = (*notes_of(posterior, golfer_id, names, wishes, hours, advised), *more)
    return Advice(
        golfer_id, names, hours, ahead, shares, bounds, room, now, best, advised, gain,
        regret, short["present"], rests, price_if_wrong(search, best, now), verdict, before, notes,
        outcome, search,
    )  # fmt: skip
