"""Where a person still stands: in the text of other rows, and in copies outside the club."""

from __future__ import annotations

import contextlib
import json
import re
import sqlite3
import zipfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pandas as pd
import sqlalchemy as sa

from paryield.club import layout, sums

ERASED = "(erased)"

LEFT_ALONE = ("copies.path", "club_facts.value", "people.name", "people.sign_in")
"""Text that is looked at but never changed: where copies lie, the settings, and what others sign in with."""

HOLDS, MAY_HOLD, NOT_FOUND, UNREADABLE = "holds", "may hold", "not found", "cannot be read"

PACKED = (".xlsx", ".zip")
OPAQUE = (".pdf", ".png")
LARGEST = 2**28


def scrub(connection: sa.Connection, words: Sequence[str]) -> tuple[dict[str, int], dict[str, int]]:
    """Replace whole-word mentions in all text of the club.

    Parameters
    ----------
    words : sequence of str
        Id and name; capitals do not matter.

    Returns
    -------
    (dict, dict)
        Count of cells replaced and of cells left as they are, by ``table.column``.
    """
    replaced: dict[str, int] = {}
    left: dict[str, int] = {}
    for table in layout.METADATA.sorted_tables:
        for column in table.columns:
            if isinstance(column.type, sa.Text):
                for word in spellings(words):
                    scrub_column(connection, column, word, replaced, left)
    return replaced, left


def scrub_column(
    connection: sa.Connection,
    column: sa.Column[Any],
    word: str,
    replaced: dict[str, int],
    left: dict[str, int],
) -> None:
    """Replace or count the mentions of one word in one column."""
    place, pattern = f"{column.table.name}.{column.name}", whole_word(word)
    may_change = is_distinctive(word) and not column.primary_key and not column.foreign_keys
    may_change = may_change and place not in LEFT_ALONE
    holds = sa.or_(
        column.contains(word, autoescape=True),
        sa.func.lower(column).contains(word.lower(), autoescape=True),
    )
    query = sa.select(column, sa.func.count()).where(holds).group_by(column)
    for text, count in connection.execute(query).all():
        if not pattern.search(text):
            continue
        counts = replaced if may_change else left
        counts[place] = counts.get(place, 0) + int(count)
        if may_change:
            reword(connection, column, text, pattern.sub(ERASED, text))


def reword(connection: sa.Connection, column: sa.Column[Any], old: str, new: str) -> None:
    """Put a text in the place of another in one column, and renew the checksums of its rows."""
    table = column.table
    if sums.SUM not in table.c:
        connection.execute(table.update().where(column == old).values({column.name: new}))
        return
    for row in connection.execute(sa.select(table).where(column == old)).mappings().all():
        sums.change(connection, table, row, sums.reworded(row, {column.name: new}))


def spellings(words: Sequence[str]) -> list[str]:
    """Return words as they stand in text and in JSON, the longest first."""
    both = {form for word in words for form in (word, json.dumps(word, ensure_ascii=False)[1:-1])}
    return sorted((word for word in both if word.strip()), key=lambda word: (-len(word), word))


def whole_word(word: str) -> re.Pattern[str]:
    """Return a pattern that finds a word not inside another, whatever its capitals."""
    start, end = (r"(?<!\w)" if word[0].isalnum() else ""), (r"(?!\w)" if word[-1].isalnum() else "")
    return re.compile(start + re.escape(word) + end, re.IGNORECASE)


def is_distinctive(word: str) -> bool:
    """Tell whether a word can hardly mean anything else: a full name, or letters with digits."""
    two_words = len(word.split()) > 1
    mixed = any(letter.isalpha() for letter in word) and any(letter.isdigit() for letter in word)
    return len(word) >= 4 and (two_words or mixed)


def holders(copies: pd.DataFrame, golfer_id: str, name: str | None) -> tuple[dict[str, str], ...]:
    """Return the known copies that hold a person, may hold him, or could not be looked at."""
    words = [word for word in (golfer_id, name) if word]
    found = []
    for copy in copies.to_dict("records"):
        path = Path(str(copy["path"]))
        looked = in_backup(path, golfer_id) if copy["kind"] == "backup" else in_folder(path, words)
        for place, state in looked:
            found.append(
                {
                    "kind": str(copy["kind"]),
                    "path": str(place),
                    "made_at": str(copy["made_at"]),
                    "state": state,
                }
            )
    return tuple(found)


def in_backup(path: Path, golfer_id: str) -> Iterator[tuple[Path, str]]:
    """Yield a backup that holds the golfer, and pieces that a killed backup left beside it."""
    with contextlib.suppress(OSError):
        pieces = [one for one in path.parent.iterdir() if one.name.startswith(f".{path.name}.")]
        yield from ((piece, MAY_HOLD) for piece in sorted(pieces))
    if not path.is_file():
        yield path, NOT_FOUND
        return
    try:
        address = f"file:{quote(str(path))}?mode=ro&immutable=1"
        with contextlib.closing(sqlite3.connect(address, uri=True)) as connection:
            held = connection.execute("SELECT 1 FROM golfers WHERE golfer_id = ?", (golfer_id,)).fetchone()
    except sqlite3.Error:
        yield path, UNREADABLE
        return
    if held is not None:
        yield path, HOLDS


def in_folder(path: Path, words: list[str]) -> Iterator[tuple[Path, str]]:
    """Yield the files of a folder that name the person."""
    if not path.exists():
        yield path, NOT_FOUND
        return
    files = sorted(one for one in path.rglob("*") if one.is_file()) if path.is_dir() else [path]
    for file in files:
        try:
            state = in_file(file, words)
        except (OSError, zipfile.BadZipFile):
            state = UNREADABLE
        if state is not None:
            yield file, state


def in_file(path: Path, words: list[str]) -> str | None:
    """Tell whether a file names the person; None when it does not."""
    patterns = [whole_word(word) for word in words]
    if any(pattern.search(path.stem) for pattern in patterns):
        return HOLDS
    if path.suffix.lower() in OPAQUE or path.stat().st_size > LARGEST:
        return MAY_HOLD
    if path.suffix.lower() in PACKED:
        with zipfile.ZipFile(path) as package:
            if sum(part.file_size for part in package.infolist()) > LARGEST:
                return MAY_HOLD
            texts = [package.read(part).decode("utf-8", "replace") for part in package.infolist()]
    else:
        texts = [path.read_text(encoding="utf-8", errors="replace")]
    return HOLDS if any(pattern.search(text) for pattern in patterns for text in texts) else None
