"""One origin of a backtest: what was forecast on a day, by us and by plain rules, against what came."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.evaluate.baselines import BASELINES, baseline
from paryield.evaluate.scores import score_draws
from paryield.evaluate.skill import OURS
from paryield.forecast import forecast_tables
from paryield.posterior import Posterior
from paryield.scoring import differentials, handicap_records
from paryield.tables import Tables

AROUND_DAYS = 14
"""Rounds within two weeks of the asked day, either side, are held against its forecast. [judgement]"""
STEP_DAYS = 28
LEAST_PAST = 20
"""Past changes of an index from which the plain rule for the index draws; it needs this many. [judgement]"""


@dataclass(frozen=True)
class Event:
    """One thing that came true: who, what it is called, and its value in strokes."""

    golfer_id: str
    name: str
    value: float


def score_origin(
    posterior: Posterior, known: Tables, tables: Tables, day: int, weeks: Sequence[int]
) -> pd.DataFrame:
    """Score every forecast of one origin.

    Parameters
    ----------
    posterior : Posterior
        Fitted to ``known`` alone.
    known : Tables
        What was known on the day; baselines see nothing else.
    tables : Tables
        The whole record, for what came true.
    day : int
        Days since 1970-01-01.
    weeks : sequence of int
        Horizons.
    """
    origin = pd.Timestamp(np.datetime64(day, "D"))
    last = tables.rounds["played_on"].max()
    asked = [week for week in weeks if origin + pd.Timedelta(weeks=week) <= last]
    ahead = forecast_tables(posterior, known, weeks=tuple(asked)).draws
    rounds, past = differentials(known), differentials(tables)
    rows: list[dict[str, Any]] = []
    for place, week in enumerate(asked):
        ours = {golfer: one.one_round[:, place] for golfer, one in ahead.items()}
        events = list(later_rounds(past, origin, week))
        rows += _scored(
            "score_differential", week, events, {OURS: ours, **_rules(rounds, origin, week, posterior)}
        )
        index = {golfer: one.index[:, place] for golfer, one in ahead.items()}
        same = _same_index(known, origin, week, posterior.samples)
        events = list(later_index(tables, origin, week))
        rows += _scored("handicap_index", week, events, {OURS: index, "no_change": same})
    return pd.DataFrame(rows).assign(origin=origin)


def later_rounds(past: pd.DataFrame, origin: pd.Timestamp, week: int) -> Iterable[Event]:
    """Rounds with a differential within two weeks of the asked day, none before the origin is over."""
    asked = origin + pd.Timedelta(weeks=week)
    near = (past["played_on"] - asked).abs() <= pd.Timedelta(days=AROUND_DAYS)
    for row in past[near & (past["played_on"] > origin) & past["differential"].notna()].to_dict("records"):
        name = f"{row['played_on'].date()} {row['round_no']}"
        yield Event(str(row["golfer_id"]), name, float(row["differential"]))


def later_index(tables: Tables, origin: pd.Timestamp, week: int) -> Iterable[Event]:
    """Index in force on the asked day, of golfers who played between the origin and that day."""
    asked = origin + pd.Timedelta(weeks=week)
    for golfer, record in handicap_records(tables).items():
        played = any(origin.date() < step.played_on <= asked.date() for step in record.steps)
        index = record.index_as_of(asked.date())
        if index is not None and played:
            yield Event(golfer, str(asked.date()), float(index))


def _rules(
    rounds: pd.DataFrame, origin: pd.Timestamp, week: int, posterior: Posterior
) -> dict[str, dict[str, FLOATS]]:
    found = {}
    for name in BASELINES:
        try:
            found[name] = baseline(
                name, rounds, origin.date(), week, posterior.samples, quantity="score_differential"
            )
        except InputError:  # too few rounds by then for this rule
            continue
    return found


def _same_index(known: Tables, origin: pd.Timestamp, week: int, draws: int) -> dict[str, FLOATS]:
    """Today's index plus a change drawn from the club's own changes over as many weeks in the past."""
    records = handicap_records(known)
    changes = np.array(list(past_changes(records.values(), origin, week)))
    if len(changes) < LEAST_PAST:
        return {}
    rng = np.random.default_rng([week, draws])
    found = {}
    for golfer, record in records.items():
        if record.index is not None:
            found[golfer] = float(record.index) + rng.choice(changes, size=draws)
    return found


def past_changes(records: Iterable[Any], origin: pd.Timestamp, week: int) -> Iterable[float]:
    """Changes of index over so many weeks that were over by the origin, every 28 days back."""
    for record in records:
        end = origin
        while record.steps and (end - pd.Timedelta(weeks=week)).date() >= record.steps[0].played_on:
            before = record.index_as_of((end - pd.Timedelta(weeks=week)).date())
            after = record.index_as_of(end.date())
            if before is not None and after is not None:
                yield float(after - before)
            end -= pd.Timedelta(days=STEP_DAYS)


def _scored(
    quantity: str, week: int, events: Sequence[Event], methods: dict[str, dict[str, FLOATS]]
) -> list[dict[str, Any]]:
    rows = []
    for event in events:
        for method, draws in methods.items():
            sample = draws.get(event.golfer_id)
            if sample is None or np.isnan(sample).any():
                continue
            rows.append(
                {"golfer_id": event.golfer_id, "event": event.name, "weeks": week, "quantity": quantity}
                | {"method": method, **score_draws(sample, event.value)}
            )
    return rows
