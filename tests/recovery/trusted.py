"""Made-up clubs of 40 golfers and 18 months for the long tests of forecasts, returns and plans."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
from long_fits import fitted

from paryield.evaluate.baselines import BASELINES, baseline
from paryield.evaluate.known import known_tables
from paryield.evaluate.made_up import score_club
from paryield.evaluate.plans import kept, plan_regret
from paryield.evaluate.refresh import week_verdicts
from paryield.evaluate.scores import OURS, score_draws
from paryield.evaluate.verify import answers_of
from paryield.model.spec import ModelSpec
from paryield.posterior import Posterior
from paryield.scoring import differentials
from paryield.synth import ClubSpec, MadeUpClub

WEEKS = (4, 12, 26)


def club_and_fit(case: str, seed: int, as_of: int | None = None) -> tuple[MadeUpClub, Posterior]:
    """One fit for all: half of the rounds with statistics, two chains of 250 draws."""
    spec = ModelSpec(draws=250, tune=120, chains=2, seed=seed)
    club = ClubSpec(golfers=40, seed=seed, case=case, stats_share=0.5, future_weeks=WEEKS[-1] + 1)
    return fitted(club, spec, as_of)


def forecasts(case: str, seed: int) -> pd.DataFrame:
    """Scores of the mean differential by golfer, horizon and method, and of the index by ours."""
    club, fit = club_and_fit(case, seed)
    rows = [score_club(club, fit, WEEKS).assign(method=OURS)]
    start = pd.Timestamp(np.datetime64(fit.as_of, "D"))
    rounds = differentials(club.tables)
    others: list[dict[str, Any]] = []
    for weeks in WEEKS:
        day = start + pd.Timedelta(weeks=weeks)
        for method in BASELINES:
            for golfer, draws in baseline(method, rounds, start.date(), weeks, fit.samples).items():
                truth = float(club.truth.mean_differential(golfer, [day])[0])
                found = {"golfer_id": golfer, "weeks": weeks, "quantity": "mean_differential", "truth": truth}
                others.append({**found, "method": method, **score_draws(draws, truth)})
    return pd.concat([*rows, pd.DataFrame(others)]).assign(case=case, seed=seed)


def returns(case: str, seed: int) -> pd.DataFrame:
    """Gains by category against the truth and the raw association; see :func:`answers_of`."""
    club, fit = club_and_fit(case, seed)
    return answers_of(club, fit).assign(case=case, seed=seed)


def plans(case: str, seed: int) -> pd.DataFrame:
    """Plans and plain rules against the best split, by golfer; see :func:`plan_regret`."""
    club, fit = club_and_fit(case, seed)
    return plan_regret(club, fit).assign(case=case, seed=seed)


def weeks(case: str, seed: int) -> pd.DataFrame:
    """Verdicts of the week on the hours that golfers practise now."""
    club, fit = club_and_fit(case, seed)
    return kept(club, fit).assign(case=case, seed=seed)


def refreshed(case: str, seed: int) -> pd.DataFrame:
    """Verdict of each golfer's week before and after a refresh with two more weeks, the same seed in both."""
    club, after = club_and_fit(case, seed)
    day = pd.Timestamp(np.datetime64(after.as_of - 14, "D"))
    _, before = club_and_fit(case, seed, after.as_of - 14)
    told = week_verdicts(before, known_tables(club.tables, day))
    alone = week_verdicts(after, club.tables)
    minded = week_verdicts(
        replace(after, facts={**after.facts, "plans_before": told}), club.tables
    )  # as a refresh stores it
    rows = [
        {"golfer_id": golfer, "before": told[golfer], "alone": alone[golfer], "after": minded[golfer]}
        for golfer in told
        if golfer in minded
    ]
    return pd.DataFrame(rows).assign(case=case, seed=seed)
