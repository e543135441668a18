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
FEET_PER_YARD = 3.0
UNIT = r"ft|feet|foot|m|met(?:re|er)s?|metros?|metri|yds?|yards?"
SIGN = r"['’′](?!\w)"
MEASURE = rf"(\d+(?:[.,]\d+)?)\s*({UNIT}|{SIGN})"
FROM = re.compile(rf"\b(?:from|desde|depuis|aus|von|de|da|van|fr[aå]n?|à|a)\s+{MEASURE}(?!\w)", re.IGNORECASE)
"""From how far a ball is played: ``from 15 yards``, ``da 20 m``."""
FAR = re.compile(rf"(?<![\w.,]){MEASURE}(?!\w)", re.IGNORECASE)
RINGS = r"ring|circle|kreis|cercle|c[ií]rculo|cerchio|cirkel|sirkel"
WITHIN = (
    r"inside|within|to|in|innerhalb|dans|[aà] moins de|dentro(?: de)?|a menos de|entro|binnen|inom|innen ?for"
    r"|inden ?for"
)
NEARER = (
    r"closer than|nearer than|n(?:ä|ae?)her als|plus pr[eè]s que|m[aá]s cerca de|pi[uù] vicino di"
    r"|dichter(?:bij)? dan|n[aä]rmare [aä]n|n[aæ]rmere enn?d?"
)
RING = re.compile(
    rf"[<≤]\s*\d|\b(?:{WITHIN})\s+(?:a\s+|an\s+|the\s+|von\s+|di\s+|of\s+)?\d|\b(?:{NEARER})\s+\d|\b(?:{RINGS})\b"
    r"|\bon (?:the )?green\b"
)
RING_SIZE = re.compile(
    rf"(?:[<≤]|\b(?:{WITHIN}|{NEARER}|(?:{RINGS})(?: of| von| de| di| van| p[åa])?))"
    rf"\s*(?:(?:an?|the|von|di|of)\s+)?\d+(?:[.,]\d+)?\s*(?:(?:{UNIT})\b|['’′])"
    rf"|\d+(?:[.,]\d+)?[\s-]*(?:{UNIT}|['’′])[\s-]*(?:radius |wide )?(?:{RINGS})\b",
    re.IGNORECASE,
)
"""How wide a ring is, as a name says: ``inside 6 ft``, ``3yd ring``, ``cerchio di 2 m``."""
LENGTH = re.compile(rf"\d+(?:[.,]\d+)?\s*(?:(?:{UNIT})\b|{SIGN})", re.IGNORECASE)
NUMBER_OF = re.compile(r"[(\[]\s*(?:\w+\s+)?(?:[x×*]\s*)?(\d{1,3})(?:\s*[^\W\d]+\.?)?\s*[)\]]\s*$")
"""How many are tried, in brackets behind the name of a test: ``(20 balls)``, ``(of 15)``, ``(x10)``."""

OUT_OF = re.compile(
    r"(?:(?<!\d)/|\b(?:out of|of|von|aus|sur|sobre|su|uit|av|af|em))\s*(?:je\s+|each\s+)?(\d{1,3})"
    r"(?!\s*(?:ft|feet|foot|m|met\w*|yds?|yards?|cm)\b)(?!\d|[.,]\d|/)",
    re.IGNORECASE,
)
"""How many are tried, within the name of a test: ``putts out of 10, 2 m``, ``chips sur 20``, ``(/5)``."""

COUNTS = (
    r"(?:out of|of|from|max\.?|aus|von|sur|de|sobre|su|di|van|uit|av|af)\s+(\d{1,3})"
    rf"(?!\s*(?:{UNIT})\b)(?:\s+[^\W\d]+\.?)?"
    r"|(\d{1,3})\s+(?:balls|tries|attempts|versuche|b[äa]e?lle|essais|balles|intentos|bolas|tentativi|palle|palline"
    r"|pogingen|ballen|f[öo]rs[öo]k|bollar|baller)"
)
TRIED = re.compile(
    rf"\s*[,;:–-]?\s*[(\[]\s*(?:{COUNTS})\s*[)\]]\s*$|\s*[,;:–-]\s*(?:{COUNTS})\s*$", re.IGNORECASE
)
"""How many were tried, at the end of a heading: ``(out of 20)``, ``, aus 15``."""
VALUED = (
    (
        "speed",
        re.compile(r"\b(?:\w*speed|velocit\w*|\w*geschwindigkeit\w*|vitesse|velocidad|\w*snelheid"
                   r"|\w*hastighe[td]\w*)\b"),
        re.compile(r"\b(mph|km\s*/\s*(?:h|u|t|tim)|kmh|kph|m\s*/\s*s)\b", re.IGNORECASE),
    ),
    (
        "carry",
        re.compile(r"\bcarr(?:y|ies)\b"),
        re.compile(rf"(?:[(\[,;]\s*(?:in )?|\bin\s+)({UNIT})\s*[)\]]?\s*$", re.IGNORECASE),
    ),
)  # fmt: skip
"""Tests whose result is a value: what their names have in them, and the unit behind it."""
BALL = re.compile(r"\b(?:ball|balle|pall\w*|bola|bal|boll|bold)\b|\bball")
OTHER_CLUBS = re.compile(
    r"\b(?:\d+ ?(?:i|iron|er eisen)|chip\w*|pitch\w*|wedge\w*|bunker\w*|sand\w*|putt\w*|iron\w*|eisen\w*"
    r"|hierro\w*|ferr[oi]|fer|jern|jarn|ijzer)\b"
)
"""Clubs whose speed or carry does not speak of the tee shot."""
UNITS = {
    "kmh": "km/h",
    "km/u": "km/h",
    "km/t": "km/h",
    "km/tim": "km/h",
    "kph": "km/h",
    "yds": "yd",
    "yard": "yd",
    "yards": "yd",
}


MEAN = re.compile(
    r"[ø∅]|\b(?:mean|average|avg|mittel\w*|durchschnitt\w*|schnitt|moyenne|media|promedio|gemiddelde?|snitt"
    r"|medel|gjennomsnitt|gennemsnit|abstand|proximity)\b",
    re.IGNORECASE,
)
"""A test whose result is a mean, such as that of the distances from the hole, counts nothing."""
MEAN_BEHIND = re.compile(rf"\s*[(\[](?=[^)\]]*(?:{MEAN.pattern}))[^)\]]*[)\]]\s*$", re.IGNORECASE)


def is_mean(text: str) -> bool:
    """Whether a test with no value that the tables keep has a mean for its result."""
    return value_of(text) is None and MEAN.search(text) is not None


def value_of(text: str) -> tuple[str, str] | None:
    """Return the name of a test with a value, as the tables have it, and its unit; None for any other."""
    bare = plain(text)
    for kind, words, units in VALUED:
        if words.search(bare) and (match := units.search(MEAN_BEHIND.sub("", text))) is not None:
            unit = match[1].lower().replace(" ", "")
            unit = "m" if unit.startswith("met") else UNITS.get(unit, unit)
            if OTHER_CLUBS.search(bare):
                return None
            ball = BALL.search(bare) is not None
            name = f"{'ball' if ball else 'clubhead'}_speed" if kind == "speed" else "driver_carry"
            return name, unit
    return None


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
    """A test as its heading names it.

    Parameters
    ----------
    test : str or None
        Its name without the distance.
    feet, tried : float or None
        From how far, where that is not the size of a ring; how many are tried.
    unit : str or None
        Unit of a test whose result is a value.
    said : str or None
        The heading itself, where it names more than a distance.
    """

    test: str | None
    feet: float | None
    tried: float | None
    unit: str | None = None
    said: str | None = None


def named_test(cell: Cell, tried: float | None) -> Named:
    """Return the test that a heading names; ``tried`` is how many were tried where that stands elsewhere."""
    text = str(cell)
    if (valued := value_of(text)) is not None:
        return Named(valued[0], None, None, valued[1], text)
    if (match := NUMBER_OF.search(text) or TRIED.search(text)) is not None:
        tried = float(next(filter(None, match.groups()))) if tried is None else tried
        text = text[: match.start()].strip()
    elif (match := OUT_OF.search(text)) is not None:
        tried = float(match[1]) if tried is None else tried
        text = f"{text[: match.start()]} {text[match.end() :]}"
        text = " ".join(re.sub(r"[(\[]\s*[)\]]|^\s*[-–,:]|[-–,:]\s*$", " ", text).split())
    if (feet := feet_in(text)) is not None:
        return Named(None, feet, tried)
    match = _from_where(text)
    if match is None:
        return Named(text, None, tried, None, str(cell))
    rest = f"{text[: match.start()]} {text[match.end() :]}"
    bare = " ".join(re.sub(r"\s+(?=[,;:])", "", rest).split()).strip(" -–,;:")
    return Named(bare, _feet(match), tried, None, str(cell))


def _from_where(text: str) -> re.Match[str] | None:
    """Return the only distance of a name that is not the size of a ring, with a "from" before it."""
    ring = [match.span() for match in RING_SIZE.finditer(text)]
    for pattern in (FROM, FAR):
        found = [
            match
            for match in pattern.finditer(text)
            if not any(match.start() < last and first < match.end() for first, last in ring)
        ]
        if len(found) == 1:
            return found[0]
    return None


def own_name(text: str) -> str:
    """Return a test's own name as the tables write one."""
    return plain(text).replace(" ", "_")


def feet_in(cell: str) -> float | None:
    """Return the feet of a cell that names a distance and nothing else, else None."""
    match = DISTANCE.fullmatch(cell.strip())
    return None if match is None else _feet(match)


def in_feet(metres: float) -> float:
    """Return metres as feet to one decimal."""
    return round(metres * FEET_PER_METRE, 1)


def _feet(match: re.Match[str]) -> float:
    number, unit = float(match[1].replace(",", ".")), match[2].lower()
    return in_feet(number) if unit.startswith("m") else number * FEET_PER_YARD if unit[0] == "y" else number
