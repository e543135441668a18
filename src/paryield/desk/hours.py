"""The sliders of a week as a form: what was sent, what moved, and what follows where a total is kept."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from paryield.errors import InputError
from paryield.forecast.what_if import Scene

STEP = 1.0 / 60.0
"""Hours between two places of a slider: a minute, as hours are shown."""


@dataclass(frozen=True)
class Week:
    """Hours by category as the sliders stand.

    Parameters
    ----------
    hours : dict of str to float
        Hours a week by category.
    locked : frozenset of str
        Categories that keep their hours when another one moves.
    keep_total : bool
        Whether the total stays when one moves.
    moved : str or None
        Category that was moved last.
    several : bool
        Whether more than one was moved at once; none follows then.
    typed, slid : frozenset of str
        Categories whose minutes were typed, and whose slider was moved.
    """

    hours: dict[str, float]
    locked: frozenset[str] = frozenset()
    keep_total: bool = False
    moved: str | None = None
    several: bool = False
    typed: frozenset[str] = frozenset()
    slid: frozenset[str] = frozenset()

    @property
    def total(self) -> float:
        """Hours a week in all."""
        return sum(self.hours.values())


def present_week(scene: Scene) -> Week:
    """Return the golfer's present week on the places of the sliders."""
    hours = {
        name: tidy(min(now, top))
        for name, now, top in zip(scene.categories, scene.now, tops(scene), strict=True)
    }
    return Week(hours)


def week_of(scene: Scene, hours: Mapping[str, float]) -> Week:
    """Return hours by category on the places of the sliders."""
    return Week(
        {
            name: tidy(min(hours.get(name, 0.0), top))
            for name, top in zip(scene.categories, tops(scene), strict=True)
        }
    )


def spread_week(scene: Scene, total: float) -> Week:
    """Return a week of so many hours in the proportions of the present one.

    What would go beyond the hours that anyone keeps up of a practice goes to the others in even parts, as
    far as they have room.
    """
    top = np.array(tops(scene))
    bounds = np.minimum(np.maximum(scene.seen, scene.now), top)
    hours = np.minimum(scene.now * (total / float(scene.now.sum())), bounds)
    for bound in (bounds, top):
        for _ in hours:
            left, room = total - float(hours.sum()), bound - hours > 1e-9
            if left <= 1e-9 or not room.any():
                break
            hours = np.minimum(hours + np.where(room, left / room.sum(), 0.0), bound)
    return week_of(scene, dict(zip(scene.categories, hours.tolist(), strict=True)))


def meant(scene: Scene, week: Week) -> dict[str, float]:
    """Return the hours that a week stands for: a slider left at the present place is the present habit."""
    present = present_week(scene).hours
    now = dict(zip(scene.categories, scene.now.tolist(), strict=True))
    return {name: now[name] if hours == present[name] else hours for name, hours in week.hours.items()}


def tops(scene: Scene) -> list[float]:
    """Return the highest place of each slider: twice what anyone here keeps up, never past a limit."""
    found = []
    for seen, now, ceiling in zip(scene.seen, scene.now, scene.ceiling, strict=True):
        top = math.ceil(2 * max(2.0 * float(seen), 1.5 * float(now), 1.0)) / 2
        found.append(min(top, math.floor(float(ceiling) / STEP) * STEP) if math.isfinite(ceiling) else top)
    return found


def sent_week(scene: Scene, form: Mapping[str, object]) -> Week:
    """Read the sliders of a form, and let the others follow where the total is kept.

    Raises
    ------
    InputError
        When a value is no number of hours that the slider holds.
    """
    highest = dict(zip(scene.categories, tops(scene), strict=True))
    hours = {
        name: tidy(_hours(form.get(f"hours.{name}", 0.0), name, highest[name])) for name in scene.categories
    }
    was = {name: form.get(f"was.{name}") for name in scene.categories}
    slid = {name for name in hours if was[name] is not None and _differs(hours[name], was[name])}
    typed = {
        name: minutes / 60.0
        for name in hours
        if name not in slid and (minutes := _typed(form.get(f"minutes.{name}"), was[name])) is not None
    }
    hours |= {name: tidy(_hours(value, name, highest[name])) for name, value in typed.items()}
    moved = [name for name in hours if name in slid or name in typed]
    locked = frozenset(name for name in scene.categories if f"lock.{name}" in form)
    keep = "keep_total" in form
    week = Week(hours, locked, keep, moved[0] if len(moved) == 1 else None, len(moved) > 1)
    week = replace(week, typed=frozenset(typed), slid=frozenset(slid))
    if not keep or week.moved is None:
        return week
    total = sum(_hours(was[name], name, highest[name]) for name in hours)
    return replace(follow(week, total, highest), typed=week.typed, slid=week.slid)


def follow(week: Week, total: float, highest: Mapping[str, float]) -> Week:
    """Return the week with the moved category set and the free ones following, so that the total stays.

    The free ones keep their proportions, an even share where all are at 0; where they cannot give or
    take enough, the moved one stops.
    """
    assert week.moved is not None
    hours = dict(week.hours)
    free = [name for name in hours if name != week.moved and name not in week.locked]
    held = sum(hours[name] for name in hours if name != week.moved and name in week.locked)
    room = sum(highest[name] for name in free)
    hours[week.moved] = min(max(hours[week.moved], total - held - room, 0.0), max(total - held, 0.0))
    left = total - held - hours[week.moved]
    for _ in free:
        now = sum(hours[name] for name in free)
        if abs(now - left) < 1e-9:
            break
        if now <= 0:
            hours.update({name: left / len(free) for name in free})
        else:
            hours.update({name: hours[name] * left / now for name in free})
        over = [name for name in free if hours[name] > highest[name]]
        if not over:
            break
        for name in over:
            hours[name] = highest[name]
            left -= highest[name]
        free = [name for name in free if name not in over]
    return Week({name: tidy(value) for name, value in hours.items()}, week.locked, True, week.moved)


def tidy(hours: float) -> float:
    """Hours on a place of the slider."""
    return round(round(hours / STEP) * STEP, 4)


def _differs(hours: float, was: object) -> bool:
    try:
        return abs(hours - float(str(was))) > STEP / 10
    except ValueError:
        return False


def _typed(value: object, was: object) -> float | None:
    """Return the minutes that were typed, or None where the field is blank or as it was."""
    if value is None or was is None or not str(value).strip():
        return None
    try:
        minutes = float(str(value))
        return None if round(minutes) == round(60.0 * float(str(was))) else minutes
    except ValueError:
        return math.nan


def _hours(value: object, name: str, highest: float) -> float:
    try:
        hours = float(str(value))
    except ValueError:
        hours = math.nan
    if not 0 <= hours <= highest + STEP:
        raise InputError(
            f"{str(value)[:40]!r} hours of {name} cannot be planned here", remedy=f"use 0 to {highest:g}"
        )
    return min(hours, highest)
