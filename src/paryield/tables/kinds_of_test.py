"""What a coach's test counts or values, by the words in its name."""

from __future__ import annotations

import re

KINDS: tuple[tuple[str, str, str, str], ...] = (
    ("lag", "lag", "putting", "close"),
    ("putt", "putting", "putting", "holed"),
    ("sand", "bunker", "short_game", "up_and_down"),
    ("bunker", "bunker", "short_game", "up_and_down"),
    ("up_and_down", "up_and_down", "short_game", "up_and_down"),
    ("chip", "chip", "short_game", "landed"),
    ("pitch", "pitch", "short_game", "landed"),
    ("landing", "chip", "short_game", "landed"),
)
"""Beginnings of a word in the name of a test, its kind, the area it speaks of, and what a success is: putt
holed, lag putt left within 2 ft, ball up and down, first bounce in the circle (common practice, no source).
The first in this list counts."""

VALUE_KINDS = (("speed", "speed", "off_the_tee"), ("carry", "carry", "off_the_tee"))
"""The same for tests with a value: clubhead or ball speed, and carry, speak of the tee shot. 20 yd
more gain 0.75 stroke a round on tour (record-bee.com/2015/02/13, verified)."""


def _matching(words: tuple[str, ...], test: str) -> int | None:
    name = "_" + re.sub(r"[\W_]+", "_", test.strip().lower())
    return next((place for place, word in enumerate(words) if f"_{word}" in name), None)


def kind_of_test(test: str) -> tuple[str, str] | None:
    """Return area and kind of success of a test by its name, or None when the name says neither."""
    place = _matching(tuple(kind[0] for kind in KINDS), test)
    return None if place is None else KINDS[place][2:]


def name_of_kind(test: str) -> str | None:
    """Return the kind of a test that counts successes (putting, lag, bunker, ...) by its name."""
    place = _matching(tuple(kind[0] for kind in KINDS), test)
    return None if place is None else KINDS[place][1]


def value_kind(test: str) -> tuple[str, str] | None:
    """Return kind (speed or carry) and area of a test with a value by its name, or None."""
    place = _matching(tuple(kind[0] for kind in VALUE_KINDS), test)
    return None if place is None else VALUE_KINDS[place][1:]
