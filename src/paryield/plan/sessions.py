"""From weekly hours to sessions on days, with minutes and reps."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

import numpy as np
from numpy.typing import NDArray

from paryield.arrays import FLOATS
from paryield.plan.phases import Week, is_strength
from paryield.tables import Category
from paryield.units import MINUTES_PER_HOUR, listed

SKILL_MINUTES, SWING_MINUTES, STRENGTH_MINUTES, COURSE_MINUTES = 30.0, 45.0, 40.0, 150.0
"""Usual length of a session (common practice, no source)."""
DAY_MINUTES, MOST_DAYS = 60.0, 6
"""Practice is spread over so many days that one holds about an hour, and one day stays free (common
practice, no source)."""
WHOLE_MINUTES = 5.0
WHOLE_REPS = 5
PUT_TOGETHER = "under 10 minutes a week, so the time is put together into one session; take turns"
GIVEN_ON = "under 10 minutes a week, too little for a session, so the time goes to the others"
SHORTEST_MINUTES = 10.0
"""Less is no session: a way to the green and back takes as long (common practice, no source)."""


def reps_of(category: Category, hours: float) -> int | None:
    """Repetitions a week at the category's pace, to 5; None where it is not counted in repetitions."""
    if category.minutes_per_100_reps is None:
        return None
    reps = hours * MINUTES_PER_HOUR / category.minutes_per_100_reps * 100.0
    return int(WHOLE_REPS * math.floor(reps / WHOLE_REPS + 0.5))


def session_minutes(category: Category, minutes: float, lock: tuple[int, float] | None = None) -> list[float]:
    """Split a week's minutes of a category into sessions of about the usual length, whole 5 minutes.

    A locked category keeps its sessions while its minutes are unchanged.
    """
    if minutes < 0.5:
        return []
    if lock is not None and abs(lock[0] * lock[1] - minutes) < 0.5:
        return [lock[1]] * lock[0]
    usual = _usual(category)
    count = max(1, math.floor(minutes / usual + 0.5))
    each = math.floor(minutes / count / WHOLE_MINUTES) * WHOLE_MINUTES
    sessions = [each] * count
    sessions[0] += minutes - each * count
    return [minutes] if each <= 0 else sessions


def held_minutes(minutes: FLOATS, most: FLOATS, kept: Sequence[bool]) -> FLOATS:
    """Put minutes that are too few for a session together, so that every one held has at least the shortest.

    Parameters
    ----------
    minutes : array, shape (J,)
        Minutes of a week by category.
    most : array, shape (J,)
        Most minutes a week, which nothing that is put together may pass.
    kept : sequence of bool, length J
        Categories whose sessions were asked for as they are.

    Returns
    -------
    array, shape (J,)
        Sums to ``minutes``, unless no category may take what is left or all of it is too little.
    """
    held, few = minutes.copy(), few_minutes(minutes, kept)
    spare = float(minutes[few].sum())
    held[few] = 0.0
    ranked = np.argsort(-minutes, kind="stable")
    for place in ranked:
        if few[place] and spare >= SHORTEST_MINUTES and most[place] >= SHORTEST_MINUTES:
            held[place] = SHORTEST_MINUTES
            spare -= SHORTEST_MINUTES
    open_to = [place for place in ranked if held[place] >= SHORTEST_MINUTES and not kept[place]]
    for place in sorted(open_to, key=lambda place: not few[place]):
        more = min(spare, max(float(most[place] - held[place]), 0.0))
        held[place] += more
        spare -= more
    return held


def few_minutes(minutes: FLOATS, kept: Sequence[bool]) -> NDArray[np.bool_]:
    """Which categories have some minutes in a week, and too few for a session; shape (J,)."""
    few: NDArray[np.bool_] = (minutes > 0) & (minutes < SHORTEST_MINUTES) & ~np.asarray(kept, bool)
    return few


def short_notes(names: Sequence[str], hours: FLOATS, locks: Mapping[str, tuple[int, float]]) -> list[str]:
    """Say which practice comes to too little a week for a session of its own, if any."""
    few = few_minutes(hours * MINUTES_PER_HOUR, [name in locks for name in names])
    short = [name.replace("_", " ") for name, is_short in zip(names, few, strict=True) if is_short]
    return [f"{listed(short)}: {PUT_TOGETHER if len(short) > 1 else GIVEN_ON}"] if short else []


def _usual(category: Category) -> float:
    if is_strength(category):
        return STRENGTH_MINUTES
    if category.minutes_per_100_reps is None:
        return COURSE_MINUTES if category.load == "swing" else SKILL_MINUTES
    return SWING_MINUTES if category.load == "swing" else SKILL_MINUTES


def lay_out(
    week: Week,
    categories: Sequence[Category],
    hours: FLOATS,
    locks: Mapping[str, tuple[int, float]],
    most: FLOATS | None = None,
) -> list[dict[str, Any]]:
    """Lay the sessions of a week out over its days, none of them under ten minutes.

    Strength comes after skill work on the same day, and neither on a competition day in season nor on
    the day before one. Which weekdays hold a session does not depend on the weekday that the week begins on:
    a plan that is made anew in mid-week keeps its days.

    Parameters
    ----------
    week : Week
    categories : sequence of Category
    hours : array, shape (J,)
        Hours of this week.
    locks : mapping of category to (sessions, minutes)
        Sessions that are kept as they are.
    most : array, shape (J,), optional
        Most hours of this week, for time that is put together; no bound when None.

    Returns
    -------
    list of dict
        on (ISO date), category, minutes, reps; in the order of the days.
    """
    days = sorted((week.starts_on + timedelta(days=day) for day in range(7)), key=date.weekday)
    barred = {day for day in days if day in week.competitions}
    barred |= {day for day in days if day + timedelta(days=1) in week.competitions}
    bounds = np.full(len(hours), np.inf) if most is None else most * MINUTES_PER_HOUR
    held = held_minutes(hours * MINUTES_PER_HOUR, bounds, [one.name in locks for one in categories])
    total = float(held.sum())
    chosen = _practice_days(days, total, {day for day in days if day in week.competitions})
    load = dict.fromkeys(days, 0.0)
    placed: list[tuple[date, Category, float]] = []
    order = sorted(range(len(categories)), key=lambda place: (is_strength(categories[place]), -held[place]))
    for place in order:
        category, lock = categories[place], locks.get(categories[place].name)
        taken: list[date] = []
        for minutes in session_minutes(category, float(held[place]), lock):
            allowed = [day for day in chosen if not (is_strength(category) and day in barred)]
            allowed = allowed or [day for day in days if day not in barred]
            day = _emptiest(allowed, taken, load)
            taken.append(day)
            load[day] += minutes
            placed.append((day, category, minutes))
    placed.sort(key=lambda one: (one[0], is_strength(one[1])))
    return [
        {
            "on": day.isoformat(),
            "category": category.name,
            "minutes": math.floor(minutes + 0.5),
            "reps": reps_of(category, minutes / MINUTES_PER_HOUR),
        }
        for day, category, minutes in placed
    ]


def _emptiest(days: Sequence[date], taken: Sequence[date], load: Mapping[date, float]) -> date:
    """Return the day with the fewest of these sessions, the least load, and furthest from the others."""
    return min(days, key=lambda day: (taken.count(day), load[day], -_apart(day, taken), day.weekday()))


def _apart(day: date, taken: Sequence[date]) -> int:
    """Days between one and the nearest of others, the week going round."""
    between = (abs(day.weekday() - other.weekday()) for other in taken)
    return min((min(count, 7 - count) for count in between), default=7)


def _practice_days(days: Sequence[date], minutes: float, competitions: set[date]) -> list[date]:
    count = min(max(1, math.ceil(minutes / DAY_MINUTES)), MOST_DAYS)
    open_days = [day for day in days if day not in competitions] or list(days)
    count = min(count, len(open_days))
    places = np.unique(np.floor((np.arange(count) + 0.5) * len(open_days) / count).astype(int))
    return [open_days[place] for place in places]


def session_rows(
    weeks: Sequence[Week],
    shares: FLOATS,
    categories: Sequence[Category],
    hours: FLOATS,
    locks: Mapping[str, tuple[int, float]],
    most: FLOATS | None = None,
) -> list[dict[str, Any]]:
    """Sessions of the first week, and of every week with a competition in or just after it."""
    found: list[dict[str, Any]] = []
    for number, week in enumerate(weeks):
        if number == 0 or week.competitions:
            found += lay_out(week, categories, hours * shares[number], locks, most)
    return found


def phase_rows(
    weeks: Sequence[Week], shares: FLOATS, names: Sequence[str], hours: FLOATS
) -> list[dict[str, Any]]:
    """Hours by category of each run of like weeks: starts_on, ends_on, weeks, phase, hours."""
    rows: list[dict[str, Any]] = []
    last: tuple[Any, ...] | None = None
    for week, share in zip(weeks, shares, strict=True):
        key = (week.phase, *share)
        ends = (week.starts_on + timedelta(days=6)).isoformat()
        if key == last:
            rows[-1] |= {"ends_on": ends, "weeks": rows[-1]["weeks"] + 1}
            continue
        planned = {
            name: round(float(value), 3)
            for name, value in zip(names, hours * share, strict=True)
            if value > 0
        }
        start = week.starts_on.isoformat()
        rows.append({"starts_on": start, "ends_on": ends, "weeks": 1, "phase": week.phase, "hours": planned})
        last = key
    return rows
