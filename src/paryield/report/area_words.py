"""Findings about scoring areas in words: where strokes are lost, beyond whom, and from what evidence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from paryield.report.frames import records
from paryield.report.words import area_text, number, sentence, span, strokes
from paryield.units import listed

PEERS = "golfers of the same index"
AREA_CELLS: dict[tuple[str, str], tuple[str, str]] = {
    ("loses more", "measured"): (f"loses more than {PEERS}, and the records show it", ""),
    ("loses more", "part measured"): (
        f"loses more than {PEERS}, partly from the records and partly from what is assumed",
        "A test would make it surer.",
    ),
    ("loses more", "assumed"): (
        f"may lose more than {PEERS}, but the records hardly speak about it",
        "Measure it before acting on it.",
    ),
    ("loses less", "measured"): (f"loses less than {PEERS}, and the records show it", ""),
    ("loses less", "part measured"): (
        f"loses less than {PEERS}, partly from the records and partly from what is assumed",
        "A test would make it surer.",
    ),
    ("loses less", "assumed"): (
        f"may lose less than {PEERS}, but the records hardly speak about it",
        "Measure it before relying on it.",
    ),
    ("about the same", "measured"): (f"loses about as much as {PEERS}, and the records show it", ""),
    ("about the same", "part measured"): (
        f"loses about as much as {PEERS}, partly from the records and partly from what is assumed",
        "",
    ),
    ("about the same", "assumed"): (
        f"is taken to lose about as much as {PEERS}",
        "The records hardly speak about it.",
    ),
    ("cannot tell yet", "measured"): (
        f"was measured, but it cannot be told yet whether it loses more or less than {PEERS}",
        "",
    ),
    ("cannot tell yet", "part measured"): (
        f"cannot be told apart yet from {PEERS}",
        "The records say something about it, not enough.",
    ),
    ("cannot tell yet", "assumed"): (
        f"cannot be told apart from {PEERS}: the records hardly speak about it",
        "Rounds with stats or a test would tell.",
    ),
}
"""Opening and closing words by verdict and evidence; the amount stands between them."""


def area_sentence(row: Mapping[str, Any]) -> str:
    """Return the finding about one area: verdict, evidence, strokes beyond golfers of the same index.

    Raises
    ------
    KeyError
        When the verdict or the evidence is not one of the known words.
    """
    opening, closing = AREA_CELLS[str(row["verdict"]), str(row["evidence"])]
    found = f"{sentence(area_text(row['area']))} {opening}: {difference(row, 'against_same_index')}."
    return f"{found} {closing}".strip()


def difference(row: Mapping[str, Any], name: str) -> str:
    """Return strokes lost beyond somebody with the 8-in-10 range: more if positive, fewer if negative."""
    middle, low, high = (float(row[f"{name}_{band}"]) for band in ("q50", "q10", "q90"))
    if round(low, 1) < 0 < round(high, 1):
        spread = f"{number(-low)} fewer to {number(high)} more"
    elif round(high, 1) <= 0:
        spread = f"{span(-high, -low)} fewer"
    else:
        spread = f"{span(max(low, 0.0), high)} more"
    side = "more" if round(middle, 1) >= 0 else "fewer"
    return f"about {strokes(abs(middle))} {side} a round (8 in 10: {spread})"


def areas_title(areas: pd.DataFrame) -> str:
    """Return the finding of the figure."""
    rows = records(areas)
    more = [area_text(row["area"]) for row in rows if row["verdict"] == "loses more"]
    less = [area_text(row["area"]) for row in rows[::-1] if row["verdict"] == "loses less"]
    if not more and not less:
        return f"No area differs clearly from {PEERS}"
    parts = [f"more in {listed(more)}"] if more else []
    parts += [f"less in {listed(less)}"] if less else []
    return f"Loses {' and '.join(parts)} than {PEERS}"


def evidence_sentence(row: Mapping[str, Any]) -> str:
    """Return what the areas rest on: rounds with shots, with stats, with scores only, and tests."""
    kinds = (
        ("rounds_shots", "with shots"),
        ("rounds_stats", "with round stats"),
        ("rounds_score_only", "with scores only (by round or by hole)"),
    )
    parts = [f"{count} {_rounds(count)} {what}" for name, what in kinds if (count := int(row[name]))]
    tests = int(row["tests"])
    parts.append(f"{tests} test{'' if tests == 1 else 's'}" if tests else "no test")
    return f"This rests on {listed(parts)}." if len(parts) > 1 else "This rests on no round: it is assumed."


def _rounds(count: int) -> str:
    return "round" if count == 1 else "rounds"
