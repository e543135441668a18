"""Forecasts of made-up clubs held against their truth, also where golfers do a part of their plans."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.evaluate.scores import score_draws
from paryield.forecast import forecast_tables, plan_hours
from paryield.forecast.adherence import club_adherence, plan_record
from paryield.forecast.past import club_diary
from paryield.posterior import Posterior
from paryield.scoring import handicap_records
from paryield.synth import MadeUpClub
from paryield.synth.habits import PLANS
from paryield.tables import make_tables


def later_index(club: MadeUpClub, on: dict[int, pd.Timestamp]) -> dict[tuple[str, int], float]:
    """Index in force on the asked days after the rounds that were really played, by golfer and week."""
    tables = club.tables
    later = club.future.reindex(columns=tables.rounds.columns).astype(tables.rounds.dtypes.to_dict())
    frames = dict(tables.items())
    frames["rounds"] = pd.concat([tables.rounds, later], ignore_index=True)
    joined = make_tables(frames, categories=tables.categories, settings=tables.settings)
    out = {}
    for golfer_id, record in handicap_records(joined).items():
        for week, day in on.items():
            index = record.index_as_of(day.date())
            if index is not None:
                out[golfer_id, week] = float(index)
    return out


def score_club(club: MadeUpClub, posterior: Posterior, weeks: tuple[int, ...]) -> pd.DataFrame:
    """Score the forecasts of one made-up club.

    Returns
    -------
    DataFrame
        One row per golfer, horizon and quantity with the scores of
        :func:`paryield.evaluate.scores.score_draws`.
    """
    answer = forecast_tables(posterior, club.tables, weeks=weeks)
    start = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    on = {week: start + pd.Timedelta(days=7 * week) for week in weeks}
    index = later_index(club, on)
    rows: list[dict[str, Any]] = []
    for golfer_id, ahead in answer.draws.items():
        truth = club.truth.mean_differential(golfer_id, list(on.values()))
        for place, week in enumerate(sorted(weeks)):
            level = float(np.mean(ahead.mean[:, 0]))
            found = {"mean_differential": (ahead.mean[:, place], float(truth[place]))}
            if (golfer_id, week) in index and not np.isnan(ahead.index[:, place]).any():
                found["handicap_index"] = (ahead.index[:, place], index[golfer_id, week])
            for quantity, (draws, value) in found.items():
                rows.append(
                    {"golfer_id": golfer_id, "weeks": week, "quantity": quantity, "truth": value}
                    | {"level": level, "width80": float(np.subtract(*np.quantile(draws, [0.9, 0.1])))}
                    | score_draws(draws, value)
                )
    return pd.DataFrame(rows)


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
        :func:`paryield.evaluate.scores.score_draws`, and the share of the plan done in those weeks: as
        forecast, true, and whether 8 in 10 hold it.
    """
    answer = forecast_tables(posterior, club.tables, weeks=weeks, plan=PLANS[1])
    habit = forecast_tables(posterior, club.tables, weeks=weeks)
    start = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    on = [start + pd.Timedelta(days=7 * week) for week in sorted(weeks)]
    shares = shares_ahead(club, posterior, list(answer.draws), weeks)
    rows = []
    for golfer_id, planned in answer.draws.items():
        truth = club.truth.mean_differential(golfer_id, on)
        kinds = {"plan": planned, "habit": habit.draws[golfer_id]}
        if golfer_id in answer.usual:
            kinds["usual"] = answer.usual[golfer_id]
        for place, week in enumerate(sorted(weeks)):
            done, share = true_share(club, golfer_id, week), shares[golfer_id, week]
            for kind, ahead in kinds.items():
                row = {"golfer_id": golfer_id, "weeks": week, "kind": kind, "truth": float(truth[place])}
                low, middle, high = np.quantile(share, [0.1, 0.5, 0.9])
                row |= {"share_true": done, "share_q50": float(middle), "share_held": low <= done <= high}
                rows.append(row | score_draws(ahead.mean[:, place], float(truth[place])))
    return pd.DataFrame(rows)


def shares_ahead(
    club: MadeUpClub, posterior: Posterior, golfers: list[str], weeks: tuple[int, ...]
) -> dict[tuple[str, int], FLOATS]:
    """Draws of the share of the coming plan that will be done in some weeks, by golfer and weeks.

    What a golfer usually does is a long-run share; sessions done in a few weeks spread about it, as the model
    of the diary says (see :mod:`paryield.forecast.adherence`). NaN where nothing was learnt.
    """
    learnt = club_adherence(posterior, club.tables, golfers)
    session = plan_record(club.tables, club_diary(posterior, club.tables), posterior.categories).session
    rng = np.random.default_rng([club.spec.seed, 21])
    found = {}
    for golfer in golfers:
        hours, _ = plan_hours(club.tables, posterior, golfer, PLANS[1], posterior.as_of)
        due = hours > 0
        for week in weeks:
            planned = hours[due] * week / session
            if learnt is None or not due.any():
                found[golfer, week] = np.full(posterior.samples, np.nan)
                continue
            usual = learnt.share[:, posterior.golfer_number(golfer)][:, due]
            found[golfer, week] = rng.poisson(usual * planned).sum(axis=1) / planned.sum()
    return found


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
