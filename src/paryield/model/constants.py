"""Data of a fit that answers need beside its draws, from the observations."""

from __future__ import annotations

from typing import Any

import numpy as np
import xarray as xr

from paryield.dose.diary import Diary
from paryield.dose.stock import HALF_LIFE_NODES
from paryield.model.design import Observations
from paryield.model.doses import Doses
from paryield.model.terms import TERMS
from paryield.model.terms.drift import come
from paryield.model.terms.term import Term
from paryield.tables.categories import AREAS, Category


def constants(data: Observations) -> xr.Dataset:
    """Return data of the fit that answers need, without chain and draw; ``level_usual`` as guessed."""
    values: dict[str, Any] = {
        **practice_part(data.diary, data.categories, data.doses),
        "starts": ("golfer", data.starts),
        "gap_guess": (("golfer", "area"), data.gap_guess),
        "joined": ("golfer", data.joined),
        "drift_now": ("golfer", come(data.as_of - data.starts, data.as_of - data.starts)),
        "noise_df": ("golfer", data.noise_df),
        "rounds_seen": ("golfer", np.bincount(data.owner, data.scored, minlength=len(data.golfers))),
        "rounds_greens": ("golfer", data.count("greens")),
        "rounds_putts": ("golfer", data.count("putts")),
        "rounds_shots": ("golfer", np.bincount(data.owner, data.documented, minlength=len(data.golfers))),
        "tests_seen": ("golfer", data.count("test")),
        "serves": (("category", "area"), data.serves),
        **{one.kept: (("golfer", kept_axis(one)), data.kept[one.kept]) for one in TERMS if one.kept},
        "knots": ("knot", data.knots),
        "level_usual": ("golfer", data.level_guess),
    }
    return xr.Dataset(values, coords={"golfer": list(data.golfers), "area": list(AREAS)})


def kept_axis(term: Term) -> str:
    """Dimension of what is kept of a term for each golfer."""
    dims = term.values[0].dims
    return dims[0] if dims else f"{term.name}_column"


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
