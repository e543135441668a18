"""Lengths of time as people say them: "half an hour", "twenty minutes", "1 hour and 20 min", "2 x 30 min"."""

from __future__ import annotations

import re

from paryield.adopt.words import HOURS, MINUTES

NUMBERS: dict[str, int] = {
    **{"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "ten": 10, "fifteen": 15},
    **{"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "ninety": 90},
    **{"zehn": 10, "zwanzig": 20, "dreissig": 30, "dreißig": 30, "dix": 10, "vingt": 20, "trente": 30},
    **{"diez": 10, "veinte": 20, "treinta": 30, "dieci": 10, "venti": 20, "trenta": 30},
}
"""Numbers that are written as words in front of minutes or hours."""
SAID: tuple[tuple[str, str], ...] = (
    (r"an hour and a half|one and a half hours?|anderthalb stunden|eineinhalb stunden", "90 min"),
    (r"an hour and a quarter|five quarters of an hour", "75 min"),
    (r"three[- ]quarters of an hour|3/4 (?:of an )?h(?:our)?|dreiviertelstunde|¾ ?h(?:our)?", "45 min"),
    (r"a quarter of an hour|quarter of an hour|quarter hour|viertelstunde|un quart d.heure", "15 min"),
    (
        r"(?:a )?half[- ](?:an )?hour|1/2 (?:an )?h(?:our)?|½ ?h(?:our)?|(?:eine )?halbe stunde"
        r"|(?:une )?demi[- ]heure|media hora|mezz.ora",
        "30 min",
    ),
    (r"an hour|eine stunde|une heure|una hora|un.ora", "60 min"),
)
"""What is said for a length, the longest first."""


ROUGHLY = re.compile(
    r"(?<!\w)(?:ca|circa|approx|about|around|roughly|etwa|ungef(?:ä|ae)hr|rund|environ|env"
    r"|m(?:á|a)s o menos|ongeveer|ungef(?:ä|a)r|omtrent|cirka)\b\.?\s*(?=\d)|~\s*(?=\d)",
    re.IGNORECASE,
)
"""Words that say that a number is not exact; it is taken as it stands."""


def spoken(text: str) -> str:
    """Return a text with what it says of time in figures: ``half an hour putting`` is ``30 min putting``."""
    out = re.sub(r"(?<=\d)\s?-?ish\b", "", ROUGHLY.sub("", text), flags=re.IGNORECASE)
    for words, figures in SAID:
        out = re.sub(rf"\b(?:{words})\b|(?<!\w)(?:{words})\b", figures, out, flags=re.IGNORECASE)
    unit = rf"(?=\s*(?:{MINUTES}|{HOURS})\b)"
    out = re.sub(
        rf"\b({'|'.join(NUMBERS)}){unit}",
        lambda match: str(NUMBERS[match[1].casefold()]),
        out,
        flags=re.IGNORECASE,
    )
    joined = rf"(\d+)\s*{HOURS}\.?\s*(?:and|und|et|y|e)\s*(\d+)\s*(?={MINUTES}\b)"
    return re.sub(joined, r"\1 h \2 ", out, flags=re.IGNORECASE)
