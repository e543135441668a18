"""Rolling origin on a club's own records: forecast from earlier days, score against what came."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError, Notice
from paryield.evaluate.baselines import BASELINES, baseline
from paryield.evaluate.known import known_tables
from paryield.evaluate.parallel import run_tasks
from paryield.evaluate.scores import BEATEN, OURS, Skill, score_draws, skill
from paryield.forecast import forecast_tables
from paryield.model.spec import ModelSpec
from paryield.posterior import Posterior
from paryield.scoring import differentials, handicap_records
from paryield.tables import Tables

if TYPE_CHECKING:
    from paryield.club import Club

AROUND_DAYS = 14
"""Rounds within two weeks of the asked day, either side, are held against its forecast. [judgement]"""
STEP_DAYS = 28
LEAST_PAST = 20
"""Past changes of an index from which the plain rule for the index draws; it needs this many. [judgement]"""

DEFAULT_WEEKS = (4, 12, 26)
ORIGINS = 4
FIRST_WEEKS, LEAST_WEEKS = 26, 8
"""Weeks of records before the first origin, and the least where the whole is short. [judgement]"""
DRAWS = {"chains": 2, "draws": 200, "tune": 120}
"""Size of a refit: an origin needs quantiles, not tails of every parameter."""

Fitter = Callable[[Tables, ModelSpec, int], Posterior]


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


@dataclass(frozen=True)
class Backtest:
    """Scores by horizon, quantity and method, with every single score behind them."""

    records: list[Skill]
    scores: pd.DataFrame = field(repr=False)

    @property
    def notes(self) -> list[str]:
        """Where a plain rule does as well as the model, in one sentence a horizon and quantity."""
        lines = []
        for record in self.records:
            if record["method"] == OURS:
                same = [
                    one["method"]
                    for one in self.records
                    if one["method"] != OURS
                    and (one["weeks"], one["quantity"]) == (record["weeks"], record["quantity"])
                    and one["verdict"] != BEATEN
                ]
                if same:
                    names = ", ".join(name.replace("_", " ") for name in same)
                    kind = record["quantity"].replace("_", " ")
                    lines.append(f"{kind}, {record['weeks']} weeks: no better than {names}")
        return lines

    def to_frame(self) -> pd.DataFrame:
        """One row per horizon, quantity and method."""
        return pd.DataFrame.from_records(self.records)


def plain_fit(tables: Tables, spec: ModelSpec, day: int) -> Posterior:
    """Fit known tables in one process."""
    from paryield.model.fit import fit_tables

    return fit_tables(tables, spec, as_of=day, cores=1)


def choose_origins(tables: Tables, weeks: Sequence[int], count: int) -> list[int]:
    """Days to forecast from, in days since 1970-01-01, evenly spread over the record.

    Raises
    ------
    InputError
        When the record is too short for the nearest horizon.
    """
    played = tables.rounds["played_on"].to_numpy().astype("datetime64[D]").astype(np.int64)
    if not len(played):
        raise InputError("there is not one round to score", where="rounds", remedy="import rounds first")
    first, last = int(played.min()), int(played.max())
    end = last - 7 * min(weeks)
    begin = first + 7 * FIRST_WEEKS
    if begin > end:
        begin = max(first + 7 * LEAST_WEEKS, (first + end) // 2)
    if begin > end:
        need = LEAST_WEEKS + min(weeks)
        raise InputError(
            f"the records span {(last - first) // 7} weeks, too few to look back on {min(weeks)} weeks",
            where="rounds",
            remedy=f"wait until there are {need} weeks, or give a smaller --weeks",
        )
    days = np.unique(np.linspace(begin, end, count).round().astype(int))
    return [int(day) for day in days]


def backtest(
    club: Club,
    weeks: Sequence[int] = DEFAULT_WEEKS,
    *,
    origins: int = ORIGINS,
    workers: int | str = 2,
    seed: int | None = None,
    say: Callable[[str], None] | None = None,
) -> Backtest:
    """Score forecasts that would have been made on earlier days of a club's record.

    Parameters
    ----------
    club : Club
    weeks : sequence of int
        Horizons.
    origins : int
        Earlier days to forecast from, evenly spread; each is a fit of its own.
    workers : int or str
        Fits at a time, or the address of a cluster; see :func:`run_tasks`.
    seed : int, optional
        By default that of the specification.
    say : callable, optional
        Receives one line an origin.

    Returns
    -------
    Backtest

    Raises
    ------
    InputError
        When the record is too short, or a horizon cannot be answered.
    """
    spec = ModelSpec(**DRAWS) if seed is None else ModelSpec(seed=seed, **DRAWS)  # type: ignore[arg-type]
    return backtest_tables(club.tables(), weeks, spec, origins=origins, workers=workers, say=say)


def backtest_tables(
    tables: Tables,
    weeks: Sequence[int] = DEFAULT_WEEKS,
    spec: ModelSpec | None = None,
    *,
    origins: int = ORIGINS,
    workers: int | str = 2,
    fitter: Fitter = plain_fit,
    say: Callable[[str], None] | None = None,
) -> Backtest:
    """Score tables; see :func:`backtest`. ``fitter`` sees the known tables of each origin only."""
    asked = sorted(set(weeks))
    if not asked or asked[0] < 1 or asked[-1] > 104:
        raise InputError(f"{asked or 'no'} weeks cannot be scored", where="--weeks", remedy="use 1 to 104")
    spec = spec or ModelSpec(**DRAWS)  # type: ignore[arg-type]
    days = choose_origins(tables, asked, origins)
    jobs = [
        (tables, day, asked, replace(spec, seed=spec.seed + place), fitter) for place, day in enumerate(days)
    ]

    def tell(done: int, of: int) -> None:
        if say is not None:
            say(f"origin {done} of {of}: {np.datetime64(days[done - 1], 'D')}")

    parts = run_tasks(scores_of_origin, jobs, workers, progress=tell)
    scores = pd.concat(parts, ignore_index=True)
    if scores.empty:
        raise InputError(
            "no round was played where a forecast could be scored",
            where="rounds",
            remedy="give other --weeks",
        )
    for week in sorted(set(asked) - set(scores["weeks"])):
        warnings.warn(
            f"{week} weeks are left out: no round was played so long after a day to forecast from; the "
            f"records are too short, or wait until they reach further",
            Notice,
            stacklevel=2,
        )
    return Backtest(skill(scores), scores)


def scores_of_origin(task: tuple[Tables, int, list[int], ModelSpec, Fitter]) -> pd.DataFrame:
    """Scores of one origin as one task for a worker."""
    return origin_scores(*task)


def origin_scores(
    tables: Tables, day: int, weeks: Sequence[int], spec: ModelSpec, fitter: Fitter
) -> pd.DataFrame:
    """Fit what was known on a day and score the forecasts against the later rows of ``tables``."""
    known = known_tables(tables, pd.Timestamp(np.datetime64(day, "D")))
    return score_origin(fitter(known, spec, day), known, tables, day, weeks)
