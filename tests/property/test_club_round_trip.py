"""Laws of the club: what goes in comes out, in any order, and the same again changes nothing."""

from __future__ import annotations

import string
import tempfile
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pandas as pd
from hypothesis import given, settings
from hypothesis import strategies as st

from paryield.club import Club, fingerprint, imports, layout, sqlite
from paryield.club.batch import prepare
from paryield.club.contents import read_tables
from paryield.tables import (
    DTYPES,
    SHIPPED,
    TABLES,
    Category,
    Reading,
    Settings,
    SourceFile,
    Tables,
    make_tables,
    read_folder,
    write_folder,
)
from paryield.tables.plausible import looks_like

TODAY = date(2026, 6, 1)
SETTINGS_FILE = SourceFile("settings.toml", "0" * 64, "settings", 1)

TEXTS = st.text(
    st.characters(exclude_categories=["Cs", "Cc"], include_characters="\n\t,;\"'=+-@#é🏌ש"),
    min_size=1,
    max_size=12,
)
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "string": TEXTS,
    "datetime64[ns]": st.dates(date(1900, 1, 1), date(2200, 1, 1)).map(pd.Timestamp),
    "Int64": st.integers(0, 2**53),
    "float64": st.floats(0, 1e12, allow_nan=False),
    "boolean": st.booleans(),
}
BLANK_KEYS = {("calendar", "golfer_id"), ("assessments", "distance_ft"), ("practice", "category")}


@st.composite
def any_tables(draw: st.DrawFn) -> Tables:
    """Return typed tables with any values at all; golfers are those of the golfers table."""
    ids = draw(st.lists(TEXTS, min_size=1, max_size=3, unique=True))
    frames = {}
    for name, table in TABLES.items():
        count = len(ids) if name == "golfers" else draw(st.integers(0, 3))
        rows: dict[tuple[Any, ...], dict[str, Any]] = {}
        for number in range(count):
            row = {}
            for column in table.columns:
                value = VALUES[DTYPES[column.kind]]
                if column.name == "golfer_id":
                    value = st.just(ids[number]) if name == "golfers" else st.sampled_from(ids)
                may_be_blank = column.name not in table.key or (name, column.name) in BLANK_KEYS
                row[column.name] = draw(st.none() | value if may_be_blank else value)
            rows[tuple(row[part] for part in table.key)] = row
        frames[name] = pd.DataFrame(list(rows.values()), columns=list(table.names), dtype=object)
    own = st.builds(
        Category,
        st.text(string.ascii_lowercase, min_size=3, max_size=8).map("own_".__add__),
        st.sampled_from([{"putting": 1.0}, {"short_game": 0.25, "approach": 0.75}]),
        st.none() | st.floats(1, 200),
        st.sampled_from(["none", "swing", "strength"]),
        st.floats(1, 900),
    )
    categories = draw(st.lists(own, max_size=2, unique_by=lambda category: category.name))
    chosen = draw(st.builds(Settings, club_name=TEXTS, minimum_scores=st.integers(1, 20)))
    return make_tables(frames, categories=(*SHIPPED, *categories), settings=chosen)


def by_key(tables: Tables) -> Tables:
    """Return the tables with rows in the order of the key, blanks first."""
    frames = {}
    for name, frame in tables.items():
        order = sorted(
            range(len(frame)),
            key=lambda at: tuple(
                (not pd.isna(v), v) if not pd.isna(v) else (False,) for v in key_of(name, frame, at)
            ),
        )
        frames[name] = frame.iloc[order].reset_index(drop=True)
    return make_tables(frames, categories=tables.categories, settings=tables.settings)


def key_of(name: str, frame: pd.DataFrame, at: int) -> list[Any]:
    """Return the key of one row; texts as bytes, the order of the file."""
    values = [frame[part].iloc[at] for part in TABLES[name].key]
    return [value.encode() if isinstance(value, str) else value for value in values]


@given(any_tables())
@settings(max_examples=10, deadline=None)
def test_any_typed_tables_come_back_equal(tables: Tables) -> None:
    reading = Reading(tables, (), (SETTINGS_FILE,), {}, {})
    engine = sqlite.memory_engine()
    with engine.begin() as connection:
        layout.make(connection)
        imports.store(connection, prepare(connection, reading), reading)
        back = read_tables(connection)
        again = prepare(connection, reading)
    engine.dispose()
    assert back.equals(by_key(tables))
    assert fingerprint(back) == fingerprint(tables)
    assert not any(added or replaced for added, _, replaced in again.counts().values())


@st.composite
def sound_tables(draw: st.DrawFn) -> Tables:
    """Return tables that pass every check of a folder."""
    names = st.text(
        st.characters(exclude_categories=["Cs", "Cc", "Z"], include_characters=" ,'\"=+-@🏌ש"), max_size=10
    ).map(lambda text: text.strip() or None)
    ids = draw(
        st.lists(
            st.text(string.ascii_letters + string.digits, min_size=1, max_size=4),
            min_size=1,
            unique_by=looks_like,  # ids that differ in capitals only are refused: tests/unit/tables
            max_size=4,
        )
    )
    tenths = st.integers(-50, 540).map(lambda value: value / 10)
    golfers = [
        {"golfer_id": one, "display_name": draw(names), "start_index": draw(st.none() | tenths)}
        for one in ids
    ]
    days = st.integers(0, 500).map(lambda back: pd.Timestamp(TODAY - timedelta(days=back)))
    places = st.lists(st.tuples(st.sampled_from(ids), days), max_size=6, unique=True)
    rounds = [
        {
            "golfer_id": one,
            "played_on": day,
            "adjusted_gross_score": draw(st.integers(65, 130)),
            "course_rating": draw(st.integers(640, 760)) / 10,
            "slope_rating": float(draw(st.integers(55, 155))),
            "putts": draw(st.none() | st.integers(20, 50)),
            "competition": draw(st.booleans()),
        }
        for one, day in draw(places)
    ]
    practice = [
        {
            "golfer_id": one,
            "practised_on": day,
            "category": draw(st.sampled_from([category.name for category in SHIPPED])),
            "minutes": draw(st.integers(0, 40000)) / 100,
            "note": draw(names),
        }
        for one, day in draw(places)
    ]
    frames = {"golfers": pd.DataFrame(golfers)}
    if rounds:
        frames["rounds"] = pd.DataFrame(rounds)
    if practice:
        frames["practice"] = pd.DataFrame(practice)
    return make_tables(frames)


@given(sound_tables(), st.sampled_from(["csv", "xlsx"]))
@settings(max_examples=8, deadline=None)
def test_folder_to_club_to_folder_gives_equal_tables(tables: Tables, fmt: str) -> None:
    with tempfile.TemporaryDirectory() as name:
        base = Path(name)
        write_folder(tables, base / "in", fmt)  # type: ignore[arg-type]
        with Club.open(base / "club.db", create=True) as club:
            club.import_folder(base / "in", today=TODAY)
            club.export(base / "out", fmt)
            mark = club.data_fingerprint()
        content = (base / "club.db").read_bytes()
        with Club.open(base / "club.db") as club:
            club.import_folder(base / "out", today=TODAY)
        assert (base / "club.db").read_bytes() == content
        reading = read_folder(base / "out", today=TODAY)
        assert reading.errors == ()
    assert reading.tables.equals(by_key(tables))
    assert mark == fingerprint(tables)
