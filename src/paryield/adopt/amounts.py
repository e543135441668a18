"""How much was practised in a column with a unit: ``2 x 30``, ``1 1/2 hr``, ``100+60``, ``40ish``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from paryield.adopt.found import LEAVE, NO_LENGTH
from paryield.adopt.headings import HOLES, HOURS, MINUTES, REPS, SESSIONS, unit_of
from paryield.adopt.layout import Layout
from paryield.adopt.log import BUCKETS, counts_buckets, read_log
from paryield.adopt.memory import Ask, Question
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.values import exactly, plain_number, read_number
from paryield.adopt.words import DASHES, NOTHING, plain
from paryield.adopt.words import HOURS as HOURS_IN_WORDS
from paryield.adopt.words import MINUTES as MINUTES_IN_WORDS

UNITS = (MINUTES, REPS, HOURS, HOLES, SESSIONS, LEAVE)
"""What a number in a column for a kind of practice may count."""
PART = re.compile(
    rf"(?:(?P<times>\d{{1,2}})\s*[x×*]\s*)?(?P<number>\d+(?:\.\d+)?)\s*"
    rf"(?:(?P<hours>{HOURS_IN_WORDS})|(?P<minutes>{MINUTES_IN_WORDS})|(?P<word>[^\W\d]+))?\.?"
    rf"(?:\s*(?P<rest>\d{{1,2}})\s*(?:{MINUTES_IN_WORDS})?)?"
)
HALF = r"(?:half(?: an?)?|½|1/2|halbe?|eine halbe|demi-?|une demi-?|media|mezz[ao]|half|halv)"
COUNT = re.compile(rf"(\d+(?:\.\d+)?)\s*{BUCKETS}")


@dataclass(frozen=True)
class Amount:
    """A number and its unit, where the cell says that itself."""

    number: float
    unit: str | None = None


def read_amount(cell: Cell) -> Amount | None:
    """Return how much a cell says, or None where it is no amount."""
    if isinstance(cell, float):
        return Amount(cell)
    if not isinstance(cell, str):
        return None
    text = exactly(plain_number(cell)).strip(" .?")
    text = re.sub(r"(\d+)\s*(?:1/2|½)", lambda match: f"{float(match[1]) + 0.5:g}", text)
    text = re.sub(rf"^{HALF}\s*(?=[^\W\d])", "0.5 ", text)
    if clock := re.fullmatch(r"([0-4]):([0-5]\d)", text):
        return Amount(60.0 * int(clock[1]) + int(clock[2]), MINUTES)
    total, units = 0.0, set[str | None]()
    for piece in re.split(r"\s*(?:\+|&|\band\b|\bund\b|\bet\b|\by\b|\be\b|\ben\b|\boch\b|\bog\b)\s*", text):
        match = PART.fullmatch(piece)
        unit = None if match is None else _unit(match)
        if match is None or (match["word"] and unit is None) or (match["rest"] and not match["hours"]):
            return None
        number = float(match["number"]) * int(match["times"] or 1)
        total += number * (60.0 if match["hours"] else 1.0) + float(match["rest"] or 0)
        units.add(unit)
    return Amount(total, units.pop()) if len(units) == 1 else None


def _unit(match: re.Match[str]) -> str | None:
    if match["hours"] or match["minutes"]:
        return MINUTES
    return unit_of(match["word"]) if match["word"] else None


def buckets_in(cell: Cell) -> float | None:
    """Return how many buckets a cell counts, or None where it counts none."""
    if not isinstance(cell, str) or not counts_buckets(cell):
        return None
    match = COUNT.search(plain_number(cell))
    return float(match[1]) if match else None


def says_none(cell: Cell) -> bool:
    """Whether a cell says in words that nothing was practised: ``sick, none``, ``hols - nothing``."""
    if not isinstance(cell, str):
        return False
    parts = [plain(part) for part in re.split(r"[,;:–-]", cell)]
    return any(part in NOTHING for part in parts if part)


def all_dashes(cells: Sequence[Cell]) -> bool:
    """Whether each of some cells is a dash."""
    return bool(cells) and all(isinstance(cell, str) and cell.strip() in DASHES for cell in cells)


def units_asked(sheet: Sheet, layout: Layout, mark: str, ask: Ask) -> dict[int, str | None]:
    """Return the unit of each column of a sheet with a row of units, asking for those that have none."""
    if not layout.units:
        return {}
    out: dict[int, str | None] = dict(layout.units)
    top = sheet.rows[layout.header - 1]
    for place in layout.spread:
        amounts = [read_amount(row[place]) for _, row in layout.rows(sheet)]
        if place in out or not any(one is not None and one.unit is None for one in amounts):
            continue
        text = f"What does a number under {str(top[place])!r} count?"
        question = Question(f"unit of {plain(top[place])}: {mark}", text, sheet.name, UNITS)
        out[place] = ask(question)
    return out


def balls_in_bucket(ask: Ask, where: str) -> float | None:
    """Return how many balls are in a bucket, asked once."""
    said = ask(Question("bucket", "How many balls are in a bucket? Write ? where nobody knows.", where))
    try:
        return float(said) if said is not None else None
    except ValueError:
        return None


def letter_question(letter: str, where: str) -> Question:
    """Return the question what a letter behind a number counts."""
    text = f"What does {letter!r} behind a number count, as in '50{letter}'?"
    return Question(f"unit {letter}", text, where, (REPS, MINUTES, LEAVE), REPS)


def loose_question(written: str, where: str) -> Question:
    """Return the question what the numbers of a cell count, the same for all cells of one pattern."""
    pattern = re.sub(r"\d+(?:[.,]\d+)?", "#", " ".join(written.casefold().split()))
    text = f"How much is {written!r}? Its numbers do not say."
    numbers = re.findall(r"\d+(?:[.,]\d+)?(?!\w)", written)
    counts = (MINUTES, REPS) if pattern.count("#") == len(numbers) == 1 else ()
    return Question(f"amount: {pattern}", text, where, (*counts, NO_LENGTH, LEAVE), None)


def bare_numbers(sheet: Sheet, layout: Layout) -> bool:
    """Whether a sheet has numbers without a unit behind what was practised."""
    places = [place for name in ("log", "category", "note") if (place := layout.column(name)) is not None]
    places = [*layout.spread] if layout.kind == "wide practice" else places[:1]
    for _, row in layout.rows(sheet):
        for place in places:
            cell = row[place]
            if isinstance(cell, float) and cell:
                return True
            if isinstance(cell, str) and (
                read_number(cell)
                or any(entry.bare is not None and not entry.unit for entry in read_log(cell))
            ):
                return True
    return False
