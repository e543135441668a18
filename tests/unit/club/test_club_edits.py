"""Single rows: the checks of an import, the next free number, and no edit over one that was not seen."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club, ImportRefused
from paryield.errors import InputError

TODAY = date(2026, 6, 1)
ROUND = {
    "golfer_id": "A2",
    "played_on": "2026-05-01",
    "adjusted_gross_score": "97",
    "course_rating": "71.2",
    "slope_rating": "128",
}
CHIPS = {"golfer_id": "A2", "practised_on": "2026-05-02", "category": "chipping", "reps": "40"}


def test_a_row_is_stored_and_can_be_taken_back(path: Path) -> None:
    with Club.open(path) as club:
        before = club.data_fingerprint()
        done = club.log("rounds", ROUND, today=TODAY)
        rounds = club.tables().rounds
        assert done.row.values["adjusted_gross_score"] == 97
        assert (done.table, done.golfer_id) == ("rounds", "A2")
        assert len(rounds) == 5
        assert club.history().iloc[-1][["table", "added", "source"]].tolist() == ["rounds", 1, "log"]
        assert club.undo(done.number).removed == 1
        assert club.data_fingerprint() == before


def test_a_second_one_on_the_day_gets_the_next_number(path: Path) -> None:
    with Club.open(path) as club:
        club.log("rounds", ROUND, today=TODAY)
        other = {**ROUND, "adjusted_gross_score": "98"}
        assert club.log("rounds", other, today=TODAY).row.values["round_no"] == 2
        club.log("practice", CHIPS, today=TODAY)
        assert club.log("practice", CHIPS, today=TODAY).row.values["entry_no"] == 2
        with pytest.raises(InputError, match="already holds a row"):
            club.log("rounds", {**ROUND, "round_no": "2"}, today=TODAY)


@pytest.mark.parametrize(
    ("table", "change", "said"),
    [
        ("rounds", {"slope_rating": "300"}, "slope_rating"),
        ("rounds", {"golfer_id": "Z9"}, "Z9"),
        ("rounds", {"played_on": "2027-01-01"}, "future"),
        ("rounds", {"adjusted_gross_score": "=1+1"}, "adjusted_gross_score"),
        ("rounds", {"shoe": "9"}, ""),
    ],
)
def test_the_checks_are_those_of_an_import(path: Path, table: str, change: dict[str, str], said: str) -> None:
    with Club.open(path) as club:
        before = club.data_fingerprint()
        if not said:
            assert any("shoe" in p.line() for p in club.log(table, {**ROUND, **change}, today=TODAY).problems)
            return
        with pytest.raises(ImportRefused) as caught:
            club.log(table, {**ROUND, **change}, today=TODAY)
        assert any(said in problem.line() for problem in caught.value.problems)
        assert club.data_fingerprint() == before


def test_a_row_is_held_against_all_rows_of_its_golfer(path: Path) -> None:
    """Only his rows are read for it, by his id as it is stored and not as it was typed."""
    limit = {"golfer_id": "A2", "category": "chipping", "starts_on": "2026-01-01"}
    plan = {**limit, "plan": "May", "ends_on": "2026-07-01", "minutes_per_week": "90"}
    with Club.open(path) as club:
        club.log("limits", {**limit, "most_minutes_per_week": "60", "set_by": "coach"}, today=TODAY)
        with pytest.raises(ImportRefused) as caught:
            club.log("plans", {**plan, "golfer_id": " A2 "}, today=TODAY)
    assert "limit of 60" in caught.value.problems[0].message


@pytest.mark.parametrize("table", ["golfers", "shoes"])
def test_other_tables_are_refused_in_one_line(path: Path, table: str) -> None:
    with Club.open(path) as club, pytest.raises(InputError, match="not stored here"):
        club.log(table, {"golfer_id": "A2"}, today=TODAY)


def test_an_edit_of_a_row_that_was_seen_replaces_it(path: Path) -> None:
    with Club.open(path) as club:
        club.log("rounds", ROUND, today=TODAY)
        seen = club.row("rounds", {"golfer_id": "A2", "played_on": "2026-05-01", "round_no": "1"})
        assert seen is not None
        done = club.edit("rounds", {**ROUND, "adjusted_gross_score": "95"}, seen.seen, today=TODAY)
        assert done.row.values["adjusted_gross_score"] == 95
        assert '"adjusted_gross_score": 97' in club.history().iloc[-1]["old_rows"]
        with pytest.raises(InputError, match="nothing was changed"):
            club.edit("rounds", {**ROUND, "adjusted_gross_score": "95"}, done.row.seen, today=TODAY)


def test_the_second_of_two_edits_is_told_and_nothing_is_lost(path: Path) -> None:
    with Club.open(path) as club, Club.open(path) as other:
        club.log("rounds", ROUND, today=TODAY)
        key = {"golfer_id": "A2", "played_on": "2026-05-01", "round_no": "1"}
        seen, also = club.row("rounds", key), other.row("rounds", key)
        assert seen is not None
        assert also is not None
        club.edit("rounds", {**ROUND, "adjusted_gross_score": "95"}, seen.seen, today=TODAY)
        with pytest.raises(InputError, match="somebody else") as caught:
            other.edit("rounds", {**ROUND, "adjusted_gross_score": "91"}, also.seen, today=TODAY)
        assert "adjusted_gross_score 95" in caught.value.line()
        held = club.tables().rounds.set_index(["golfer_id", "played_on"])["adjusted_gross_score"]
        assert held[("A2", "2026-05-01")] == 95


def test_a_row_that_is_not_there(path: Path) -> None:
    with Club.open(path) as club:
        assert club.row("rounds", {"golfer_id": "A2", "played_on": "2020-01-01"}) is None
        with pytest.raises(InputError, match="is gone"):
            club.edit("rounds", ROUND, "00", today=TODAY)
        with pytest.raises(InputError, match="played_on"):
            club.row("rounds", {"golfer_id": "A2", "played_on": "yesterday"})
