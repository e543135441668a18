"""Tests as headings and cells name them, and as the tables do: a distance, a ring, how many are tried."""

from __future__ import annotations

import re
from dataclasses import dataclass

from paryield.adopt.sheets import Cell
from paryield.adopt.words import plain, practice_of

DISTANCE = re.compile(
    r"(?:from\s+)?(\d+(?:[.,]\d+)?)\s*(ft|feet|foot|'|’|m|meter|metres|meters)\.?", re.IGNORECASE
)
FEET_PER_METRE = 3.28084
RING = re.compile(
    r"[<≤]\s*\d|\b(?:inside|within|to|in|innerhalb|dans|[aà] moins de|dentro(?: de)?|a menos de|entro"
    r"|binnen|inom|innen ?for|inden ?for)\s+(?:a\s+|an\s+|von\s+|di\s+|of\s+)?\d"
    r"|\b(?:closer than|nearer than|n(?:ä|ae?)her als|plus pr[eè]s que|m[aá]s cerca de|pi[uù] vicino di"
    r"|dichter(?:bij)? dan|n[aä]rmare [aä]n|n[aæ]rmere enn?d?)\s+\d"
    r"|\b(?:ring|circle|kreis|cercle|circulo|cerchio|cirkel|sirkel)\b|\bon (?:the )?green\b"
)
LENGTH = re.compile(
    r"\d+(?:[.,]\d+)?\s*(?:(?:ft|feet|foot|m|met(?:re|er)s?|metros?|metri|yds?|yards?)\b|['’′](?!\w))",
    re.IGNORECASE,
)
NUMBER_OF = re.compile(r"[(\[]\s*(?:\w+\s+)?(\d{1,3})(?:\s*[^\W\d]+\.?)?\s*[)\]]\s*$")
"""How many are tried, in brackets behind the name of a test: ``(20 balls)``, ``(of 15)``."""

OUT_OF = re.compile(
    r"(?:(?<!\d)/|\b(?:out of|of|von|aus|sur|sobre|su|uit|av|af|em))\s*(\d{1,3})"
    r"(?!\s*(?:ft|feet|foot|m|met\w*|yds?|yards?|cm)\b)(?!\d|[.,]\d|/)",
    re.IGNORECASE,
)
"""How many are tried, within the name of a test: ``putts out of 10, 2 m``, ``chips sur 20``, ``(/5)``."""

TESTS = (
    (r"lag|long putt", "lag_putt"),
    (r"ladder|putt|leiter", "putting_ladder"),
    (r"bunker|sand", "bunker_splash"),
    (r"chip|landing", "landing_spot_chip"),
    (r"\b(?:puts?|putning)\b", "putting_ladder"),
)
"""What the names of tests have in them, and what the tables call these tests: the first that fits."""


def out_of(text: str) -> float | None:
    """Return how many are tried as a heading says within its words, or None."""
    match = OUT_OF.search(text)
    return float(match[1]) if match else None


def names_test(cell: Cell) -> bool:
    """Whether a heading names a test by a length or a ring: ``Chip inside 1yd``, ``Putt < 2 m``."""
    if not isinstance(cell, str) or practice_of(cell) is None:
        return False
    return bool(RING.search(cell.casefold()) or LENGTH.search(cell))


@dataclass(frozen=True)
class Named:
    """A test as its heading names it: its name, distance in feet where it is nothing else, how many tried."""

    test: str | None
    feet: float | None
    tried: float | None


def named_test(cell: Cell, tried: float | None) -> Named:
    """Return the test that a heading names; ``tried`` is how many were tried where that stands elsewhere."""
    text = str(cell)
    if (match := NUMBER_OF.search(text)) is not None:
        tried = float(match[1]) if tried is None else tried
        text = text[: match.start()].strip()
    elif (match := OUT_OF.search(text)) is not None:
        tried = float(match[1]) if tried is None else tried
        text = f"{text[: match.start()]} {text[match.end() :]}"
        text = " ".join(re.sub(r"[(\[]\s*[)\]]|^\s*[-–,:]|[-–,:]\s*$", " ", text).split())
    if (feet := feet_in(text)) is not None:
        return Named(None, feet, tried)
    match = DISTANCE.search(text)
    putts = practice_of(text) in ("short_putting", "lag_putting")
    if match is not None and putts and not RING.search(text.casefold()):
        return Named(" ".join(DISTANCE.sub(" ", text).split()).strip(" -–,:"), _feet(match), tried)
    return Named(text, None, tried)


def test_name(text: str) -> str:
    """Return a test's name as the tables write it; one with a ring of its own keeps its own name."""
    bare = plain(text)
    if not RING.search(text.casefold()):
        for words, name in TESTS:
            if re.search(words, bare):
                return name
    return bare.replace(" ", "_")


def feet_in(cell: str) -> float | None:
    """Return the feet of a cell that names a distance and nothing else, else None."""
    match = DISTANCE.fullmatch(cell.strip())
    return None if match is None else _feet(match)


def in_feet(metres: float) -> float:
    """Return metres as feet to one decimal."""
    return round(metres * FEET_PER_METRE, 1)


def _feet(match: re.Match[str]) -> float:
    number = float(match[1].replace(",", "."))
    return in_feet(number) if match[2].lower().startswith("m") else number
