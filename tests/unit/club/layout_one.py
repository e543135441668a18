"""A club file of layout 1, the first that was released, written by plain SQL as that version wrote it."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

KINDS = {"s": "string", "d": "datetime64[ns]", "i": "Int64", "f": "float64", "b": "boolean"}

COLUMNS = {
    "assessments": "assessed_on:d distance_ft:f golfer_id:s made:i note:s test:s tried:i unit:s value:f",
    "calendar": "competition_on:d ends_on:d golfer_id:s phase:s starts_on:d",
    "golfers": (
        "birth_year:i coach:s diary_complete:b display_name:s goal_index:f goal_on:d golfer_id:s "
        "group:s joined_on:d left_on:d low_index:f low_index_on:d most_weekly_hours:f sex:s "
        "start_index:f weekly_hours:f"
    ),
    "holes": (
        "fairway:s golfer_id:s hole:i par:i penalty_strokes:i played_on:d putts:i round_no:i "
        "stroke_index:i strokes:i"
    ),
    "limits": "category:s ends_on:d golfer_id:s most_minutes_per_week:f note:s set_by:s starts_on:d",
    "plans": (
        "category:s ends_on:d golfer_id:s minutes_per_week:f note:s plan:s reps_per_week:i starts_on:d"
    ),
    "practice": (
        "category:s distance_ft:f entry_no:i golfer_id:s made:i minutes:f note:s practised_on:d "
        "reps:i schedule:s state:s tried:i"
    ),
    "programmes": "ended_on:d golfer_id:s outcome:s programme:s started_on:d",
    "rounds": (
        "adjusted_gross_score:i approach:f baseline:s competition:b counts_for_index:b course:s "
        "course_rating:f fairways_hit:i fairways_possible:i golfer_id:s greens_hit:i holes:i "
        "off_the_tee:f par:i pcc:f penalty_strokes:i played_on:d putting:f putts:i round_no:i "
        "sand_saves_made:i sand_saves_tried:i score_differential:f short_game:f slope_rating:f "
        "tee:s three_putts:i up_and_downs_made:i up_and_downs_tried:i"
    ),
    "shots": ("distance:f distance_unit:s golfer_id:s hole:i holed:b lie:s played_on:d round_no:i shot_no:i"),
}
"""Columns of every table and their kinds, as the fact ``columns`` of layout 1 had them."""

DDL = """
CREATE TABLE golfers ( golfer_id TEXT NOT NULL, display_name TEXT, birth_year BIGINT, sex TEXT, joined_on
DATE, left_on DATE, start_index DOUBLE, low_index DOUBLE, low_index_on DATE, weekly_hours DOUBLE,
most_weekly_hours DOUBLE, diary_complete BOOLEAN, goal_index DOUBLE, goal_on DATE, coach TEXT, "group"
TEXT, PRIMARY KEY (golfer_id) );
CREATE TABLE calendar ( golfer_id TEXT NOT NULL, starts_on DATE NOT NULL, ends_on DATE NOT NULL, phase
TEXT, competition_on DATE, PRIMARY KEY (golfer_id, starts_on, ends_on) );
CREATE TABLE club_facts ( name TEXT NOT NULL, value TEXT NOT NULL, PRIMARY KEY (name) );
CREATE TABLE imports ( import_no INTEGER NOT NULL, imported_at TEXT NOT NULL, PRIMARY KEY (import_no) );
CREATE TABLE runs ( run_no INTEGER NOT NULL, saved_at TEXT NOT NULL, facts TEXT NOT NULL, payload BLOB,
stale BOOLEAN NOT NULL, PRIMARY KEY (run_no) );
CREATE TABLE rounds ( golfer_id TEXT NOT NULL, played_on DATE NOT NULL, round_no BIGINT NOT NULL,
score_differential DOUBLE, adjusted_gross_score BIGINT, course_rating DOUBLE, slope_rating DOUBLE, holes
BIGINT, course TEXT, tee TEXT, par BIGINT, pcc DOUBLE, counts_for_index BOOLEAN, competition BOOLEAN,
greens_hit BIGINT, fairways_hit BIGINT, fairways_possible BIGINT, putts BIGINT, three_putts BIGINT,
up_and_downs_made BIGINT, up_and_downs_tried BIGINT, sand_saves_made BIGINT, sand_saves_tried BIGINT,
penalty_strokes BIGINT, off_the_tee DOUBLE, approach DOUBLE, short_game DOUBLE, putting DOUBLE, baseline
TEXT, PRIMARY KEY (golfer_id, played_on, round_no), FOREIGN KEY(golfer_id) REFERENCES golfers (golfer_id)
);
CREATE TABLE holes ( golfer_id TEXT NOT NULL, played_on DATE NOT NULL, round_no BIGINT NOT NULL, hole
BIGINT NOT NULL, par BIGINT, stroke_index BIGINT, strokes BIGINT, putts BIGINT, fairway TEXT,
penalty_strokes BIGINT, PRIMARY KEY (golfer_id, played_on, round_no, hole), FOREIGN KEY(golfer_id)
REFERENCES golfers (golfer_id) );
CREATE TABLE shots ( golfer_id TEXT NOT NULL, played_on DATE NOT NULL, round_no BIGINT NOT NULL, hole
BIGINT NOT NULL, shot_no BIGINT NOT NULL, lie TEXT, distance DOUBLE, distance_unit TEXT, holed BOOLEAN,
PRIMARY KEY (golfer_id, played_on, round_no, hole, shot_no), FOREIGN KEY(golfer_id) REFERENCES golfers
(golfer_id) );
CREATE TABLE practice ( golfer_id TEXT NOT NULL, practised_on DATE NOT NULL, category TEXT NOT NULL,
entry_no BIGINT NOT NULL, reps BIGINT, minutes DOUBLE, made BIGINT, tried BIGINT, distance_ft DOUBLE,
schedule TEXT, state TEXT, note TEXT, PRIMARY KEY (golfer_id, practised_on, category, entry_no), FOREIGN
KEY(golfer_id) REFERENCES golfers (golfer_id) );
CREATE TABLE assessments ( golfer_id TEXT NOT NULL, assessed_on DATE NOT NULL, test TEXT NOT NULL,
distance_ft DOUBLE NOT NULL, tried BIGINT, made BIGINT, value DOUBLE, unit TEXT, note TEXT, PRIMARY KEY
(golfer_id, assessed_on, test, distance_ft), FOREIGN KEY(golfer_id) REFERENCES golfers (golfer_id) );
CREATE TABLE programmes ( golfer_id TEXT NOT NULL, programme TEXT NOT NULL, started_on DATE NOT NULL,
ended_on DATE, outcome TEXT, PRIMARY KEY (golfer_id, programme, started_on), FOREIGN KEY(golfer_id)
REFERENCES golfers (golfer_id) );
CREATE TABLE limits ( golfer_id TEXT NOT NULL, category TEXT NOT NULL, starts_on DATE NOT NULL, ends_on
DATE, most_minutes_per_week DOUBLE, set_by TEXT, note TEXT, PRIMARY KEY (golfer_id, category, starts_on),
FOREIGN KEY(golfer_id) REFERENCES golfers (golfer_id) );
CREATE TABLE plans ( "plan" TEXT NOT NULL, golfer_id TEXT NOT NULL, category TEXT NOT NULL, starts_on DATE
NOT NULL, ends_on DATE, reps_per_week BIGINT, minutes_per_week DOUBLE, note TEXT, PRIMARY KEY ("plan",
golfer_id, category, starts_on), FOREIGN KEY(golfer_id) REFERENCES golfers (golfer_id) );
CREATE TABLE import_tables ( import_no INTEGER NOT NULL, table_no INTEGER NOT NULL, table_name TEXT NOT
NULL, added INTEGER NOT NULL, skipped INTEGER NOT NULL, replaced INTEGER NOT NULL, PRIMARY KEY (import_no,
table_no), FOREIGN KEY(import_no) REFERENCES imports (import_no) );
CREATE TABLE import_files ( import_no INTEGER NOT NULL, file_no INTEGER NOT NULL, table_name TEXT NOT
NULL, name TEXT NOT NULL, sha256 TEXT NOT NULL, row_count INTEGER NOT NULL, PRIMARY KEY (import_no,
file_no), FOREIGN KEY(import_no) REFERENCES imports (import_no) );
CREATE TABLE replaced_rows ( import_no INTEGER NOT NULL, row_no INTEGER NOT NULL, table_name TEXT NOT
NULL, golfer_id TEXT NOT NULL, row_key TEXT NOT NULL, old TEXT NOT NULL, PRIMARY KEY (import_no, row_no),
FOREIGN KEY(import_no) REFERENCES imports (import_no) );
"""

ROWS = """
INSERT INTO golfers (golfer_id, display_name, start_index, diary_complete)
VALUES ('V1', 'Odette Larkmoor', 14.2, 1), ('V2', 'Piers Holloway-Dunn', NULL, NULL);
INSERT INTO rounds (golfer_id, played_on, round_no, holes, adjusted_gross_score, course_rating, slope_rating,
 pcc, counts_for_index, competition, putts)
VALUES ('V1', '2026-03-01', 1, 18, 87, 71.3, 127.0, 0.0, 1, 0, 33),
 ('V2', '2026-03-02', 1, 18, 96, 71.3, 127.0, 0.0, 1, 0, NULL);
INSERT INTO practice (golfer_id, practised_on, category, entry_no, minutes, state)
VALUES ('V1', '2026-03-03', 'chipping', 1, 45.5, 'done');
INSERT INTO calendar (golfer_id, starts_on, ends_on, phase)
VALUES ('', '2026-01-01', '2026-03-31', 'pre_season');
INSERT INTO imports VALUES (1, '2026-03-05T10:00:00+00:00');
INSERT INTO import_tables VALUES (1, 1, 'golfers', 2, 0, 0), (1, 2, 'rounds', 2, 0, 0);
INSERT INTO import_files VALUES (1, 1, 'golfers.csv', 'ab', 'golfers', 2);
INSERT INTO replaced_rows VALUES
 (1, 1, 'rounds', 'V1', '{"golfer_id": "V1"}', '{"adjusted_gross_score": 88}');
INSERT INTO runs VALUES (1, '2026-03-06T10:00:00+00:00', '{"golfers": ["V1", "V2"]}', x'00ff10', 0);
INSERT INTO club_facts VALUES ('kind', 'paryield club'), ('schema_version', '1'),
 ('settings', '{"club_name": "Larkmoor practice ground"}');
"""


def columns_fact() -> str:
    """Return the fact ``columns`` as layout 1 wrote it."""
    pairs = {
        table: [[name, KINDS[kind]] for name, kind in (word.split(":") for word in text.split())]
        for table, text in COLUMNS.items()
    }
    return json.dumps(pairs, sort_keys=True)


def make(path: Path) -> Path:
    """Write the club file."""
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.executescript(DDL + ROWS)
        connection.execute("INSERT INTO club_facts VALUES ('columns', ?)", (columns_fact(),))
    return path
