"""Made-up clubs whose truth is known: what practice gives there, against what a fit says and what a plain
regression would say."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.dose.diary import days_since_epoch
from paryield.dose.stock import stock
from paryield.forecast import golfer_draws, habit_hours
from paryield.model.before_fit import club_diary
from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec
from paryield.plan.worth import return_draws, returns_fit
from paryield.posterior import Posterior
from paryield.scoring import differentials
from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

WEEKS, HOURS = 10, 20.0
GRID = (
    ("steady", 1.0),
    ("steady", 2.0),
    ("weak", 1.0),
    ("thin", 1.0),
    ("tied", 1.0),
    ("enrol", 1.0),
    ("null", 0.0),
)
"""Kinds of club and factor on what practice gives."""
SPEC = ModelSpec(draws=250, tune=120, chains=2)
LITTLE = 0.1
"""Strokes per 20 hours that count as nearly nothing."""


def recover(case: str, effect: float, seed: int, golfers: int = 40, spec: ModelSpec = SPEC) -> pd.DataFrame:
    """Fit one made-up club and hold its answers against the truth.

    Returns
    -------
    DataFrame
        case, effect, seed and the columns of :func:`answers_of`.
    """
    club = make_club(ClubSpec(golfers=golfers, seed=seed, case=case, effect=effect))
    answers = answers_of(club, fit_tables(club.tables, spec, cores=1))
    kind = pd.DataFrame({"case": case, "effect": effect, "seed": seed}, index=answers.index)
    return kind.join(answers)


def answers_of(club: MadeUpClub, fit: Posterior) -> pd.DataFrame:
    """Compare the club's mean gain of 20 hours over 10 weeks with its truth.

    Returns
    -------
    DataFrame
        One row per category: category, truth (the generator run forward twice), ours, low and high (8 in
        10), covered, raw (slope of rounds on stock without any model, strokes per 20 hours), population_low
        (2.5 % of the population gain), and for the club ``stand_out`` (share of golfers told that a category
        stands out) and ``claimed`` (median gain of the best next hour, strokes).
    """
    ours, answers = mean_gains(fit), returns_fit(fit)
    table = answers.to_frame()
    real = table[table["category"] != PHANTOM]
    stands = real.groupby("golfer_id")["verdict"].agg(lambda words: bool((words == "stands out").any()))
    claimed = float(np.median([draws.max(axis=1) for draws in answers.draws.values()]))
    raw = raw_slopes(club.tables)
    rows: list[dict[str, Any]] = []
    for place, name in enumerate(fit.categories):
        if name == PHANTOM:
            continue
        low, high = (float(value) for value in np.quantile(ours[:, place], [0.1, 0.9]))
        truth = club.truth.population_gain(name, HOURS, WEEKS)
        rows.append(
            {"category": name, "truth": truth, "ours": float(ours[:, place].mean()), "low": low, "high": high}
            | {"raw": raw.get(name), "covered": low <= truth <= high}
            | {"stand_out": float(stands.mean()), "claimed": claimed}
            | {"population_low": float(np.quantile(fit.draws("gain")[:, place], 0.025))}
        )
    return pd.DataFrame(rows)


def mean_gains(fit: Posterior) -> FLOATS:
    """Draws of the club's mean gain of 20 hours over 10 weeks, shape (S, J), strokes."""
    total = np.zeros((fit.samples, len(fit.categories)))
    for golfer in fit.golfers:
        total += return_draws(golfer_draws(fit, golfer), habit_hours(fit, golfer), WEEKS, extra=HOURS / WEEKS)
    return total / len(fit.golfers)


def raw_slopes(tables: Tables) -> dict[str, float]:
    """Strokes that rounds fall per 20 hours of stock, from one plain regression a category.

    No golfers, no season: what a reader would get from a scatter plot of scores against practice.
    """
    diary, _ = club_diary(tables)
    rounds = differentials(tables).dropna(subset=["differential"])
    order = {golfer: place for place, golfer in enumerate(diary.golfers) if diary.has_diary[place]}
    rounds = rounds[rounds["golfer_id"].isin(list(order))]
    golfer = np.array([order[str(one)] for one in rounds["golfer_id"]], dtype=int)
    day = days_since_epoch(rounds["played_on"]) - diary.first_day
    found = {}
    for place, category in enumerate(diary.categories):
        at = stock(diary.hours[:, :, place], category.half_life_days)[golfer, day]
        if len(at) > 2 and np.ptp(at) > 0:
            found[category.name] = float(
                -HOURS * np.polyfit(at, rounds["differential"].to_numpy(float), 1)[0]
            )
    return found
