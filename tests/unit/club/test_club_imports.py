"""Import: all or nothing, the same again changes nothing, replaced rows stay in the history."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from paryield.club import Club, ImportRefused
from paryield.club.edits import SameRound
from paryield.errors import InputError

TODAY = date(2026, 6, 1)
HEAD = "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating,putts\n"

Write = Callable[..., Path]


def ask(path: Path, query: str) -> list[tuple[Any, ...]]:
    """Read the file by SQL, past the code under test."""
    with closing(sqlite3.connect(path)) as connection:
        return connection.execute(query).fetchall()


def state(path: Path) -> tuple[str, int]:
    """Return what must not change: the bytes of the file and its time of change."""
    return hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns


@pytest.mark.club_file
def test_counts_and_values_are_those_of_the_files(tmp_path: Path, folder: Path) -> None:
    path = tmp_path / "club.db"
    with Club.open(path, create=True) as club:
        receipt = club.import_folder(folder, today=TODAY)
    assert receipt.added == {"golfers": 3, "rounds": 4, "practice": 3, "assessments": 2, "calendar": 2}
    assert receipt.replaced == ()
    assert not any(receipt.skipped.values())
    assert ask(path, "select adjusted_gross_score, putts from rounds order by adjusted_gross_score") == [
        (85, 31),
        (88, None),
        (99, 36),
        (104, 0),
    ]
    assert ask(path, "select start_index, goal_index, joined_on from golfers where golfer_id='A1'") == [
        (12.4, -1.5, "2026-01-05")
    ]
    assert ask(path, "select minutes from practice where category='driver'") == [(45.5,)]


def test_tables_come_back_typed_with_blank_keys_blank(path: Path) -> None:
    with Club.open(path) as club:
        tables = club.tables()
    assert tables.calendar["golfer_id"].isna().tolist() == [True, False]
    assert tables.assessments.set_index("test").loc["carry", "value"] == 181.5
    assert pd.isna(tables.assessments.set_index("test").loc["carry", "distance_ft"])
    assert tables.rounds["putts"].dtype == "Int64"
    assert tables.rounds["played_on"].dtype == "datetime64[ns]"
    assert tables.golfers.set_index("golfer_id")["diary_complete"].tolist()[0] is True


def test_the_same_folder_again_changes_no_byte(path: Path, folder: Path) -> None:
    before = state(path)
    with Club.open(path) as club:
        receipt = club.import_folder(folder, today=TODAY)
        assert len(club.history()) == 5
    assert receipt.skipped == {"golfers": 3, "rounds": 4, "practice": 3, "assessments": 2, "calendar": 2}
    assert not receipt.changed
    assert state(path) == before
    assert sorted(p.name for p in path.parent.iterdir()) == ["club.db", "in"]


def test_another_value_is_refused_and_the_line_says_what_to_do(path: Path, write: Write) -> None:
    before = state(path)
    other = write("other", rounds=HEAD + "A1,2026-03-01,84,71.2,128,31\nA2,2026-04-01,95,71.2,128,\n")
    with Club.open(path) as club, pytest.raises(ImportRefused) as caught:
        club.import_folder(other, today=TODAY)
    errors = [p for p in caught.value.problems if p.severity == "error"]
    assert len(errors) == 1
    line = errors[0].line()
    for part in (
        "rounds.csv, row 2,",
        "golfer_id A1",
        "2026-03-01",
        "column adjusted_gross_score",
        "holds 85",
    ):
        assert part in line
    assert "'84'" in line
    assert "--replace" in line
    assert caught.value.exit_code == 2
    assert "nothing was stored" in caught.value.line()
    assert state(path) == before


@pytest.mark.club_file
def test_replace_lists_each_change_and_keeps_the_old_row(path: Path, write: Write) -> None:
    other = write("other", rounds=HEAD + "A1,2026-03-01,84,71.2,128,30\nA2,2026-03-01,99,71.2,128,36\n")
    with Club.open(path) as club:
        receipt = club.import_folder(other, replace=True, today=TODAY)
        history = club.history()
    assert [(c.column, c.old, c.new) for c in receipt.replaced] == [
        ("adjusted_gross_score", 85, 84),
        ("putts", 31, 30),
    ]
    assert receipt.skipped == {"rounds": 1}
    assert ask(path, "select adjusted_gross_score, putts from rounds where golfer_id='A1' and putts=30") == [
        (84, 30)
    ]
    last = history.iloc[-1]
    assert (last["import_no"], last["table"], last["replaced"]) == (2, "rounds", 1)
    old = json.loads(last["old_rows"])[0]
    assert old["key"] == {"golfer_id": "A1", "played_on": "2026-03-01", "round_no": 1}
    assert old["old"]["adjusted_gross_score"] == 85
    assert old["old"]["putts"] == 31


def test_a_blank_against_a_stored_value_is_a_change(path: Path, write: Write) -> None:
    other = write("other", rounds=HEAD + "A1,2026-03-01,85,71.2,128,\n")
    with Club.open(path) as club:
        with pytest.raises(ImportRefused, match="1 error"):
            club.import_folder(other, today=TODAY)
        receipt = club.import_folder(other, replace=True, today=TODAY)
    assert [(c.column, c.old, c.new) for c in receipt.replaced] == [("putts", 31, None)]
    assert "31 -> a blank" in receipt.replaced[0].line()


def test_history_names_each_file_with_its_sha256(path: Path, folder: Path) -> None:
    with Club.open(path) as club:
        history = club.history().set_index("table")
    for table, rows in (("golfers", 3), ("rounds", 4), ("practice", 3)):
        content = (folder / f"{table}.csv").read_bytes()
        files = json.loads(history.loc[table, "files"])
        assert [(f["name"], f["rows"]) for f in files] == [(f"{table}.csv", rows)]
        assert files[0]["sha256"] == hashlib.sha256(content).hexdigest()
        assert history.loc[table, "added"] == rows
    assert date.fromisoformat(history["imported_at"].iloc[0][:10]) >= date(2026, 1, 1)


def test_a_bad_row_stores_nothing_at_all(path: Path, write: Write) -> None:
    before = state(path)
    other = write("other", rounds=HEAD + "A1,2026-04-01,84,71.2,128,\nA1,2026-04-02,84,71.2,300,\n")
    with Club.open(path) as club, pytest.raises(ImportRefused) as caught:
        club.import_folder(other, today=TODAY)
    assert any("row 3" in p.line() and "slope_rating" in p.line() for p in caught.value.problems)
    assert state(path) == before


@pytest.mark.club_file
def test_keep_good_stores_the_other_rows(path: Path, write: Write) -> None:
    rows = "A1,2026-04-01,84,71.2,128,\nA1,2026-04-02,84,71.2,300,\nA1,2026-03-01,70,71.2,128,31\n"
    other = write("other", rounds=HEAD + rows)
    with Club.open(path) as club:
        receipt = club.import_folder(other, keep_good=True, today=TODAY)
    assert receipt.added == {"rounds": 1}
    assert receipt.rejected == {"rounds": 2}
    assert len([p for p in receipt.problems if p.severity == "error"]) == 2
    assert ask(path, "select count(*) from rounds") == [(5,)]
    assert ask(path, "select adjusted_gross_score from rounds where golfer_id='A1' and putts=31") == [(85,)]


def test_keep_good_without_a_good_row_is_refused(path: Path, write: Write) -> None:
    before = state(path)
    other = write("other", rounds=HEAD + "A1,2026-04-02,84,71.2,300,\n")
    with Club.open(path) as club, pytest.raises(ImportRefused):
        club.import_folder(other, keep_good=True, today=TODAY)
    assert state(path) == before


@pytest.mark.club_file
def test_a_failed_first_import_leaves_no_file(tmp_path: Path, write: Write) -> None:
    bad = write("bad", golfers="golfer_id\nA1\n", rounds=HEAD + "A1,2026-04-02,0,71.2,128,\n")
    with Club.open(tmp_path / "club.db", create=True) as club, pytest.raises(ImportRefused):
        club.import_folder(bad, today=TODAY)
    assert [p.name for p in tmp_path.iterdir()] == ["bad"]


@pytest.mark.club_file
def test_a_folder_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    with Club.open(tmp_path / "club.db", create=True) as club, pytest.raises(InputError) as caught:
        club.import_folder(tmp_path / "nowhere", today=TODAY)
    lines = [p.line() for p in getattr(caught.value, "problems", ())] or [caught.value.line()]
    assert any("nowhere" in line for line in lines)
    assert list(tmp_path.iterdir()) == []


def test_a_stored_golfer_need_not_be_repeated_and_a_stranger_is_refused(path: Path, write: Write) -> None:
    known = write("known", rounds=HEAD + "A2,2026-04-01,95,71.2,128,\n")
    stranger = write("stranger", rounds=HEAD + "Z9,2026-04-01,95,71.2,128,\n")
    with Club.open(path) as club:
        assert club.import_folder(known, today=TODAY).added == {"rounds": 1}
        with pytest.raises(ImportRefused) as caught:
            club.import_folder(stranger, today=TODAY)
    assert any("Z9" in p.line() for p in caught.value.problems)


def test_the_settings_file_is_kept_and_compared(path: Path, write: Write) -> None:
    first = write("first", rounds=HEAD + "A2,2026-04-01,95,71.2,128,\n")
    (first / "settings.toml").write_text('club_name = "Marlhope"\nminimum_scores = 5\n')
    second = write("second", rounds=HEAD + "A2,2026-04-01,95,71.2,128,\n")
    (second / "settings.toml").write_text('club_name = "Marlhope"\nminimum_scores = 1\n')
    with Club.open(path) as club:
        club.import_folder(first, today=TODAY)
        assert (club.tables().settings.club_name, club.tables().settings.minimum_scores) == ("Marlhope", 5)
        before = state(path)
        club.import_folder(first, today=TODAY)
        with pytest.raises(ImportRefused) as caught:
            club.import_folder(second, today=TODAY)
        assert any(
            "minimum_scores" in p.line() and "settings.toml" in p.line() for p in caught.value.problems
        )
        assert state(path) == before
        receipt = club.import_folder(second, replace=True, today=TODAY)
        assert [(c.table, c.column, c.old, c.new) for c in receipt.replaced] == [
            ("settings", "minimum_scores", 5, 1)
        ]
        assert club.tables().settings.minimum_scores == 1


EVENT = "golfer_id,happened_on,kind,note\nA1,2026-03-02,{kind},{note}\n"


@pytest.mark.parametrize(("kind", "spelt"), [("injury", False), ("lesson", True)])
def test_a_note_of_health_is_not_spelt_out_where_it_differs(
    path: Path, write: Write, kind: str, spelt: bool
) -> None:
    first = write("first", events=EVENT.format(kind=kind, note="left knee"))
    other = write("other", events=EVENT.format(kind=kind, note="right knee"))
    with Club.open(path) as club:
        assert club.import_folder(first, today=TODAY).added == {"events": 1}
        with pytest.raises(InputError) as caught:
            club.import_folder(other, today=TODAY)
        receipt = club.import_folder(other, replace=True, today=TODAY)
        assert club.tables().events["note"].tolist() == ["right knee"]
    told = caught.value.line() + receipt.replaced[0].line()
    assert ("knee" in told) is spelt
    assert "event" in told


def test_a_file_changes_only_what_it_states_and_fills_blanks_without_being_told(tmp_path: Path) -> None:
    def folder(name: str, text: str) -> Path:
        place = tmp_path / name
        place.mkdir()
        (place / "golfers.csv").write_text(text, encoding="utf-8")
        if name == "one":
            played = "golfer_id,played_on,score_differential\nG1,2026-03-01,12.3\n"
            (place / "rounds.csv").write_text(played, encoding="utf-8")
        return place

    with Club.open(tmp_path / "club.db", create=True) as club:
        club.import_folder(
            folder("one", "golfer_id,display_name,goal_index,group\nG1,Ann,8.0,\nG2,Bo,9.0,a\n")
        )
        filled = club.import_folder(folder("two", "golfer_id,group\nG1,juniors\n"), undoable=True)
        assert [change.line() for change in filled.replaced] == [
            "golfers, golfer_id G1, group: a blank -> juniors"
        ]
        with pytest.raises(ImportRefused):
            club.import_folder(folder("three", "golfer_id,goal_index\nG1,7.0\n"))
        club.import_folder(folder("four", "golfer_id,goal_index\nG1,7.0\nG2,\n"), replace=True)
        people = club.tables().golfers.set_index("golfer_id")
        assert people["display_name"].tolist() == ["Ann", "Bo"]
        assert people["group"].tolist() == ["juniors", "a"]
        assert people.loc["G1", "goal_index"] == 7.0
        assert pd.isna(people.loc["G2", "goal_index"])
        assert filled.import_no is not None


def test_a_round_twice_on_one_day_is_asked_about(tmp_path: Path) -> None:
    """In one file, against what is on record, and when a single row is logged; other scores are not."""
    people = pd.DataFrame({"golfer_id": ["A", "B"]})
    twice = pd.DataFrame(
        {
            "golfer_id": ["A", "A", "A", "B"],
            "played_on": ["2026-03-01"] * 4,
            "round_no": [1, 2, 3, 1],
            "score_differential": [14.2, 14.2, 15.0, 14.2],
        }
    )
    with Club.open(tmp_path / "club.db", create=True) as club:
        found = club.import_tables({"golfers": people, "rounds": twice})
        [asked] = [one for one in found.problems if "is it the same round?" in one.message]
        assert (asked.row, asked.column, asked.severity) == (3, "round_no", "warning")
        assert asked.message.startswith("round 1 of that golfer and day has the same score")
        later = pd.DataFrame(
            {"golfer_id": ["B"], "played_on": ["2026-03-01"], "round_no": [2], "score_differential": [14.2]}
        )
        found = club.import_tables({"rounds": later})
        assert [one.message for one in found.problems] == [asked.message]
        cells = {"golfer_id": "A", "played_on": "2026-03-01", "score_differential": "15.0"}
        with pytest.raises(SameRound, match="round 3 of that day has the same score") as caught:
            club.log("rounds", cells)
        assert caught.value.number == 4
        club.log("rounds", {**cells, "round_no": "4"})
        club.log("rounds", {**cells, "score_differential": "15.1"})
        assert sorted(club.tables().rounds["round_no"]) == [1, 1, 2, 2, 3, 4, 5]
