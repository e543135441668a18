"""Files that are the newer copy of one brought in before under another name, told by their rows."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence

from paryield.adopt.found import text_of
from paryield.adopt.memory import Ask, Memory, Question
from paryield.adopt.sheets import Sheet

ROWS_OF = "rows of: "
"""How the key of what is kept of a file's rows begins, before the file's name."""
KEPT = 64
"""Rows of a file of which a mark is kept: those with the smallest marks, a sample that any copy shares."""
LEAST_ROWS = 5
SURE, LIKELY = 0.9, 0.5
"""Share of a file's rows in another, from which that is taken for its copy, or asked about. [judgement]"""
COPY, OTHER = "a newer copy of it", "another file"


def marks_of(sheets: Sequence[Sheet]) -> list[str]:
    """Return a mark of each row of two cells and more of some sheets, once each, in order."""
    rows = (tuple(text_of(cell) for cell in row if cell is not None) for one in sheets for row in one.rows)
    texts = {"|".join(row) for row in rows if len(row) > 1}
    return sorted(hashlib.sha256(text.encode()).hexdigest()[:8] for text in texts)


def newer_copies(sheets: Sequence[Sheet], memory: Memory, ask: Ask) -> dict[str, str]:
    """Return files whose rows are those of one brought in before under another name, with that name.

    Where nearly all rows of the earlier file stand in it, it is taken for a copy, held as an answer that can
    be changed; where half of them do, that is asked. A file whose own name is known is none, nor is one a
    copy of another that is here too.
    """
    earlier = {
        key.removeprefix(ROWS_OF): set(kept.split())
        for key, kept in memory.answers.items()
        if key.startswith(ROWS_OF)
    }
    files = by_file(sheets)
    found: dict[str, str] = {}
    for file, own in files.items():
        mine = set(marks_of(own))
        shares = {name: len(kept & mine) / len(kept) for name, kept in earlier.items() if name not in files}
        name = max(shares, key=lambda one: shares[one], default="")
        if file in earlier or shares.get(name, 0.0) < LIKELY:
            continue
        text = f"{shares[name]:.0%} of the rows of {name!r}, brought in before, stand here. Is it that file?"
        question = Question(f"copy: {file} = {name}", text, file, (COPY, OTHER), COPY)
        sure = shares[name] >= SURE
        answer = memory.answer(question) or memory.hold(question) if sure else ask(question)
        if answer == COPY:
            found[file] = name
    return found


def kept_rows(sheets: Sequence[Sheet], copies: Mapping[str, str]) -> dict[str, str]:
    """Return what is kept of the rows of each file, as answers: a sample under its first name."""
    marks = {copies.get(file, file): marks_of(own) for file, own in by_file(sheets).items()}
    return {f"{ROWS_OF}{name}": " ".join(one[:KEPT]) for name, one in marks.items() if len(one) >= LEAST_ROWS}


def first_name(place: str, copies: Mapping[str, str]) -> str:
    """Return a place, or a key that names one, with a copy called as the file that it is a copy of."""
    for file, name in copies.items():
        place = place.replace(file, name)
    return place


def by_file(sheets: Sequence[Sheet]) -> dict[str, list[Sheet]]:
    """Return sheets by their file."""
    found: dict[str, list[Sheet]] = {}
    for one in sheets:
        found.setdefault(one.file, []).append(one)
    return found
