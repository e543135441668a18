"""The named forecasts that the model must beat: none of them knows of practice."""

from __future__ import annotations

from collections.abc import Callable, Collection
from datetime import date

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.evaluate.learnt_baselines import gradient_boosting, pooled_regression
from paryield.evaluate.plain_baselines import Guesses, known_rounds, mean_of_last_20, no_change, own_trend

QUANTITIES = ("mean_differential", "score_differential")

BASELINES: dict[str, Callable[[pd.DataFrame, pd.Timestamp, int], Guesses]] = {
    "no_change": no_change,
    "mean_of_last_20": mean_of_last_20,
    "own_trend": own_trend,
    "pooled_regression": pooled_regression,
    "gradient_boosting": gradient_boosting,
}
"""Each takes known rounds, the day and the weeks ahead, and gives mean and spread by golfer."""


def baseline(
    name: str,
    rounds: pd.DataFrame,
    as_of: date,
    weeks: int,
    draws: int = 1000,
    seed: int = 0,
    *,
    quantity: str = "mean_differential",
) -> dict[str, FLOATS]:
    """Forecast every golfer with a named baseline.

    Parameters
    ----------
    name : str
        One of :data:`BASELINES`: ``no_change`` (the last round), ``mean_of_last_20``, ``own_trend`` (a least
        squares line a golfer), ``pooled_regression`` (golfers shrunk to their mean, season, time) or
        ``gradient_boosting`` (learnt on earlier days of the same records).
    rounds : DataFrame
        One row a round: golfer_id, played_on, differential (strokes). Rows after ``as_of`` are left out
        before anything else, and so are rows without a differential.
    as_of : date
        Last day that is known.
    weeks : int
        Weeks ahead, 0 or more.
    draws : int
        Draws a golfer.
    seed : int
        One seed gives one answer.
    quantity : str
        ``mean_differential`` (the level) or ``score_differential`` (one round).

    Returns
    -------
    dict
        Draws, shape (draws,), strokes, of each golfer with a round up to ``as_of``.

    Raises
    ------
    InputError
        When a name is unknown, a column is missing, or no golfer has two rounds up to ``as_of``.
    """
    _refuse_unknown("baseline", name, BASELINES)
    _refuse_unknown("quantity", quantity, QUANTITIES)
    if weeks < 0:
        raise InputError(f"{weeks} weeks ahead lie in the past", where="weeks", remedy="give 0 or more")
    day = pd.Timestamp(as_of)
    guesses = BASELINES[name](known_rounds(rounds, day), day, weeks)
    rng = np.random.default_rng(seed)
    return {golfer: guess.draws(quantity, draws, rng) for golfer, guess in guesses.items()}


def _refuse_unknown(kind: str, name: str, known: Collection[str]) -> None:
    if name not in known:
        raise InputError(f"there is no {kind} {name!r}", where=kind, remedy=f"use one of {', '.join(known)}")
