"""What a week of practice, kept up, leaves of a golfer's strokes: draws for any hours, many at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.forecast import golfer_draws
from paryield.forecast.compiled_days import lost_under
from paryield.forecast.outlook import GolferDraws, start_held, stock_line
from paryield.posterior import Posterior

PHANTOM = "phantom"
SEARCH_DRAWS = 400
"""Draws that a search weighs; what is reported uses all of them. The standard error of a mean gain over
400 draws is a twentieth of its spread, far below the 0.2 stroke from which a plan may change. [judgement]"""

CAUTION = 0.5
"""A split is sought as if returns bent at this share of the fit's hours, and told with the fit's own. Where
they bend, no club's record says: hours that are spread for nothing lose little, hours that are heaped where
returns have ended lose much. [judgement]"""


@dataclass(frozen=True)
class Outcome:
    """A golfer's strokes at a horizon as a function of weekly hours.

    Parameters
    ----------
    golfer : GolferDraws
    names : tuple of str
        Categories of the plan, J of them; those that the fit does not know gain nothing.
    day : float
        Days after the as-of day.
    held : array, shape (S, C)
        Stock at the horizon without any more practice, by category of the fit.
    per_hour : array, shape (S, C)
        Stock at the horizon for each weekly hour kept up.
    place : int array, shape (J,)
        Column of the fit for each category of the plan, -1 where the fit has none.
    start : array, shape (S, 1, C)
        What a start share higher by 1 would leave at the horizon.
    """

    golfer: GolferDraws
    names: tuple[str, ...]
    day: float
    held: FLOATS
    per_hour: FLOATS
    place: npt.NDArray[np.int64]
    start: FLOATS

    @property
    def samples(self) -> int:
        """Number of draws."""
        return self.golfer.samples

    def lost(self, hours: FLOATS) -> FLOATS:
        """Strokes lost at the horizon from level and practice.

        Parameters
        ----------
        hours : array, shape (N, J) or (S, N, J)
            Weekly hours of N candidates, the same for all draws or each draw its own.

        Returns
        -------
        array, shape (S, N)
        """
        golfer, out = self.golfer, np.empty((self.samples, hours.shape[-2]))
        lost_under(
            np.ascontiguousarray(self.held), np.ascontiguousarray(self.per_hour),
            np.ascontiguousarray(hours.reshape(-1, *hours.shape[-2:]), dtype=float), self._columns,
            np.ascontiguousarray(self.start[:, 0]), np.ascontiguousarray(golfer.start),
            np.ascontiguousarray(golfer.steady), np.ascontiguousarray(golfer.rate_area), golfer.bend_hours,
            np.ascontiguousarray(golfer.level), golfer.floor, golfer.response[:, None] * golfer.gap,
            golfer.start_extra[:, None] * golfer.gap, out,
        )  # fmt: skip
        return out

    def gain(self, hours: FLOATS, against: FLOATS) -> FLOATS:
        """Strokes saved by each candidate against one vector of hours (J,), shape (S, N)."""
        return self.lost(against[None, :]) - self.lost(hours)

    def bent_sooner(self) -> Outcome:
        """The same with returns that bend at :data:`CAUTION` of the hours: for the search of a split only."""
        return replace(self, golfer=replace(self.golfer, bend_hours=CAUTION * self.golfer.bend_hours))

    @cached_property
    def _columns(self) -> npt.NDArray[np.int64]:
        """Category of the plan for each one of the fit, -1 where the plan has none; shape (C,)."""
        found = np.full(self.held.shape[1], -1, dtype=np.int64)
        known = self.place >= 0
        found[self.place[known]] = np.flatnonzero(known)
        return found


def make_outcome(
    posterior: Posterior,
    golfer_id: str,
    names: Sequence[str],
    weeks: int,
    shape: FLOATS | None = None,
) -> Outcome:
    """Prepare a golfer's outcome for many candidates.

    Parameters
    ----------
    posterior : Posterior
    golfer_id : str
    names : sequence of str
        Categories of the plan.
    weeks : int
        Horizon.
    shape : array, shape (weeks, J), optional
        Share of the planned hours that each week takes (a break takes none); default all of them.
    """
    golfer = golfer_draws(posterior, golfer_id)
    known = posterior.categories
    place = np.array([known.index(name) if name in known else -1 for name in names], dtype=np.int64)
    days: FLOATS = np.arange(0.0, 7.0 * weeks + 1.0, 7.0)
    left, fresh = stock_line(golfer, days)
    held, per_hour = np.ascontiguousarray(left[:, -1]), np.ascontiguousarray(fresh[:, -1])
    if shape is not None and not np.all(shape == 1.0):
        wide = np.ones((weeks, len(known)))
        wide[:, place[place >= 0]] = shape[:, place >= 0]
        # Hours of week w are as fresh at the end as w-th last weeks: a difference of two runs.
        each = np.diff(fresh, axis=1)[:, ::-1]
        per_hour = (each * wide[None]).sum(axis=1)
    start = start_held(golfer, days[-1:])
    return Outcome(golfer, tuple(names), float(days[-1]), held, per_hour, place, start)
