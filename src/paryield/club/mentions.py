"""A person's name or id in the text of other rows: replaced where that is safe, counted where not."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa

from paryield.club import layout, sums

ERASED = "(erased)"

LEFT_ALONE = ("copies.path", "club_facts.value", "people.name", "people.sign_in")
"""Text that is looked at but never changed: where copies lie, the settings, and what others sign in with."""


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
