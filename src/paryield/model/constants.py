"""Data of a fit that answers need beside its draws, from the observations."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import xarray as xr

from paryield.dose.diary import Diary
from paryield.dose.stock import HALF_LIFE_NODES
from paryield.model.design import SHORTEST_DRIFT_DAYS, Observations
from paryield.model.doses import Doses
from paryield.tables.categories import AREAS, Category

FLOATS = npt.NDArray[np.float64]


def constants(data: Observations) -> xr.Dataset:
    """Return the constants of :data:`paryield.posterior.contents.CONSTANTS`; ``level_usual`` as guessed."""
    found = Doses(
        data.stock, data.held, data.steady_factor, data.steady, data.stock_now, data.decay_now
    )  # fmt: skip
    values: dict[str, Any] = {
        **practice_part(data.diary, data.categories, found),
        "starts": ("golfer", data.starts),
        "gap_guess": (("golfer", "area"), data.gap_guess),
        "joined": ("golfer", data.joined),
        "drift_now": ("golfer", drift_now(data.starts, data.as_of)),
        "noise_df": ("golfer", data.noise_df),
        "rounds_seen": ("golfer", np.bincount(data.owner, data.scored, minlength=len(data.golfers))),
        "rounds_greens": ("golfer", data.count("greens")),
        "rounds_putts": ("golfer", data.count("putts")),
        "rounds_shots": ("golfer", np.bincount(data.owner, data.documented, minlength=len(data.golfers))),
        "tests_seen": ("golfer", data.count("test")),
        "serves": (("category", "area"), data.serves),
        "exposure_now": (("golfer", "programme"), data.exposure_now),
        "form_now": (("golfer", "programme"), data.form_now),
        "knots": ("knot", data.knots),
        "level_usual": ("golfer", data.level_guess),
    }
    return xr.Dataset(values, coords={"golfer": list(data.golfers), "area": list(AREAS)})


def drift_now(starts: npt.NDArray[np.int64], as_of: int) -> FLOATS:
    """Share of each golfer's drift that is there on the last day, shape (golfer,)."""
    span = np.maximum(as_of - starts, SHORTEST_DRIFT_DAYS)
    share: FLOATS = np.sin(np.pi / 2 * np.clip((as_of - starts) / span, 0.0, 1.0))
    return share


def practice_part(diary: Diary, categories: tuple[Category, ...], found: Doses) -> dict[str, Any]:
    """The constants that practice makes; ``categories`` are the diary's, and the phantom's last."""
    nodes = np.array(HALF_LIFE_NODES)[:, None] * np.array([c.half_life_days for c in categories])
    pad = np.zeros((len(diary.golfers), len(categories) - len(diary.categories)))
    axes = ("node", "golfer", "category")
    return {
        "habit": (axes[1:], np.hstack([diary.habit, pad])),
        "recent": (axes[1:], np.hstack([diary.recent, pad])),
        "stock_now": (axes, np.array(found.stock_now)),
        "decay_now": (axes, np.array(found.decay_now)),
        "steady": (axes, np.array(found.steady)),
        "node_half_life": (("node", "category"), nodes),
        "has_diary": ("golfer", diary.has_diary.astype(np.int8)),
        "weeks_known": ("golfer", diary.weeks_known),
        "weeks_filled": ("golfer", diary.weeks_filled),
    }
