"""A club file of layout 2 by plain SQL: layout 1 with what that version added, as it wrote it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import layout_one

ADDED = """
ALTER TABLE imports ADD COLUMN source TEXT;
CREATE TABLE audit ( audit_no INTEGER NOT NULL, at TEXT NOT NULL, who TEXT NOT NULL, action TEXT NOT NULL,
what TEXT NOT NULL, mark TEXT, PRIMARY KEY (audit_no) );
CREATE TABLE copies ( copy_no INTEGER NOT NULL, kind TEXT NOT NULL, path TEXT NOT NULL, made_at TEXT NOT
NULL, PRIMARY KEY (copy_no) );
CREATE TABLE marks ( golfer_id TEXT NOT NULL, mark TEXT NOT NULL, PRIMARY KEY (golfer_id), UNIQUE (mark) );
INSERT INTO audit VALUES (1, '2026-03-05T10:00:00+00:00', 'command line', 'imported', 'folder', NULL),
 (2, '2026-03-05T10:00:01+00:00', 'command line', 'replaced', 'rounds', '0123456789abcdef');
INSERT INTO marks VALUES ('V1', '0123456789abcdef');
INSERT INTO copies VALUES (1, 'backup', '/var/backups/larkmoor.db', '2026-03-05T11:00:00+00:00');
UPDATE club_facts SET value = '2' WHERE name = 'schema_version';
"""


def make(path: Path) -> Path:
    """Write the club file."""
    layout_one.make(path)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.executescript(ADDED)
    return path
