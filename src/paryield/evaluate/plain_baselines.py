"""Forecasts of a golfer from the own rounds alone: the last one, the mean of the last 20, a line."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.units import DAYS_PER_YEAR

COLUMNS = ("golfer_id", "played_on", "differential")

LAST = 20
"""Rounds of a handicap record (Rules of Handicapping, Rule 5.2, verified)."""

LINE_ROUNDS = 5
"""Rounds that a golfer's own line needs; below, and where all were played on one day, the mean of the last
20 stands in (our choice)."""


@dataclass(frozen=True)
class Guess:
    """A forecast of one golfer: mean, sd of the level, sd of one round about it, degrees of freedom."""

    mean: float
    level_sd: float
    round_sd: float
    freedom: float = inf

    def draws(self, quantity: str, count: int, rng: np.random.Generator) -> FLOATS:
        """Return draws, shape (count,), of the level or of one round."""
        sd = self.level_sd if quantity == "mean_differential" else np.hypot(self.level_sd, self.round_sd)
        unit = rng.standard_normal(count) if self.freedom == inf else rng.standard_t(self.freedom, count)
        return np.asarray(self.mean + sd * unit, dtype=float)


Guesses = dict[str, Guess]


def known_rounds(rounds: pd.DataFrame, day: pd.Timestamp) -> pd.DataFrame:
    """Return the rounds up to a day by golfer and date, with ``years`` before the day (0 or less)."""
    absent = [column for column in COLUMNS if column not in rounds]
    if absent:
        raise InputError(
            f"the column {absent[0]} is missing", where="rounds", remedy="give " + ", ".join(COLUMNS)
        )
    found = rounds.loc[:, list(COLUMNS)].dropna()
    found["played_on"] = pd.to_datetime(found["played_on"])
    found = found[found["played_on"] <= day].sort_values(["golfer_id", "played_on"], kind="stable")
    found["years"] = (found["played_on"] - day).dt.days / DAYS_PER_YEAR
    return found.reset_index(drop=True)


def round_sd(known: pd.DataFrame) -> float:
    """Return the sd of one round about the golfer's mean of the last 20, pooled over golfers, strokes."""
    last = known.groupby("golfer_id")["differential"].tail(LAST)
    away = last - last.groupby(known["golfer_id"]).transform("mean")
    freedom = len(last) - known["golfer_id"].nunique()
    if freedom < 1:
        raise InputError(
            "no golfer has two rounds up to that day",
            where="rounds",
            remedy="take a later day or more rounds",
        )
    return float(np.sqrt((away**2).sum() / freedom))


def no_change(known: pd.DataFrame, day: pd.Timestamp, weeks: int) -> Guesses:
    """The next round is like the last one, which stands off the level by one round's luck."""
    sd = round_sd(known)
    last = known.groupby("golfer_id")["differential"].last()
    return {str(golfer): Guess(float(value), sd, sd) for golfer, value in last.items()}


def mean_of_last_20(known: pd.DataFrame, day: pd.Timestamp, weeks: int) -> Guesses:
    """The level is the mean of the last 20 rounds."""
    sd = round_sd(known)
    last = known.groupby("golfer_id").tail(LAST).groupby("golfer_id")["differential"]
    means, sizes = last.mean(), last.size()
    return {str(name): Guess(float(means[name]), sd / float(sizes[name]) ** 0.5, sd) for name in means.index}


def own_trend(known: pd.DataFrame, day: pd.Timestamp, weeks: int) -> Guesses:
    """Each golfer's own least squares line over all rounds, drawn on."""
    guesses = mean_of_last_20(known, day, weeks)
    at = weeks * 7 / DAYS_PER_YEAR
    for golfer, own in known.groupby("golfer_id"):
        years, scores = own["years"].to_numpy(float), own["differential"].to_numpy(float)
        if len(own) >= LINE_ROUNDS and np.ptp(years) > 0:
            guesses[str(golfer)] = line_guess(years, scores, at)
    return guesses


def line_guess(years: FLOATS, scores: FLOATS, at: float) -> Guess:
    """Return a least squares line, shape (N,) each, at a time; errors with N - 2 degrees of freedom."""
    centre, away = years.mean(), years - years.mean()
    slope = away @ scores / (away @ away)
    freedom = len(years) - 2
    left = scores - scores.mean() - slope * away
    sd = float(np.sqrt(left @ left / freedom))
    level_sd = sd * float(np.sqrt(1 / len(years) + (at - centre) ** 2 / (away @ away)))
    return Guess(float(scores.mean() + slope * (at - centre)), level_sd, sd, float(freedom))
