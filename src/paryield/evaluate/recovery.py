"""Recovery: plant population gains, draw rounds from the model, fit, compare."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.model.design import build_observations
from paryield.model.fit import fit_observations
from paryield.model.simulate import draw_population, simulate_rounds, with_gains
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec, make_club
from paryield.tables import make_tables

MULTIPLES = (0.5, 1.0, 2.0)
HOURS_A_WEEK = 6.0
BLOCK_WEEKS = 13


def planted_gains(seed: int, categories: int, spec: ModelSpec) -> FLOATS:
    """Gains of each category: 0.5, 1 and 2 times the prior median in equal parts, shuffled by the seed."""
    rng = np.random.default_rng([seed, 5])
    multiples = np.resize(np.array(MULTIPLES), categories)
    rng.shuffle(multiples)
    gains: FLOATS = spec.priors.gain_median * multiples
    return gains


def block_diary(golfers: list[str], categories: tuple[str, ...], club: ClubSpec) -> pd.DataFrame:
    """A diary in blocks: every quarter each golfer works on two categories drawn by lot.

    Steady habits say next to nothing about single categories, whatever the model: with half an hour a week
    in each, the stock moves by a few hours in a year. Blocks are what a coach would set to find out.
    """
    rng = np.random.default_rng([club.seed, 7])
    rows: list[dict[str, Any]] = []
    for golfer in golfers:
        weekly = rng.lognormal(np.log(HOURS_A_WEEK), 0.4)
        chosen: list[str] = []
        for week in range(club.weeks):
            if week % BLOCK_WEEKS == 0:
                chosen = [str(name) for name in rng.choice(categories, size=2, replace=False)]
            day = pd.Timestamp(club.starts_on) + pd.Timedelta(days=7 * week + int(rng.integers(7)))
            for name in chosen:
                minutes = round(30.0 * weekly * rng.gamma(8.0, 1.0 / 8.0))
                rows.append(
                    {
                        "golfer_id": golfer,
                        "practised_on": min(day, pd.Timestamp(club.ends_on)),
                        "category": name,
                        "entry_no": len(rows) + 1,
                        "minutes": minutes,
                    }
                )
    return pd.DataFrame(rows)


def recover(seed: int, spec: ModelSpec, club: ClubSpec) -> pd.DataFrame:
    """Recover planted gains on one made-up design.

    The calendar of rounds comes from a made-up club and the diary from :func:`block_diary`; golfers and
    scores are drawn from the model with population values drawn from the prior and the planted gains.

    Returns
    -------
    DataFrame
        One row per category: truth, mean, q10, q90, covered.
    """
    tables = make_club(club).tables
    frames = dict(tables.items())
    frames["practice"] = block_diary(list(tables.golfers["golfer_id"]), club.categories, club)
    design = build_observations(make_tables(frames), spec)
    values = draw_population(design, spec, seed)
    names = [category.name for category in design.categories]
    gains = planted_gains(seed, len(names) - 1, spec)
    values = with_gains(values, design, spec, np.append(gains, 0.0))
    data, _ = simulate_rounds(values, design, np.random.default_rng([seed, 6]))
    fit = fit_observations(data, spec, cores=1)
    draws = fit.draws("gain")
    rows: list[dict[str, Any]] = []
    for place, name in enumerate(names[:-1]):
        low, high = np.quantile(draws[:, place], [0.1, 0.9])
        rows.append(
            {
                "seed": seed,
                "category": name,
                "truth": float(gains[place]),
                "mean": float(draws[:, place].mean()),
                "q10": float(low),
                "q90": float(high),
                "covered": bool(low <= gains[place] <= high),
            }
        )
    return pd.DataFrame(rows)
