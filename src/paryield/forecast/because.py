"""Why an average round is expected to move: the change from today to a day ahead, by cause."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.forecast.outlook import GolferDraws, columns_ahead, lost_ahead, shared_path
from paryield.model.terms import TERMS, shared_strokes

FLOATS = npt.NDArray[np.float64]
SHARED = tuple(dict.fromkeys(term.part for term in TERMS if term.part != "form"))
"""Parts that the terms of the model add, but what of a spell is form."""

ALWAYS = ("season", "practice", "background", "form")
"""Parts that are named even where they are nothing."""

SHOWN = ("q10", "q50", "q90")


def change_ahead(golfer: GolferDraws, days: FLOATS, hours: FLOATS, mean: FLOATS) -> dict[str, FLOATS]:
    """Split the change of the mean differential from the last day of the data to days ahead.

    Parameters
    ----------
    golfer : GolferDraws
    days : array, shape (H,)
        Days after the as-of day.
    hours : array, shape (J,)
        Weekly hours by category.
    mean : array, shape (S, H)
        Mean differential on those days, as forecast.

    Returns
    -------
    dict of array, shape (S, H)
        Strokes by part, positive where scores rise; they sum to the change. ``form`` is what is left when
        today's form fades and new form and drift come; ``programme`` is form on joining one that fades.
    """
    both = np.concatenate([[0.0], days])
    lost = lost_ahead(golfer, both, hours)
    paths = {"practice": lost}
    columns, shared = columns_ahead(golfer, both), shared_path(golfer, both)
    for part in SHARED:
        mine = {term.name: columns[term.name] for term in TERMS if term.part == part and term.name in columns}
        paths[part] = shared_strokes(golfer.population, mine) + np.zeros(shared.shape)
    paths["programme"] = shared - sum(paths[part] for part in SHARED if part != "programme")
    parts = {name: path[:, 1:] - path[:, :1] for name, path in paths.items()}
    steady = lost + shared + golfer.drift.sum(axis=1)[:, None] * golfer.drift_now
    parts["form"] = mean - steady[:, 1:] - golfer.form[:, None]
    return parts


def because_records(parts: dict[str, FLOATS], place: int) -> list[dict[str, Any]]:
    """Records of the parts on one of the days: part, mean and the 8-in-10 range, the largest first."""
    found = []
    for name, draws in parts.items():
        sample = draws[:, place]
        if name in ALWAYS or np.abs(sample).max() > 1e-9:
            low, middle, high = map(float, np.quantile(sample, [0.1, 0.5, 0.9]))
            values = dict(zip(SHOWN, (low, middle, high), strict=True))
            found.append({"part": name, "mean": float(sample.mean()), **values})
    return sorted(found, key=lambda one: -abs(one["mean"]))
