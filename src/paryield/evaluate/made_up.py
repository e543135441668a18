"""Forecasts of made-up clubs held against their truth."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from paryield.evaluate.scores import score_draws
from paryield.forecast import forecast_tables
from paryield.posterior import Posterior
from paryield.scoring import handicap_records
from paryield.synth import MadeUpClub
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
