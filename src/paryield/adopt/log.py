"""Practice in words: "50 chips, ladder 20 min, bunker 1 h" as entries."""

from __future__ import annotations

import re
from dataclasses import dataclass

from paryield.adopt.spoken import spoken
from paryield.adopt.values import plain_number
from paryield.adopt.words import HOURS, MINUTES, NOTHING, UNKNOWN, plain

PIECES = re.compile(r"\s*(?:[;+\n&•]|,(?!\d)|(?<!\d),|\.(?=\s+\S)|\s(?:and|und|et|og|och|en)\s|\s[-–]\s)\s*")
TIME = (
    rf"(?:(?P<times>\d{{1,2}})\s*(?:x|×|\*|times|mal)\s*)?(?:(?P<hours>\d+(?:\.\d+)?)\s*{HOURS}\b\.?\s*(?P<rest>\d{{1,2}})?\s*(?:{MINUTES}\b)?"
    rf"|(?P<minutes>\d+(?:\.\d+)?)\s*{MINUTES}(?:\b|(?=\s|$))\.?)"
)

COUNTED = r"(balls?|reps?|shots?|swings?|times|balle|ballen|balles|bolas|palline)"
"""Words that say that the number before them counts repetitions."""

LENGTHS = r"(?:ft|feet|foot|m|met(?:re|er)s?|yds?|yards?|holes?|loch|trous?)"
"""Words that say that the number before them is a distance or holes played, and counts no repetitions."""


@dataclass(frozen=True)
class Entry:
    """One thing that a log says was practised.

    Parameters
    ----------
    phrase : str
        What, in the log's words; blank for a day without practice.
    minutes, reps : float or None
    made, tried : int or None
    bare : float or None
        A number without a unit behind the word: it may be minutes or repetitions.
    state : {"done", "none", "unknown"}
    """

    phrase: str
    minutes: float | None = None
    reps: float | None = None
    made: int | None = None
    tried: int | None = None
    bare: float | None = None
    state: str = "done"


def read_log(text: str) -> list[Entry]:
    """Return the entries of a log, in its order; what has no number is of unknown length."""
    whole = plain(text)
    if whole in NOTHING or text.strip() in ("-", "–", "—", "0"):
        return [Entry("", state="none")]
    if text.strip().casefold() in UNKNOWN:
        return [Entry("", state="unknown")]
    pieces = [
        piece
        for piece in PIECES.split(spoken(text).strip())
        if piece and any(sign.isalnum() for sign in piece)
    ]
    return [_entry(piece) for piece in pieces]


def _entry(piece: str) -> Entry:
    text = plain_number(piece).strip(" .:")
    if match := re.search(r"(\d+)\s*(?:/|of|out of|von|sur)\s*(\d+)", text):
        made, tried = int(match[1]), int(match[2])
        phrase = _rest(text, match)
        return (
            Entry(phrase, made=made, tried=tried, reps=float(tried))
            if made <= tried
            else Entry(phrase, state="unknown")
        )
    if match := re.search(r"(?<![a-z])" + TIME, text):
        hours, rest, minutes = match["hours"], match["rest"], match["minutes"]
        spent = 60.0 * float(hours) + float(rest or 0) if hours else float(minutes)
        return Entry(_rest(text, match), minutes=spent * int(match["times"] or 1))
    if match := re.search(r"(\d+)\s*(?:x|×|\*)\s*(\d+)", text):
        return Entry(_rest(text, match), reps=float(match[1]) * float(match[2]))
    if match := re.search(rf"(\d+)\s*{COUNTED}\b", text):
        return Entry(_rest(text, match) or match[2], reps=float(match[1]))
    if match := re.match(rf"(?:ca\.?\s*|about\s*|~)?(\d+)\s+(?!{LENGTHS}\b)(?=[^\d\s])", text):
        return Entry(_rest(text, match), reps=float(match[1]))
    if match := re.search(r"(?:^|[\s:=])(\d+)$", text):
        return Entry(_rest(text, match), bare=float(match[1]))
    return Entry(text, state="unknown")


def _rest(text: str, match: re.Match[str]) -> str:
    return " ".join(f"{text[: match.start()]} {text[match.end() :]}".replace(":", " ").strip(" .-()").split())
