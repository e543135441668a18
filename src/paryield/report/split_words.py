"""What a change came from, in words: one sentence from a table of verdicts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from paryield.forecast.past import PARTS
from paryield.model.terms import TERMS
from paryield.report.words import category_text, day, number, sentence, span, strokes
from paryield.tables.categories import PHANTOM
from paryield.units import counted

Record = Mapping[str, Any]
DIRECTIONS = ("fell", "rose", "cannot tell")
WORTH_NAMING = 0.05
"""Strokes; a smaller part is not named in a sentence."""
CAUSES = ("practice", *PARTS, "none")
PART_NAMES = {
    "whole": "all together",
    "practice": "all practice",
    **{term.part: term.label for term in TERMS},
    "luck": "luck",
}
"""Parts of a change in plain words."""
OF_ROUNDS = (*dict.fromkeys(term.part for term in TERMS if term.of_rounds), "luck")
"""Parts that belong to rounds that were played."""

CAUSE_CELLS: dict[tuple[str, str], str] = {
    ("fell", "practice"): "practice is the clearest part of it",
    ("fell", "programme"): "the programme, beyond its hours, is the clearest part of it",
    ("fell", "background"): "it would have fallen without practice too",
    ("fell", "season"): "the time of year is the clearest part of it",
    ("fell", "form"): "coming back to the usual level is the clearest part of it, not practice",
    ("fell", "joining"): "that is what usually follows on joining, not practice",
    ("fell", "growth"): "growing up is the clearest part of it, not practice",
    ("fell", "events"): "a lesson or another event of the time is the clearest part of it",
    ("fell", "none"): "no single cause stands out",
    ("rose", "practice"): "less practice than before, fading, is the clearest part of it",
    ("rose", "programme"): "the programme is the clearest part of it: it cost strokes so far",
    ("rose", "background"): "a slow drift without practice is the clearest part of it",
    ("rose", "season"): "the time of year is the clearest part of it",
    ("rose", "form"): "coming back to the usual level after a good spell is the clearest part of it",
    ("rose", "joining"): "the first weeks after joining are the clearest part of it",
    ("rose", "growth"): "it rose with growing up, which is not what growing does",
    ("rose", "events"): "an injury or a change of equipment or swing is the clearest part of it",
    ("rose", "none"): "no single cause stands out",
    ("cannot tell", "practice"): "practice moved it a little, the rest is not clear",
    ("cannot tell", "programme"): "the programme, beyond its hours, is all that shows",
    ("cannot tell", "background"): "a slow drift without practice is all that shows",
    ("cannot tell", "season"): "the time of year is all that shows",
    ("cannot tell", "form"): "form is all that shows",
    ("cannot tell", "joining"): "the first weeks after joining are all that shows",
    ("cannot tell", "growth"): "growing up is all that shows",
    ("cannot tell", "events"): "events of the time are all that shows",
    ("cannot tell", "none"): "no cause stands out",
}
"""What is said of the causes, by the direction of the whole and by the clearest cause."""


def is_clear(record: Record) -> bool:
    """Return whether a part is clear in 8 of 10, worth naming, and of something that can have worked."""
    change = record["change"]
    off = change["q90"] < 0 or change["q10"] > 0
    return bool(off and abs(change["q50"]) >= WORTH_NAMING and record["category"] != PHANTOM)


def of_quantity(records: Iterable[Record], quantity: str) -> list[Record]:
    """Return the records of one quantity."""
    return [record for record in records if record["quantity"] == quantity]


def whole_of(records: Iterable[Record]) -> Record | None:
    """Return the record of the whole change."""
    return next((record for record in records if record["part"] == "whole"), None)


def direction(change: Record) -> str:
    """Tell where scores went, if the range that holds 8 in 10 lies on one side of nothing."""
    if change["q90"] < 0:
        return "fell"
    return "rose" if change["q10"] > 0 else "cannot tell"


def clearest_cause(records: Iterable[Record]) -> str:
    """Return the part whose 8-in-10 range is off nothing, on the side of the whole, and that is largest."""
    listed = list(records)
    whole = whole_of(listed)
    went = "cannot tell" if whole is None else direction(whole["change"])
    found = {"none": 0.0}
    for record in listed:
        if record["part"] not in CAUSES or record["category"] is not None:
            continue
        own = direction(record["change"])
        if abs(record["change"]["q50"]) < WORTH_NAMING:
            continue
        if own != "cannot tell" and went in ("cannot tell", own):
            found[record["part"]] = abs(record["change"]["q50"])
    return max(found, key=lambda name: found[name])


def moved(change: Record, digits: int = 1) -> str:
    """Return a change as lower or higher, with its 8-in-10 range."""
    low, middle, high = (float(change[name]) for name in ("q10", "q50", "q90"))
    spread = f"8 in 10: {span(low, high, digits)}"
    if round(middle, digits) == 0:
        return f"about the same ({spread})"
    return f"{strokes(abs(middle), digits)} {'lower' if middle < 0 else 'higher'} ({spread})"


def either_way(change: Record, digits: int = 1) -> str:
    """Return a change that may have gone either way as its 8-in-10 range alone, lower to higher."""
    low, high = float(change["q10"]), float(change["q90"])
    return f"{strokes(abs(low), digits)} lower to {number(high, digits)} higher, 8 in 10"


def split_sentence(records: Iterable[Record], *, dated: bool = True) -> str:
    """Return the one sentence about a split: the whole and its clearest cause; undated below a heading."""
    level = of_quantity(records, "mean_differential")
    whole = whole_of(level)
    if whole is None:
        return "Nothing can be said about this period."
    went, cause = direction(whole["change"]), clearest_cause(level)
    period = f"From {day(whole['from'])} to {day(whole['to'])} " if dated else ""
    if went == "cannot tell":
        opening = f"we cannot tell whether the average round changed: {either_way(whole['change'])}"
    else:
        opening = f"the average round {went}, {moved(whole['change'])}"
    return sentence(f"{period}{opening}; {cause_text(went, cause)}.")


def cause_text(went: str, cause: str) -> str:
    """Return what is said of the clearest cause; of a term without a sentence of its own, its label."""
    usual = "is all that shows" if went == "cannot tell" else "is the clearest part of it"
    return CAUSE_CELLS.get((went, cause)) or f"{PART_NAMES[cause]} {usual}"


def split_sentences(records: Iterable[Record], *, dated: bool = True) -> list[str]:
    """Return the sentence about a split, then practice and the rounds themselves in one each."""
    listed = list(records)
    level, rounds = (of_quantity(listed, name) for name in ("mean_differential", "observed_mean"))
    return [split_sentence(listed, dated=dated), *_practice(level), *_rounds(rounds)]


def _practice(level: list[Record]) -> list[str]:
    total = next((one for one in level if one["part"] == "practice" and one["category"] is None), None)
    if total is None:
        return []
    named = [one for one in level if one["category"] not in (None, PHANTOM)]
    most = max(named, key=lambda one: abs(one["change"]["q50"]), default=None)
    said = f"Practice: {moved(total['change'])}"
    if most is None or abs(most["change"]["q50"]) < WORTH_NAMING:
        return [f"{said}."]
    return [f"{said} in all; the largest part is {category_text(most['category'])}, {moved(most['change'])}."]


def _rounds(rounds: list[Record]) -> list[str]:
    whole = whole_of(rounds)
    if whole is None:
        return []
    middle = float(whole["change"]["q50"])
    side = "lower" if round(middle, 1) <= 0 else "higher"
    parts = {record["part"]: record["change"] for record in rounds if record["category"] is None}
    said = (
        f"The {counted(whole['rounds_after'], 'round')} of the period averaged {strokes(abs(middle))} {side} "
        f"than the {whole['rounds_before']} of an equal time before it"
    )
    beside = [
        f"{PART_NAMES[name]} {moved(parts[name])}"
        for name in OF_ROUNDS
        if name in parts and abs(parts[name]["q50"]) >= WORTH_NAMING
    ]
    listed = ", ".join(beside[:-1]) + (" and " if len(beside) > 1 else "") + "".join(beside[-1:])
    return [f"{said}: {listed}." if beside else f"{said}."]


def part_text(record: Record) -> str:
    """Return the name of a part in plain words."""
    if record["category"] is None:
        return PART_NAMES[record["part"]]
    if record["category"] == PHANTOM:
        return "(noise floor)"
    return f"{category_text(record['category'])} practice"
