"""What a damaged club says of itself: one line, exit code 2, and the last good backup; never other rows."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club, backups, sums
from paryield.club.layout import columns_now
from paryield.errors import InputError, Notice, ParyieldError
from paryield.tables import TABLES, read_folder

pytestmark = pytest.mark.club_file


def changed(path: Path, *commands: str) -> None:
    """Change a club file behind its back."""
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("PRAGMA writable_schema = ON")
        for command in commands:
            connection.execute(command)


@pytest.fixture
def backup(path: Path, tmp_path: Path) -> Path:
    """Return a backup of the club, made before the damage."""
    with Club.open(path) as club:
        club.backup(tmp_path / "good.db")
    return tmp_path / "good.db"


SILENT = (
    "UPDATE rounds SET putts = 33 WHERE putts = 31",
    "UPDATE rounds SET course_rating = 71.3 WHERE golfer_id = 'A2'",
    "UPDATE golfers SET display_name = 'Ottilie Fenwarti' WHERE golfer_id = 'A1'",
    "UPDATE practice SET minutes = NULL WHERE category = 'driver'",
    "UPDATE golfers SET diary_complete = 0 WHERE golfer_id = 'A1'",
    "UPDATE rounds SET row_sum = row_sum + 1 WHERE golfer_id = 'A2'",
)
USES: dict[str, Callable[[Club, Path], object]] = {
    "export": lambda club, place: club.export(place / "out"),
    "backup": lambda club, place: club.backup(place / "copy.db"),
    "check": lambda club, _: club.check(),
}


@pytest.mark.parametrize("use", USES)
@pytest.mark.parametrize("command", SILENT)
def test_a_value_that_changed_by_itself_is_found(
    path: Path, backup: Path, tmp_path: Path, command: str, use: str
) -> None:
    with Club.open(path) as club:
        club.check()
    changed(path, command)
    with Club.open(path) as club, pytest.raises(InputError, match="damaged") as caught:
        USES[use](club, tmp_path)
    assert caught.value.exit_code == 2
    assert f"last good backup: {backup}" in caught.value.line()
    assert not (tmp_path / "out").exists()
    assert not (tmp_path / "copy.db").exists()
    assert not backups.is_sound(path)


LOST = (
    ("ALTER TABLE rounds DROP COLUMN putts",),
    ("DROP TABLE practice",),
    ("ALTER TABLE audit RENAME COLUMN what TO whit",),
    ("UPDATE sqlite_master SET sql = replace(sql, 'putts BIGINT', 'putts BIGTEXT') WHERE name = 'rounds'",),
    ("UPDATE sqlite_master SET sql = replace(sql, 'CREATE', 'CREAUE') WHERE name = 'rounds'",),
    ("UPDATE club_facts SET value = 'paryiele club' WHERE name = 'kind'",),
    ("UPDATE club_facts SET value = 's' WHERE name = 'schema_version'",),
    (
        "UPDATE club_facts SET value = '3' WHERE name = 'schema_version'",
        "ALTER TABLE rounds DROP COLUMN putts",
    ),
    ("UPDATE golfers SET display_name = CAST(x'4fff7474' AS TEXT) WHERE golfer_id = 'A1'",),
    ("UPDATE rounds SET played_on = '2026-0s-01' WHERE golfer_id = 'A2'",),
)


@pytest.mark.parametrize("commands", LOST, ids=lambda commands: commands[-1][:40])
def test_a_lost_column_or_a_bit_in_the_text_says_damaged(
    path: Path, backup: Path, commands: tuple[str, ...]
) -> None:
    changed(path, *commands)
    with pytest.raises(InputError, match="damaged") as caught, Club.open(path) as club:
        club.tables()
    assert caught.value.exit_code == 2
    assert f"last good backup: {backup}" in caught.value.line()


def test_a_row_keeps_its_sum_through_every_way_of_writing(path: Path, folder: Path) -> None:
    """Import, replacing import, log, edit, undo and erase: what they write is as it was written."""
    row = {"golfer_id": "A2", "practised_on": "2026-05-01", "category": "chipping", "minutes": "20"}
    (folder / "rounds.csv").write_text(
        (folder / "rounds.csv").read_text().replace("A1,2026-03-01,85", "A1,2026-03-01,86")
    )
    with Club.open(path) as club:
        club.import_folder(folder, replace=True, undoable=True)
        logged = club.log("practice", {**row, "note": "with Ottilie Fenwarth"})
        edited = club.edit("practice", {**row, "minutes": "25", "note": "with A11"}, logged.row.seen)
        club.undo(edited.number)
        club.check()
        assert sum(club.erase("A1").scrubbed.values()) >= 2
        club.check()


def test_an_older_club_gets_its_sums(path: Path) -> None:
    changed(
        path,
        *(f"ALTER TABLE {name} DROP COLUMN row_sum" for name in (*TABLES, "club_facts", "replaced_rows")),
        "UPDATE club_facts SET value = '3' WHERE name = 'schema_version'",
    )
    for _ in range(2):
        with Club.open(path) as club:
            club.check()
    changed(path, SILENT[0])
    with Club.open(path) as club, pytest.raises(InputError, match="rounds A1, 2026-03-01, 1"):
        club.check()


def test_an_upgrade_does_not_whitewash_a_changed_row(path: Path) -> None:
    assert '["par", "Int64"], ' in columns_now()
    changed(
        path,
        "ALTER TABLE rounds DROP COLUMN par",
        "UPDATE club_facts SET value = replace(value, '[\"par\", \"Int64\"], ', '') WHERE name = 'columns'",
        "UPDATE rounds SET adjusted_gross_score = 84 WHERE adjusted_gross_score = 88",
    )
    with Club.open(path) as club, pytest.raises(InputError, match="rounds A1, 2026-03-08, 1"):
        club.check()


def test_what_a_damaged_club_still_holds_is_written_out_on_demand(path: Path, tmp_path: Path) -> None:
    changed(path, SILENT[0])
    with Club.open(path) as club, pytest.warns(Notice, match="rounds A1, 2026-03-01, 1 is not as it was"):
        club.export(tmp_path / "out", anyway=True)
    assert 33 in read_folder(tmp_path / "out").tables.rounds["putts"].tolist()


def test_damaged_bytes_never_come_out_as_other_rows(path: Path, tmp_path: Path) -> None:
    """One to eight bits flipped anywhere: the same rows, or one line with exit code 2."""
    with Club.open(path) as club:
        before = club.tables()
    sound, chance = path.read_bytes(), random.Random(20260601)
    codes: list[int] = []
    full = [at for at, byte in enumerate(sound) if byte]
    damaged = tmp_path / "damaged.db"
    for number in range(150):
        content = bytearray(sound)
        for at in chance.sample(full, chance.choice([1, 1, 2, 8])):
            content[at] ^= 1 << chance.randrange(8)
        damaged.write_bytes(content)
        try:
            with Club.open(damaged) as club:
                club.check()
                assert club.tables().equals(before), number
        except ParyieldError as error:
            codes.append(error.exit_code)
    assert set(codes) == {2}
    assert 50 < len(codes) < 150


def test_one_sum_for_a_value_however_it_is_read() -> None:
    typed = {"a": date(2026, 3, 1), "b": True, "c": 71.0, "d": -0.0, "e": None, "f": "x"}
    plain = {"a": "2026-03-01", "b": 1, "c": 71, "d": 0, "f": "x"}
    assert sums.row_sum(typed) == sums.row_sum(plain)
    assert sums.row_sum(plain) != sums.row_sum({**plain, "c": 71.5})
