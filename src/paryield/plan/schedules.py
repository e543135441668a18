"""The blocks to choose from: shifts of the present hours, inside every limit."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.forecast import habit_hours
from paryield.forecast.habits import limit_hours
from paryield.plan.trial import Schedule
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

FLOATS = npt.NDArray[np.float64]
LOCKED_LOADS = ("strength",)
"""Work that a qualified professional sets: a block leaves it as it is."""
PAIRED = 3
"""So many of the likeliest categories are tried one after the other."""


@dataclass(frozen=True)
class Week:
    """A golfer's present week and what a block may change of it.

    Parameters
    ----------
    names : tuple of str
        Categories of the fit, the phantom included where fitted.
    hours : array, shape (J,)
        Present hours a week, cut to every limit.
    most : array, shape (J,)
        Ceilings on a category's hours a week.
    movable : bool array, shape (J,)
        Categories that a block may shift hours from and to.
    """

    names: tuple[str, ...]
    hours: FLOATS
    most: FLOATS
    movable: npt.NDArray[np.bool_]

    @property
    def free_hours(self) -> float:
        """Hours a week that a block may shift."""
        return float(self.hours[self.movable].sum())

    def towards(self, name: str, share: float) -> FLOATS:
        """The week with a share of the movable hours put into one category, within its ceiling."""
        place, hours = self.names.index(name), self.hours.copy()
        others = self.movable & (np.arange(len(hours)) != place)
        given = min(share * float(hours[others].sum()), max(self.most[place] - hours[place], 0.0))
        total = float(hours[others].sum())
        if total > 0:
            hours[others] *= 1.0 - given / total
            hours[place] += given
        return hours

    def without(self, name: str) -> FLOATS:
        """The week without one category, its hours spread over the others, within their ceilings."""
        place, hours = self.names.index(name), self.hours.copy()
        freed, hours[place] = float(hours[place]), 0.0
        others = self.movable & (np.arange(len(hours)) != place) & (hours > 0)
        for _ in range(len(hours)):
            room = np.where(others, self.most - hours, 0.0)
            open_to = room > 1e-9
            if freed <= 1e-9 or not open_to.any():
                break
            part = np.where(open_to, hours, 0.0)
            added = np.minimum(freed * part / part.sum(), room)
            hours, freed = hours + added, freed - float(added.sum())
        return hours


def present_week(posterior: Posterior, tables: Tables, golfer_id: str, weeks: int) -> Week:
    """A golfer's present week under his limits of the block's time and his ceiling of weekly hours."""
    names = tuple(posterior.categories)
    hours = habit_hours(posterior, golfer_id).copy()
    load = {category.name: category.load for category in tables.categories}
    movable = np.array([name != PHANTOM and load.get(name) not in LOCKED_LOADS for name in names])
    as_of = pd.Timestamp(np.datetime64(posterior.as_of, "D")).date()
    most = limit_hours(tables, golfer_id, names, as_of, weeks)
    hours = np.minimum(hours, most)
    own = tables.golfers[tables.golfers["golfer_id"] == golfer_id]["most_weekly_hours"]
    if len(own) and not pd.isna(own.iloc[0]) and hours.sum() > float(own.iloc[0]):
        hours *= float(own.iloc[0]) / hours.sum()
    return Week(names, hours, most, movable)


def schedules(week: Week, chance_best: FLOATS) -> list[Schedule]:
    """Every block to choose from.

    Half or all of the movable hours into one category; one category left out; all into one category for
    the first half and into another for the second, among the likeliest.

    Parameters
    ----------
    week : Week
    chance_best : array, shape (J,)
        Chance of each category to be the best; the likeliest are paired.
    """
    names = [name for name, free in zip(week.names, week.movable, strict=True) if free]
    found = []
    for name in names:
        found.append(Schedule((f"half to {name}",), week.towards(name, 0.5)[None, :]))
        found.append(Schedule((f"all to {name}",), week.towards(name, 1.0)[None, :]))
        if week.hours[week.names.index(name)] > 0:
            found.append(Schedule((f"without {name}",), week.without(name)[None, :]))
    likeliest = sorted(names, key=lambda name: -chance_best[week.names.index(name)])[:PAIRED]
    for pair in permutations(likeliest, 2):
        hours = np.stack([week.towards(name, 1.0) for name in pair])
        found.append(Schedule(tuple(f"all to {name}" for name in pair), hours))
    return [one for one in found if np.abs(one.hours - week.hours).max() > 1e-6]
