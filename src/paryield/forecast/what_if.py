"""What if the week were another one: the forecast under any weekly hours, quick enough for a slider."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

import numpy as np

from paryield.errors import InputError
from paryield.forecast.scene import FLOATS, Scene, make_scene
from paryield.results import QUANTILES
from paryield.scoring import index_paths

GAIN_WEEKS = 12
MOST_WEEKLY_HOURS = 112.0
"""Hours in a week at 16 hours a day, the most that a diary holds."""


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
    from paryield.forecast.answer import gate
    from paryield.forecast.current import current_fit

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
