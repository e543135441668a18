"""One golfer's future with everything worked out but the practice of the weeks to come."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import date, timedelta
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.errors import InputError
from paryield.forecast.answer import form_between, half_year
from paryield.forecast.habits import habit_hours
from paryield.forecast.limits import limit_hours
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
from paryield.forecast.pace import Pace, club_paces
from paryield.forecast.rounds import chunk_days, chunks
from paryield.posterior import Posterior
from paryield.scoring import IndexState, index_state
from paryield.tables import Tables

FLOATS = npt.NDArray[Any]
"""Double precision where worked out, single where kept, as the draws are stored."""

EPOCH = date(1970, 1, 1)
STEPS = tuple(range(0, 27, 2))
"""Weeks ahead at which practice is worked out; between them it runs straight."""


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
        seen=_seen(posterior)[: len(real)],
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


def _seen(posterior: Posterior) -> FLOATS:
    """Most hours a week that any golfer keeps up, by category."""
    usual = np.maximum(posterior.constant("habit"), posterior.constant("recent"))
    most: FLOATS = usual.max(axis=0) if len(usual) else np.zeros(len(posterior.categories))
    return most
