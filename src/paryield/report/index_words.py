"""Which rounds the Handicap Index is made of, in words."""

from __future__ import annotations

from paryield.scoring.index import FULL_RECORD, lowest_used

MOST = lowest_used(FULL_RECORD)[0]
"""Differentials that the index of a full record averages."""


def best_of(counting: int) -> str:
    """Return which rounds an index averages: the best 8 of the latest 20, or fewer of a small record.

    Parameters
    ----------
    counting : int
        Rounds that the index of today averages; 0 where that is not known, or there is none yet.
    """
    full = f"the best {MOST} of the latest {FULL_RECORD} rounds"
    if counting in (0, MOST):
        return full
    few = "the best round" if counting == 1 else f"the best {counting} rounds"
    return f"{few} so far (later {full})"


def ringed(counting: int) -> str:
    """Return in short how many rounds count for the index of today: the 8 that count."""
    return f"the {counting} that count" + ("" if counting == MOST else f" (of {FULL_RECORD}, {MOST})")


def counting_sentence(counting: int, played: int) -> str:
    """Return how many rounds count now, and that fewer do in a small record; empty without an index.

    Parameters
    ----------
    counting : int
        Rounds that the index of today averages.
    played : int
        Differentials that they are the lowest of, at most 20.
    """
    if not counting:
        return ""
    if played >= FULL_RECORD:
        return f"The {counting} lowest of the latest {FULL_RECORD} differentials count for the index."
    lowest = "lowest counts" if counting == 1 else f"{counting} lowest count"
    return f"Of {played} differentials the {lowest} for the index; of {FULL_RECORD} it will be {MOST}."
