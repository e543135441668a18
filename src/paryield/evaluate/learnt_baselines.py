"""Forecasts learnt from all golfers' rounds together: a shrunk regression, and boosted trees."""

from __future__ import annotations

import numpy as np
import pandas as pd
from sklearn.ensemble import HistGradientBoostingRegressor
from sklearn.linear_model import Ridge
from sklearn.model_selection import GroupKFold, cross_val_predict
from threadpoolctl import threadpool_limits  # type: ignore[import-untyped]

from paryield.arrays import FLOATS
from paryield.evaluate.plain_baselines import (
    LAST,
    LINE_ROUNDS,
    Guess,
    Guesses,
    mean_of_last_20,
    round_sd,
)
from paryield.units import DAYS_PER_YEAR

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
