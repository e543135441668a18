"""Whatever is logged, corrected and taken back, in any order: an answer depends on rows and run alone."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast import forecast_tables, goals_tables
from paryield.forecast.refreshed import refreshed
from paryield.plan import plan_tables, returns_fit
from paryield.posterior import Posterior
from paryield.posterior.current import stored_fit
from paryield.tables import TABLES, Tables

pytestmark = pytest.mark.club_file
EXAMPLES = int(os.environ.get("PARYIELD_TEST_EXAMPLES", "5"))
"""Ways to the same rows; by hand with more."""
LAST = date(2026, 7, 5)
"""Last day of the fitted club."""
TODAY = LAST + timedelta(days=60)
WHO = st.sampled_from(["G01", "G02", "G03"])
DAYS = st.integers(-20, 50).map(lambda days: (LAST + timedelta(days=days)).isoformat())
ROUNDS = st.tuples(st.just("rounds"), WHO, DAYS, st.integers(80, 320).map(lambda tenths: f"{tenths / 10}"))
PRACTICE = st.tuples(
    st.just("practice"), WHO, DAYS, st.sampled_from(["chipping", "irons", "driver", "mobility"])
)
TESTS = st.tuples(st.just("assessments"), WHO, DAYS, st.integers(0, 20).map(str))
BACK = st.tuples(st.just("undo"), st.integers(0, 9))
CORRECTED = st.tuples(st.just("correct"), st.integers(0, 40), st.integers(80, 320))
ASKED = st.tuples(st.just("ask"), WHO)
STEPS = st.lists(st.one_of(ROUNDS, ROUNDS, PRACTICE, TESTS, BACK, CORRECTED, ASKED), min_size=2, max_size=7)


def logged(club: Club, table: str, golfer: str, day: str, value: str) -> int:
    """Log one row; return the number of the change."""
    cells = {"golfer_id": golfer, TABLES[table].key[1]: day}
    cells |= {
        "rounds": {"score_differential": value},
        "practice": {"category": value, "minutes": "45"},
        "assessments": {"test": "putting ladder", "distance_ft": "6", "tried": "20", "made": value},
    }[table]
    return club.log(table, cells, today=TODAY).number


def corrected(club: Club, place: int, tenths: int) -> int:
    """Give one of the rounds on record another differential; return the number of the change."""
    rounds = club.tables().rounds
    row = rounds.iloc[place % len(rounds)]
    key = {"golfer_id": str(row["golfer_id"]), "played_on": str(row["played_on"].date())}
    key["round_no"] = str(row["round_no"])
    held = club.row("rounds", key)
    assert held is not None
    spelt = {name: _spelt(value) for name, value in held.values.items()}
    dropped = ("adjusted_gross_score", "course_rating", "slope_rating", "pcc")
    spelt = {name: text for name, text in spelt.items() if name not in dropped}
    return club.edit(
        "rounds", spelt | {"score_differential": f"{tenths / 10}"}, held.seen, today=TODAY
    ).number


def _spelt(value: Any) -> str:
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)


def answers(run: Posterior, tables: Tables, golfers: tuple[str, ...]) -> str:
    """Everything that is answered of some golfers, to the last bit."""
    live, found = refreshed(run, tables), []
    for golfer in golfers:
        found += forecast_tables(live, tables, golfer=golfer, weeks=(4, 12)).records
        found += plan_tables(live, tables, golfers=[golfer]).records
        found += returns_fit(live, golfer=golfer).records
        found += goals_tables(live, tables, golfer=golfer, goal=9.0, by=TODAY + timedelta(days=90)).records
    return json.dumps(found, default=str)


@settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS)
def test_the_same_rows_by_two_ways_have_the_same_answers(fitted_club: Path, steps: list[Any]) -> None:
    with tempfile.TemporaryDirectory() as place:
        one, other = (Path(shutil.copy(fitted_club, Path(place) / name)) for name in ("one.db", "other.db"))
        with Club.open(one) as club:
            run, changes = stored_fit(club)[1], []
            for kind, *what in steps:
                try:
                    if kind == "ask":
                        answers(run, club.tables(), (what[0],))
                    elif kind == "undo" and changes:
                        changes.append(club.undo(changes[what[0] % len(changes)]).import_no)
                    elif kind == "correct":
                        changes.append(corrected(club, *what))
                    elif kind != "undo":
                        changes.append(logged(club, kind, *what))
                except InputError:  # taken back already, or changed by a later one: nothing was stored
                    continue
            tables = club.tables()
        first = answers(run, tables, ("G01", "G02"))
        with Club.open(other) as club:
            rows = {
                name: frame.sample(frac=1.0, random_state=len(steps)).reset_index(drop=True)
                for name, frame in tables.items()
                if name in ("rounds", "practice", "assessments") and len(frame)
            }
            club.import_tables(rows, replace=True, today=TODAY)
            again, fresh = club.tables(), stored_fit(club)[1]
        assert again.equals(tables)
        assert answers(fresh, again, ("G01", "G02")) == first
