"""Clubs of released layouts: everything they held is there, and they can be written again."""

from __future__ import annotations

import json
import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path

import layout_five
import layout_four
import layout_one
import layout_three
import layout_two
import pytest

from paryield.club import Club, layout
from paryield.errors import InputError
from paryield.tables import TABLES

pytestmark = pytest.mark.club_file

TODAY = date(2026, 6, 1)
RELEASED: dict[int, Callable[[Path], Path]] = {
    1: layout_one.make,
    2: layout_two.make,
    3: layout_three.make,
    4: layout_four.make,
    5: layout_five.make,
}


def shape(path: Path) -> dict[str, set[tuple[str, str]]]:
    """Return columns and kinds of every table by plain SQL."""
    with closing(sqlite3.connect(path)) as connection:
        names = [row[0] for row in connection.execute("select name from sqlite_master where type = 'table'")]
        return {
            name: {(row[1], row[2]) for row in connection.execute(f"pragma table_info({name})")}
            for name in names
        }


def test_every_released_layout_has_its_file() -> None:
    assert set(RELEASED) == set(range(1, layout.VERSION))


@pytest.mark.parametrize("version", sorted(RELEASED))
def test_an_older_club_keeps_all_it_held(tmp_path: Path, version: int) -> None:
    path = RELEASED[version](tmp_path / "old.db")
    with closing(sqlite3.connect(path)) as connection:
        before = {
            name: connection.execute(f"select * from {name} order by 1, 2, 3").fetchall()
            for name in ("golfers", "rounds", "practice", "calendar", "replaced_rows", "runs")
        }
        width = {
            name: [row[1] for row in connection.execute(f"pragma table_info({name})")] for name in before
        }
    with Club.open(path) as club:
        tables = club.tables()
        assert club.latest_run() == (1, {"golfers": ["V1", "V2"]}, b"\x00\xff\x10")
        assert club.history()["source"].tolist() == ["folder", "folder"]
    assert tables.settings.club_name == "Larkmoor practice ground"
    assert tables.golfers["display_name"].tolist() == ["Odette Larkmoor", "Piers Holloway-Dunn"]
    assert tables.rounds["adjusted_gross_score"].tolist() == [87, 96]
    assert tables.calendar["golfer_id"].isna().all()
    with closing(sqlite3.connect(path)) as connection:
        for name, rows in before.items():
            columns = ", ".join(f'"{column}"' for column in width[name])
            assert connection.execute(f"select {columns} from {name} order by 1, 2, 3").fetchall() == rows
        version_now = connection.execute("select value from club_facts where name = 'schema_version'")
        assert version_now.fetchone() == (str(layout.VERSION),)


@pytest.mark.parametrize("version", sorted(RELEASED))
def test_an_older_club_gets_the_shape_of_a_new_one(tmp_path: Path, folder: Path, version: int) -> None:
    old = RELEASED[version](tmp_path / "old.db")
    with Club.open(tmp_path / "new.db", create=True) as club:
        club.import_folder(folder, today=TODAY)
    with Club.open(old) as club:
        assert club.import_folder(folder, today=TODAY).added["rounds"] == 4
        assert club.erase("V1").removed["rounds"] == 1
    assert shape(old) == shape(tmp_path / "new.db")


def test_opening_again_changes_no_byte(tmp_path: Path) -> None:
    path = layout_one.make(tmp_path / "old.db")
    Club.open(path).close()
    before = path.read_bytes()
    Club.open(path).close()
    assert path.read_bytes() == before


def test_two_that_open_an_older_club_at_once_bring_it_up_once(tmp_path: Path) -> None:
    path = layout_one.make(tmp_path / "old.db")
    failed: list[BaseException] = []

    def look() -> None:
        try:
            with Club.open(path) as club:
                assert len(club.tables().rounds) == 2
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=look) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert failed == []


def test_a_failed_step_leaves_the_older_club(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = layout_one.make(tmp_path / "old.db")
    before = path.read_bytes()

    def fail(_: object) -> None:
        raise sqlite3.OperationalError("no room")

    monkeypatch.setattr("paryield.club.migrations.STEPS", {1: fail})
    with pytest.raises(Exception, match="no room"):
        Club.open(path)
    assert path.read_bytes() == before
    monkeypatch.undo()
    with Club.open(path) as club:
        assert len(club.tables().rounds) == 2


def test_a_column_that_a_club_lacks_is_added_with_its_default(path: Path) -> None:
    """``holes`` has the default 18, ``putts`` none."""
    with closing(sqlite3.connect(path)) as connection, connection:
        for name in ("holes", "putts"):
            connection.execute(f"alter table rounds drop column {name}")
        text = connection.execute("select value from club_facts where name = 'columns'").fetchone()[0]
        columns = json.loads(text)
        columns["rounds"] = [pair for pair in columns["rounds"] if pair[0] not in ("holes", "putts")]
        change = "update club_facts set value = ? where name = 'columns'"
        connection.execute(change, (json.dumps(columns),))
    with Club.open(path) as club:
        rounds = club.tables().rounds
    assert rounds["holes"].tolist() == [18, 18, 18, 18]
    assert rounds["putts"].isna().all()
    assert TABLES["rounds"].column("holes").default == "18"


@pytest.mark.parametrize(
    ("table", "columns", "said"),
    [
        ("rounds", [["golfer_id", "string"], ["shoe_size", "float64"]], "shoe_size"),
        ("rounds", [["golfer_id", "Int64"]], "golfer_id"),
        ("rounds", [["golfer_id", "string"], ["played_on", "datetime64[ns]"]], "round_no"),
        ("shoes", [["size", "float64"]], "shoes"),
    ],
)
def test_columns_that_went_or_changed_are_refused(
    path: Path, table: str, columns: list[list[str]], said: str
) -> None:
    with closing(sqlite3.connect(path)) as connection, connection:
        change = "update club_facts set value = ? where name = 'columns'"
        connection.execute(change, (json.dumps({table: columns}),))
    before = path.read_bytes()
    with pytest.raises(InputError, match="other columns") as caught:
        Club.open(path)
    assert said in caught.value.line()
    assert path.read_bytes() == before
