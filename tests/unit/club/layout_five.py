"""A club file of layout 5 by plain SQL: layout 4 with what that version added, as it wrote it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import layout_four

from paryield.club.sums import row_sum

SUMMED = (
    *("golfers", "rounds", "holes", "shots", "practice", "assessments", "strikes", "events", "calendar"),
    *("index_limits", "plans", "club_facts", "replaced_rows"),
)
"""Tables whose rows have a checksum since then, as far as an older file holds them."""
ADDED = """
CREATE TABLE designs ( design_no INTEGER NOT NULL, made_at TEXT NOT NULL, plan TEXT NOT NULL, facts TEXT NOT
NULL, PRIMARY KEY (design_no) );
CREATE TABLE design_members ( design_no INTEGER NOT NULL, place INTEGER NOT NULL, golfer_id TEXT NOT NULL,
facts TEXT NOT NULL, PRIMARY KEY (design_no, place), FOREIGN KEY(design_no) REFERENCES designs (design_no),
FOREIGN KEY(golfer_id) REFERENCES golfers (golfer_id) );
CREATE TABLE adopted ( answer_no INTEGER NOT NULL, golfer_id TEXT, question TEXT NOT NULL, answer TEXT NOT
NULL, PRIMARY KEY (answer_no) );
INSERT INTO adopted VALUES (1, NULL, 'practice: shorties', 'chipping');
UPDATE club_facts SET value = '5' WHERE name = 'schema_version';
"""


def make(path: Path) -> Path:
    """Write the club file."""
    layout_four.make(path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.executescript(ADDED)
        connection.row_factory = sqlite3.Row
        names = {row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        for name in (one for one in SUMMED if one in names):
            connection.execute(f"ALTER TABLE {name} ADD COLUMN row_sum BIGINT")
            for row in connection.execute(f"SELECT rowid AS at, * FROM {name}").fetchall():
                values = {key: row[key] for key in row.keys() if key != "at"}  # noqa: SIM118
                connection.execute(
                    f"UPDATE {name} SET row_sum = ? WHERE rowid = ?", (row_sum(values), row["at"])
                )
    return path
