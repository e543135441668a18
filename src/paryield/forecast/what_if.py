"""One golfer's future under any weekly hours: all but the practice worked out, quick enough for a slider."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import date, timedelta
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.errors import InputError
from paryield.forecast.ahead import form_between, half_year
from paryield.forecast.habits import habit_hours, limit_hours
from paryield.forecast.once import own_record, own_rows
from paryield.forecast.outlook import (
    GolferDraws,
    drift_path,
    form_path,
    golfer_draws,
    practised,
    start_held,
    steady_path,
    stock_line,
)
from paryield.forecast.rounds import Pace, chunk_days, chunks, club_paces
from paryield.posterior import Posterior
from paryield.results import QUANTILES
from paryield.scoring import IndexState, index_paths, index_state
from paryield.tables import Tables

FLOATS = npt.NDArray[Any]
"""Double precision where worked out, single where kept, as the draws are stored."""

EPOCH = date(1970, 1, 1)
STEPS = tuple(range(0, 27, 2))
"""Weeks ahead at which practice is worked out; between them it runs straight."""

GAIN_WEEKS = 12
MOST_WEEKLY_HOURS = 112.0
"""Hours in a week at 16 hours a day, the most that a diary holds."""


@dataclass(frozen=True)
class Scene:
    """One golfer, everything but the hours worked out; S draws, T days of practice, G days of rounds.

    Parameters
    ----------
    golfer_id : str
    categories : tuple of str
        Those that a golfer can practise, in the order of the hours.
    now : array, shape (J,)
        Present hours a week.
    seen : array, shape (J,)
        Most weekly hours that any golfer of the club keeps up.
    ceiling : array, shape (J,)
        Hours a week that a limit on file allows; infinite without one.
    as_of : date
    goal, by : float and date, optional
        Handicap Index to reach, and when.
    """

    golfer_id: str
    categories: tuple[str, ...]
    now: FLOATS
    seen: FLOATS
    ceiling: FLOATS
    as_of: date
    goal: float | None
    by: date | None
    draws: GolferDraws = field(repr=False)
    days: FLOATS = field(repr=False)
    idle: FLOATS = field(repr=False)
    per_hour: FLOATS = field(repr=False)
    rest: FLOATS = field(repr=False)
    rounds: FLOATS = field(repr=False)
    between: FLOATS = field(repr=False)
    grid: FLOATS = field(repr=False)
    state: IndexState = field(repr=False)
    lost_now: FLOATS = field(repr=False)
    plays: bool = True

    @cached_property
    def _held(self) -> FLOATS:
        return start_held(self.draws, self.days)

    def lost(self, hours: FLOATS) -> FLOATS:
        """Strokes lost from level and practice on the days, shape (S, T)."""
        padded = np.zeros(self.per_hour.shape[-1], dtype=self.per_hour.dtype)
        padded[: len(hours)] = hours
        stock = np.maximum(self.idle + self.per_hour * padded, 0)
        found: FLOATS = practised(self.draws, stock, self.days, self._held).sum(axis=2)
        return found


def make_scene(
    posterior: Posterior,
    tables: Tables,
    golfer_id: str,
    *,
    goal: float | None = None,
    by: date | None = None,
    also: Sequence[date] = (),
    pace: Pace | None = None,
) -> Scene:
    """Work out everything that does not depend on the hours.

    The random rounds, form and drift are those of ``forecast`` for the same golfer and seed, so that two
    weeks of practice differ by practice alone.

    Raises
    ------
    InputError
        For a golfer that the fit does not know.
    """
    if golfer_id not in posterior.golfers:
        raise InputError(
            f"the fit knows no golfer {golfer_id!r}", where="what if", remedy="fit again if the golfer is new"
        )
    own = golfer_draws(posterior, golfer_id)
    as_of = EPOCH + timedelta(days=posterior.as_of)
    days = _days(as_of, by, also)
    habit = habit_hours(posterior, golfer_id)
    real = tuple(name for name in posterior.categories if name != "phantom")
    record = own_record(tables, golfer_id)
    state = IndexState() if record is None else index_state(record)
    pace = pace or club_paces(tables, posterior.golfers, posterior.as_of)[golfer_id]
    seed = [int(posterior.facts["seed"]), posterior.seed_of(golfer_id)]
    rates = pace.draws(own.samples, np.random.default_rng([*seed, 0]))
    number = chunks(float(days[-1]))
    grid = np.concatenate([chunk_days(pace.mean, chunk) for chunk in range(number)])
    parts = [half_year(own, rates, pace, chunk, [*seed, 1, chunk]) for chunk in range(number)]
    shocks = np.concatenate([part[0] for part in parts], axis=2)
    form = form_path(own, grid, shocks[0]) + drift_path(own, grid, shocks[1])
    path = steady_path(own, grid, habit) + form
    mean = steady_path(own, days, habit) + form_between(own, days, grid, form)
    played = np.hstack([part[2] for part in parts])
    luck = np.hstack([part[1] for part in parts])
    idle, per_hour = _stock_parts(own, days)
    between = _weights(days, grid)
    draws = _single(own)
    scene = Scene(
        golfer_id=golfer_id,
        categories=real,
        now=habit[: len(real)],
        seen=most_kept_up(posterior)[: len(real)],
        ceiling=limit_hours(
            own_rows(tables, golfer_id), golfer_id, real, as_of, math.ceil(float(days[-1]) / 7)
        ),
        as_of=as_of,
        goal=goal,
        by=by,
        draws=draws,
        days=days.astype(np.float32),
        idle=idle,
        per_hour=per_hour,
        rest=mean,
        rounds=luck,
        between=between,
        grid=(posterior.as_of + EPOCH.toordinal() + grid).astype(np.float64),
        state=state,
        lost_now=np.zeros(0),
        plays=pace.mean > 0,
    )
    lost = scene.lost(habit[: len(real)])
    rounds = np.where(played, path + luck - lost @ between, np.nan).astype(np.float32)
    return replace(scene, rest=(mean - lost).astype(np.float32), rounds=rounds, lost_now=lost)


def _days(as_of: date, by: date | None, also: Sequence[date]) -> FLOATS:
    asked = {float((day - as_of).days) for day in (by, *also) if day is not None and day > as_of}
    days = {7.0 * week for week in STEPS} | asked
    if asked:
        days |= set(np.arange(196.0, max(asked), 28.0).tolist())
    return np.array(sorted(days))


def _stock_parts(own: GolferDraws, days: FLOATS) -> tuple[FLOATS, FLOATS]:
    """Stock on the days without practice, and what one weekly hour adds to it, as they are stored."""
    left, per_hour = stock_line(own, days)
    return left.astype(np.float32), per_hour.astype(np.float32)


def _weights(days: FLOATS, grid: FLOATS) -> FLOATS:
    """Weights (T, G) that carry values on the days straight to the days of rounds."""
    return np.array([np.interp(grid, days, row) for row in np.eye(len(days))]).astype(np.float32)


def _single(own: GolferDraws) -> GolferDraws:
    """Return the draws in single precision, as they are stored."""
    small: dict[str, Any] = {}
    for item in fields(own):
        value = getattr(own, item.name)
        if isinstance(value, np.ndarray):
            small[item.name] = value.astype(np.float32)
    return replace(own, **small)


def most_kept_up(posterior: Posterior) -> FLOATS:
    """Most hours a week that any golfer keeps up, by category."""
    usual = np.maximum(posterior.constant("habit"), posterior.constant("recent"))
    most: FLOATS = usual.max(axis=0) if len(usual) else np.zeros(len(posterior.categories))
    return most


@dataclass(frozen=True)
class WhatIf:
    """The answer for one week of practice.

    ``records`` are those of ``forecast``, ``gain`` are draws of strokes saved a round against the present
    week after 12 weeks, shape (S,), ``index`` the draws of the index, shape (S, T).
    """

    hours: FLOATS
    records: list[dict[str, Any]]
    chance: float | None
    gain: FLOATS = field(repr=False)
    index: FLOATS = field(repr=False)


def what_if(
    club: Any,
    golfer: str,
    hours: Mapping[str, float],
    goal: float | None = None,
    by: date | None = None,
    anyway: bool = False,
) -> WhatIf:
    """Forecast a golfer under any weekly hours.

    Parameters
    ----------
    club : Club
    golfer : str
    hours : mapping of str to float
        Hours a week by practice category; one that is not named is not practised.
    goal, by : float and date, optional
        Handicap Index to reach and the date.
    anyway : bool
        Answer although the health gate says no.

    Raises
    ------
    InputError
        For an unknown golfer or category, or hours that no week holds.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.forecast.current import current_fit
    from paryield.forecast.gate import gate

    _, posterior = current_fit(club)
    gate(posterior, anyway)
    scene = make_scene(posterior, club.tables(), golfer, goal=goal, by=by)
    return answer(scene, hours_of(scene, hours))


def answer(scene: Scene, hours: FLOATS) -> WhatIf:
    """Forecast under weekly hours, shape (J,), in the order of the scene's categories."""
    lost = scene.lost(hours)
    mean = lost + scene.rest
    index = index_of(scene, lost)
    at = int(np.searchsorted(scene.days, 7 * GAIN_WEEKS))
    gain = scene.lost_now[:, at] - lost[:, at]
    chance = None
    if scene.goal is not None and scene.by is not None and not np.isnan(index).any():
        place = int(np.searchsorted(scene.days, (scene.by - scene.as_of).days))
        chance = float(np.mean(index[:, place] <= scene.goal + 1e-9))
    return WhatIf(np.asarray(hours, float), _records(scene, mean, index), chance, gain, index)


def index_of(scene: Scene, lost: FLOATS) -> FLOATS:
    """Index in force on the scene's days for strokes lost (S, T) on them, shape (S, T); NaN without one."""
    now = np.nan if scene.state.index is None else scene.state.index / 10.0
    index = np.full(lost.shape, now)
    if scene.plays:
        paths = index_paths(scene.state, scene.grid.astype(np.int64), lost @ scene.between + scene.rounds)
        ordinals = scene.as_of.toordinal() + scene.days
        latest = np.searchsorted(scene.grid, ordinals, side="right") - 1
        index[:, latest >= 0] = paths[:, latest[latest >= 0]]
    return index


def hours_of(scene: Scene, hours: Mapping[str, float]) -> FLOATS:
    """Return hours by name in the order of the scene.

    Raises
    ------
    InputError
        For a category that the fit does not know, hours below 0, or more than a week or a limit holds.
    """
    known = ", ".join(scene.categories)
    for name, value in hours.items():
        if name not in scene.categories:
            raise InputError(f"the fit knows no practice category {name!r}", remedy=f"use one of {known}")
        if not 0 <= value <= MOST_WEEKLY_HOURS:
            raise InputError(
                f"{value:g} hours a week of {name} cannot be", remedy=f"use 0 to {MOST_WEEKLY_HOURS:g}"
            )
    found = np.array([hours.get(name, 0.0) for name in scene.categories], dtype=float)
    if found.sum() > MOST_WEEKLY_HOURS:
        raise InputError(
            f"{found.sum():g} hours do not fit into a week", remedy=f"use at most {MOST_WEEKLY_HOURS:g}"
        )
    return np.minimum(found, scene.ceiling)


def _records(scene: Scene, mean: FLOATS, index: FLOATS) -> list[dict[str, Any]]:
    found = []
    for quantity, values in (("mean_differential", mean), ("handicap_index", index)):
        given = ~np.isnan(values).any(axis=0)
        levels = np.quantile(values, list(QUANTILES.values()), axis=0)
        for place, day in enumerate(scene.days.tolist()):
            bands = dict(zip(QUANTILES, levels[:, place].tolist(), strict=True))
            found.append(
                {
                    "golfer_id": scene.golfer_id,
                    "on": (scene.as_of + timedelta(days=int(day))).isoformat(),
                    "weeks": day / 7,
                    "quantity": quantity,
                    "reportable": bool(given[place]),
                    **(bands if given[place] else dict.fromkeys(QUANTILES)),
                    "mean": float(values[:, place].mean()) if given[place] else None,
                }
            )
    return found
