"""A club file of layout 3 by plain SQL: layout 2 with what that version added, as it wrote it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import layout_two

ADDED = """
ALTER TABLE imports ADD COLUMN who TEXT;
CREATE TABLE people ( person_id TEXT NOT NULL, name TEXT NOT NULL, sign_in TEXT NOT NULL, role TEXT NOT NULL,
every_golfer BOOLEAN NOT NULL, password BLOB NOT NULL, must_change BOOLEAN NOT NULL, password_until BIGINT,
added_at TEXT NOT NULL, PRIMARY KEY (person_id), UNIQUE (sign_in) );
CREATE TABLE people_golfers ( person_id TEXT NOT NULL, golfer_id TEXT NOT NULL, PRIMARY KEY (person_id,
golfer_id), FOREIGN KEY(person_id) REFERENCES people (person_id) );
CREATE TABLE sessions ( session_id TEXT NOT NULL, token BLOB NOT NULL, person_id TEXT NOT NULL, begun_at
BIGINT NOT NULL, seen_at BIGINT NOT NULL, PRIMARY KEY (session_id), UNIQUE (token), FOREIGN KEY(person_id)
REFERENCES people (person_id) );
INSERT INTO people VALUES ('P1', 'Maud Ferrin', 'maud ferrin', 'coach', 0, x'00', 0, NULL,
 '2026-03-07T10:00:00+00:00');
INSERT INTO people_golfers VALUES ('P1', 'V1');
UPDATE imports SET who = 'command line';
UPDATE club_facts SET value = '3' WHERE name = 'schema_version';
"""


def make(path: Path) -> Path:
    """Write the club file."""
    layout_two.make(path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.executescript(ADDED)
    return path
