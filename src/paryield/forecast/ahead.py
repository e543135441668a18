"""One golfer's rounds and index in the time to come, simulated from draws."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.forecast.outlook import GolferDraws, drift_path, form_path, steady_path
from paryield.forecast.rounds import Pace, chunk_days, chunks, played_on, round_noise, season_on
from paryield.scoring import IndexState, index_paths

EPOCH_ORDINAL = date(1970, 1, 1).toordinal()


@dataclass(frozen=True)
class Ahead:
    """One golfer's simulated future on the asked days, one value a draw.

    ``mean`` (S, H), ``one_round`` (S, H) and ``index`` (S, H), NaN where there is no index; H asked days.
    """

    days: FLOATS
    mean: FLOATS
    one_round: FLOATS
    index: FLOATS
    pace: Pace


def look_ahead(
    golfer: GolferDraws,
    state: IndexState,
    days: FLOATS,
    hours: FLOATS,
    pace: Pace,
    seed: list[int],
) -> Ahead:
    """Simulate a golfer's rounds and index.

    Parameters
    ----------
    golfer : GolferDraws
    state : IndexState
        The golfer's real record.
    days : array, shape (H,)
        Asked days after the as-of day, rising.
    hours : array, shape (J,)
        Weekly hours by category.
    pace : Pace
        How often the golfer plays.
    seed : list of int
        Seeds of this golfer's random streams.
    """
    last = float(days[-1]) if len(days) else 0.0
    rng = np.random.default_rng([*seed, 0])
    rates = pace.draws(golfer.samples, rng)
    grid = np.concatenate([chunk_days(pace.mean, chunk) for chunk in range(chunks(last))])
    parts = [half_year(golfer, rates, pace, chunk, [*seed, 1, chunk]) for chunk in range(chunks(last))]
    reach = int(np.searchsorted(grid, last)) + 1  # the day after the last one asked is the last one needed
    grid, shocks = grid[:reach], side_by_side([part[0] for part in parts])[:, :, :reach]
    form = form_path(golfer, grid, shocks[0]) + drift_path(golfer, grid, shocks[1])
    luck = side_by_side([part[1] for part in parts])[:, :reach]
    steady = steady_path(golfer, np.concatenate([grid, days]), hours)
    scores = steady[:, :reach] + form + luck
    happened = side_by_side([part[2] for part in parts])[:, :reach]
    place = np.searchsorted(grid, days)
    mean = steady[:, reach:] + form_between(golfer, days, grid, form)
    noise = luck[:, np.minimum(place, len(grid) - 1)]
    now = np.nan if state.index is None else state.index / 10.0
    index = np.full((golfer.samples, len(days)), now)
    if pace.mean > 0:
        ordinals = (golfer.as_of + EPOCH_ORDINAL + grid).astype(np.int64)
        paths = index_paths(state, ordinals, np.where(happened, scores, np.nan))
        latest = np.searchsorted(grid, days, side="right") - 1
        reached = latest >= 0
        index[:, reached] = paths[:, latest[reached]]
    return Ahead(days, mean, mean + noise, index, pace)


def half_year(
    golfer: GolferDraws, rates: FLOATS, pace: Pace, chunk: int, seed: list[int]
) -> tuple[FLOATS, FLOATS, npt.NDArray[np.bool_]]:
    """Luck of one half year: shocks of form and drift (2, S, T), strokes of course and round, days.

    Each half year has a random stream of its own, so that an answer for one date does not depend on which
    other dates were asked.
    """
    rng = np.random.default_rng(seed)
    days = chunk_days(pace.mean, chunk)
    season = season_on(pace.season, golfer.as_of + days.astype(np.int64))
    shape = (golfer.samples, len(days))
    courses = golfer.population["course_effect"]
    course = np.take_along_axis(courses, rng.integers(courses.shape[1], size=shape), axis=1)
    luck = course + golfer.noise[:, None] * round_noise(shape, rng)
    return rng.standard_normal(size=(2, *shape)), luck, played_on(days, rates, season, rng)


def side_by_side[T: np.generic](parts: list[npt.NDArray[T]]) -> npt.NDArray[T]:
    """Put half years one after the other along their last axis; one alone is not copied."""
    return parts[0] if len(parts) == 1 else np.concatenate(parts, axis=-1)


def form_between(golfer: GolferDraws, days: FLOATS, grid: FLOATS, form: FLOATS) -> FLOATS:
    """Form on the asked days, straight between today and the days of the grid, shape (S, H)."""
    steady_grid = np.concatenate([[0.0], grid])
    form = np.hstack([golfer.form[:, None], form])
    right = np.clip(np.searchsorted(steady_grid, days), 1, len(steady_grid) - 1)
    gap = steady_grid[right] - steady_grid[right - 1]
    share = np.clip((days - steady_grid[right - 1]) / gap, 0.0, 1.0)
    between: FLOATS = form[:, right - 1] * (1.0 - share) + form[:, right] * share
    return between
