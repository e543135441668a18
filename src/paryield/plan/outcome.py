"""What a week of practice, kept up, leaves of a golfer's strokes: draws for any hours, many at a time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.forecast import golfer_draws
from paryield.forecast.outlook import GolferDraws, practised, start_held, stock_line
from paryield.posterior import Posterior

FLOATS = npt.NDArray[np.float64]
PHANTOM = "phantom"
SEARCH_DRAWS = 400
"""Draws that a search weighs; what is reported uses all of them. The standard error of a mean gain over
400 draws is a twentieth of its spread, far below the 0.2 stroke from which a plan may change. [judgement]"""
MOST_VALUES = 4_000_000
"""Largest array of draws x candidates x categories made at once."""


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
        count = hours.shape[-2]
        block = max(1, MOST_VALUES // max(self.held.size, 1))
        parts = [self._lost(hours[..., at : at + block, :]) for at in range(0, count, block)]
        return np.concatenate(parts, axis=1) if parts else np.zeros((self.samples, 0))

    def gain(self, hours: FLOATS, against: FLOATS) -> FLOATS:
        """Strokes saved by each candidate against one vector of hours (J,), shape (S, N)."""
        return self.lost(against[None, :]) - self.lost(hours)

    def _lost(self, hours: FLOATS) -> FLOATS:
        known = self.place >= 0
        wide = np.zeros((*hours.shape[:-1], self.held.shape[1]))
        wide[..., self.place[known]] = hours[..., known]
        stock = np.maximum(self.held[:, None, :] + self.per_hour[:, None, :] * wide, 0.0)
        lost: FLOATS = practised(self.golfer, stock, np.array([self.day]), self.start).sum(axis=2)
        return lost


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
    held, per_hour = left[:, -1], fresh[:, -1]
    if shape is not None and not np.all(shape == 1.0):
        wide = np.ones((weeks, len(known)))
        wide[:, place[place >= 0]] = shape[:, place >= 0]
        # Hours of week w are as fresh at the end as w-th last weeks: a difference of two runs.
        each = np.diff(fresh, axis=1)[:, ::-1]
        per_hour = (each * wide[None]).sum(axis=1)
    start = start_held(golfer, days[-1:])
    return Outcome(golfer, tuple(names), float(days[-1]), held, per_hour, place, start)
