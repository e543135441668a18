"""Forecasts of plans on made-up clubs whose golfers do a part of them, held against the truth."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.evaluate.scores import score_draws
from paryield.forecast import forecast_tables
from paryield.posterior import Posterior
from paryield.synth import MadeUpClub
from paryield.synth.following import PLANS


def score_plans(club: MadeUpClub, posterior: Posterior, weeks: tuple[int, ...] = (12,)) -> pd.DataFrame:
    """Score the forecasts of the coming plan, as planned and as usually done.

    Parameters
    ----------
    club : MadeUpClub
        Made with ``plan_weeks`` above 0.
    posterior : Posterior
    weeks : tuple of int

    Returns
    -------
    DataFrame
        One row per golfer, horizon and kind (``plan``, ``usual``, ``habit``): truth, the scores of
        :func:`paryield.evaluate.scores.score_draws`, and the share of the plan done: as forecast and true.
    """
    answer = forecast_tables(posterior, club.tables, weeks=weeks, plan=PLANS[1])
    habit = forecast_tables(posterior, club.tables, weeks=weeks)
    start = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    on = [start + pd.Timedelta(days=7 * week) for week in sorted(weeks)]
    share = {record["golfer_id"]: record.get("usual_share") for record in answer.records}
    rows = []
    for golfer_id, planned in answer.draws.items():
        truth = club.truth.mean_differential(golfer_id, on)
        kinds = {"plan": planned, "habit": habit.draws[golfer_id]}
        if golfer_id in answer.usual:
            kinds["usual"] = answer.usual[golfer_id]
        for place, week in enumerate(sorted(weeks)):
            done = true_share(club, golfer_id, week)
            for kind, ahead in kinds.items():
                row = {"golfer_id": golfer_id, "weeks": week, "kind": kind, "truth": float(truth[place])}
                usual = share[golfer_id] or {}
                row |= {"share_true": done, "share_q50": usual.get("q50", np.nan)}
                row |= {"share_held": usual.get("q10", np.nan) <= done <= usual.get("q90", np.nan)}
                rows.append(row | score_draws(ahead.mean[:, place], float(truth[place])))
    return pd.DataFrame(rows)


def true_share(club: MadeUpClub, golfer_id: str, weeks: int) -> float:
    """Hours done over hours planned in the weeks after the record, in the plan's categories; NaN without."""
    plans = club.tables.plans
    mine = plans[(plans["golfer_id"] == golfer_id) & (plans["plan"] == PLANS[1])]
    if mine.empty:
        return float("nan")
    now = club.truth.roster.now
    hours = club.truth.hours(golfer_id)[:, now : now + weeks].sum(axis=1)
    done = sum(hours[club.spec.categories.index(str(name))] for name in mine["category"])
    return float(done / (mine["minutes_per_week"].sum() / 60.0 * weeks))
