"""A club file of layout 4 by plain SQL: layout 3 with what that version added, as it wrote it."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import layout_three

ADDED = """
CREATE TABLE strikes ( golfer_id TEXT NOT NULL, struck_on DATE NOT NULL, strike_no BIGINT NOT NULL, kind TEXT,
target DOUBLE, carry DOUBLE, side DOUBLE, unit TEXT, club TEXT, session TEXT, note TEXT, PRIMARY KEY
(golfer_id, struck_on, strike_no), FOREIGN KEY(golfer_id) REFERENCES golfers (golfer_id) );
CREATE TABLE events ( golfer_id TEXT NOT NULL, happened_on DATE NOT NULL, kind TEXT NOT NULL, until DATE,
area TEXT, note TEXT, PRIMARY KEY (golfer_id, happened_on, kind), FOREIGN KEY(golfer_id) REFERENCES golfers
(golfer_id) );
INSERT INTO events VALUES ('V1', '2026-03-04', 'lesson', NULL, 'putting', NULL);
UPDATE club_facts SET value = '4' WHERE name = 'schema_version';
"""
COLUMNS = {
    "strikes": {
        "golfer_id": "string",
        "struck_on": "datetime64[ns]",
        "strike_no": "Int64",
        "kind": "string",
        "target": "float64",
        "carry": "float64",
        "side": "float64",
        "unit": "string",
        "club": "string",
        "session": "string",
        "note": "string",
    },
    "events": {
        "golfer_id": "string",
        "happened_on": "datetime64[ns]",
        "kind": "string",
        "until": "datetime64[ns]",
        "area": "string",
        "note": "string",
    },
}


def make(path: Path) -> Path:
    """Write the club file."""
    layout_three.make(path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.executescript(ADDED)
        text = connection.execute("SELECT value FROM club_facts WHERE name = 'columns'").fetchone()[0]
        columns = json.loads(text) | {name: sorted(kinds.items()) for name, kinds in COLUMNS.items()}
        change = "UPDATE club_facts SET value = ? WHERE name = 'columns'"
        connection.execute(change, (json.dumps(columns, sort_keys=True),))
    return path
