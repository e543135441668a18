"""Names that fit one golfer alone: put as one question, to be confirmed or changed name by name."""

from __future__ import annotations

from collections.abc import Sequence

from paryield.adopt.memory import Question
from paryield.adopt.words import plain

LEAST = 2
"""Names from which they are put together. [judgement]"""
TEXT = "These names each fit one golfer alone. Is each of them that golfer?"


def is_obvious(name: str, other: str) -> bool:
    """Whether each word of a name stands in another, as a whole or an initial: ``Isla M`` for Isla Mowat.

    Both are plain. An initial alone is not enough, nor is a word that begins another or nearly is one.
    """
    words, left = name.split(), other.split()
    for word in (word for word in words if len(word) > 1):
        if word not in left:
            return False
        left.remove(word)
    for word in (word for word in words if len(word) == 1):
        fits = next((one for one in left if one.startswith(word)), None)
        if fits is None:
            return False
        left.remove(fits)
    return any(len(word) > 1 for word in words)


def together(questions: Sequence[Question]) -> list[Question]:
    """Return questions with those that have a label as parts of one, behind what is doubtful, if several."""
    parts = tuple(one for one in questions if one.label)
    if len(parts) < LEAST:
        return list(questions)
    key = f"person, each of: {', '.join(plain(one.label) for one in parts)}"
    first = parts[0]
    whole = Question(key, TEXT, first.where, first.options, first.proposal, parts=parts)
    return [*(one for one in questions if not one.label), whole]
