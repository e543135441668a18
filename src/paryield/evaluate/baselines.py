"""The named forecasts that the model must beat, plain and learnt: none of them knows of practice."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass
from datetime import date
from math import inf

import numpy as np
import pandas as pd
from sklearn.ensemble import HistGradientBoostingRegressor
from sklearn.linear_model import Ridge
from sklearn.model_selection import GroupKFold, cross_val_predict
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.units import DAYS_PER_YEAR

COLUMNS = ("golfer_id", "played_on", "differential")

LAST = 20
"""Rounds of a handicap record (Rules of Handicapping, Rule 5.2, verified)."""

LINE_ROUNDS = 5
"""Rounds that a golfer's own line needs; below, and where all were played on one day, the mean of the last
20 stands in (our choice)."""

DRIFT_SD = 1.0
"""Strokes, and strokes a year, to which season and time are held in the pooled regression (our choice): half
a year of records would otherwise take one for the other and run away."""

ORIGIN_DAYS = 28
"""Days between the earlier days from which boosting learns (our choice)."""

BOOSTING_PAIRS, BOOSTING_GOLFERS = 100, 5
"""Least pairs of an earlier day and a later round, and least golfers, to learn from; below, the mean of the
last 20 stands in (our choice)."""


INPUTS = ["mean", "trend", "size", "ahead", "cos", "sin"]
"""What boosting looks at."""


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


def season(dates: pd.Series | pd.DatetimeIndex) -> FLOATS:
    """Return cosine and sine of the time of year, shape (N, 2)."""
    angle = 2 * np.pi * pd.DatetimeIndex(dates).day_of_year.to_numpy(float) / DAYS_PER_YEAR
    return np.column_stack([np.cos(angle), np.sin(angle)])


def golfer_sd(known: pd.DataFrame, sd: float) -> float:
    """Return the sd of golfers' levels: variance of their means less what luck adds, strokes."""
    means = known.groupby("golfer_id")["differential"].agg(["mean", "size"])
    if len(means) < 2:
        return DRIFT_SD
    luck = sd**2 * (1 / means["size"]).mean()
    return float(np.sqrt(max(means["mean"].var() - luck, 0.01 * DRIFT_SD**2)))


def pooled_regression(known: pd.DataFrame, day: pd.Timestamp, weeks: int) -> Guesses:
    """One regression for all: a level a golfer, shrunk to their mean, season and time in common.

    Each column is multiplied with the sd of its effect, so that the one penalty of a ridge regression, the
    variance of a round, shrinks each as its normal distribution would.
    """
    sd, golfers = round_sd(known), pd.Index(known["golfer_id"].unique())
    scale = np.array([golfer_sd(known, sd)] * len(golfers) + [DRIFT_SD] * 3)
    codes = golfers.get_indexer(known["golfer_id"])
    drift = np.column_stack([season(known["played_on"]), known["years"]])
    rows = np.column_stack([np.eye(len(golfers))[codes], drift]) * scale
    ridge = Ridge(alpha=max(sd**2, 1e-9), solver="svd").fit(rows, known["differential"])
    at = pd.DatetimeIndex([day + pd.Timedelta(weeks=weeks)])
    ahead = np.append(season(at)[0], weeks * 7 / DAYS_PER_YEAR)
    asked = np.column_stack([np.eye(len(golfers)), np.tile(ahead, (len(golfers), 1))]) * scale
    means = ridge.predict(asked)
    # the intercept is a column without a penalty
    design, point = (np.column_stack([np.ones(len(each)), each]) for each in (rows, asked))
    penalty = np.diag(np.append(0.0, np.full(len(scale), ridge.alpha)))
    spread = sd**2 * np.linalg.pinv(design.T @ design + penalty, hermitian=True)
    level = np.sqrt(np.maximum(np.einsum("gi,ij,gj->g", point, spread, point), 0.0))
    return {str(name): Guess(float(means[i]), float(level[i]), sd) for i, name in enumerate(golfers)}


def features(known: pd.DataFrame, origin: pd.Timestamp) -> pd.DataFrame:
    """Return what is known of each golfer on a day: mean, trend a year and number of the last 20 rounds."""
    last = known[known["played_on"] <= origin].groupby("golfer_id").tail(LAST)
    by = last["golfer_id"]
    away = last["years"] - last["years"].groupby(by).transform("mean")
    moments = pd.DataFrame({"xy": away * last["differential"], "xx": away**2}).groupby(by).sum()
    found = last.groupby("golfer_id")["differential"].agg(["mean", "size"])
    found["trend"] = (moments["xy"] / moments["xx"]).where(
        (moments["xx"] > 0) & (found["size"] >= LINE_ROUNDS)
    )
    return found


def training_pairs(known: pd.DataFrame, day: pd.Timestamp, weeks: int) -> pd.DataFrame:
    """Return earlier days with the rounds played about as many weeks later, none after the day itself.

    One row a pair: golfer_id, :data:`INPUTS` as known on the earlier day, and ``change``, the strokes by
    which the later round stands above the mean known then.
    """
    slack = pd.Timedelta(weeks=max(2.0, weeks / 2))
    gap, step = pd.Timedelta(weeks=weeks), pd.Timedelta(days=ORIGIN_DAYS)
    pairs = []
    origin = day - step
    while len(known) and origin >= known["played_on"].min():
        after = known["played_on"] - origin
        later = known[(after > pd.Timedelta(0)) & ((after - gap).abs() <= slack)]
        found = later.merge(features(known, origin), left_on="golfer_id", right_index=True)
        found["ahead"] = (found["played_on"] - origin).dt.days / 7.0
        pairs.append(found)
        origin -= step
    rows = (
        pd.concat(pairs, ignore_index=True)
        if pairs
        else known.assign(mean=0.0, size=0, trend=0.0, ahead=0.0)[:0]
    )
    rows[["cos", "sin"]] = season(rows["played_on"])
    rows["change"] = rows["differential"] - rows["mean"]
    return rows


def gradient_boosting(known: pd.DataFrame, day: pd.Timestamp, weeks: int) -> Guesses:
    """Boosted trees on what was known on earlier days, foretelling the change from the mean of the last 20.

    The error of one round comes from golfers left out in turn; what it exceeds a round's luck is the level's.
    """
    guesses, pairs = mean_of_last_20(known, day, weeks), training_pairs(known, day, weeks)
    if len(pairs) < BOOSTING_PAIRS or pairs["golfer_id"].nunique() < BOOSTING_GOLFERS:
        return guesses
    trees = HistGradientBoostingRegressor(learning_rate=0.05, max_leaf_nodes=8, early_stopping=False)
    seen, change = pairs[INPUTS].to_numpy(float), pairs["change"].to_numpy(float)
    now = features(known, day).assign(ahead=float(weeks))
    now[["cos", "sin"]] = season(pd.DatetimeIndex([day + pd.Timedelta(weeks=weeks)] * len(now)))
    with threadpool_limits(1):  # small sums: threads that wait for each other on a busy machine cost more
        folds = GroupKFold(BOOSTING_GOLFERS)
        left = change - cross_val_predict(trees, seen, change, groups=pairs["golfer_id"], cv=folds)
        means = now["mean"] + trees.fit(seen, change).predict(now[INPUTS].to_numpy(float))
    for golfer, mean in means.items():
        plain = guesses[str(golfer)]
        level_sd = np.sqrt(max(float(np.mean(left**2)) - plain.round_sd**2, plain.level_sd**2))
        guesses[str(golfer)] = Guess(float(mean), float(level_sd), plain.round_sd)
    return guesses


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
