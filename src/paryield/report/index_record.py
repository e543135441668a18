"""The handicap record as lines that a coach can check by hand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from paryield.report.columns import columns
from paryield.report.console import UNOFFICIAL
from paryield.report.words import MINUS, day, index_text, missing, number
from paryield.scoring.club import IndexLine

LATEST = 20
"""Differentials that an index looks back on (Rule 5.2, verified)."""

CAPS = {
    "none": "not more than 3.0 above it, no cap",
    "soft": "what stands more than 3.0 above it is halved (soft cap)",
    "hard": "5.0 above it and no more (hard cap)",
}

HEAD = ("no.", "played", "differential", "lowest rounds", "average", "low", "index after", "")


def index_lines(records: Sequence[IndexLine], golfer: str | None = None) -> list[str]:
    """Return one line a golfer, or one a round and how the index comes about when a golfer is named."""
    if golfer is None:
        last = {record["golfer_id"]: record for record in records}
        count: dict[str, int] = {}
        for record in records:
            count[record["golfer_id"]] = count.get(record["golfer_id"], 0) + 1
        rows = [
            [name, _index(one["index_after"]), count[name], day(one["played_on"]), _index(one["low_index"])]
            for name, one in last.items()
        ]
        return [*columns(["golfer", "index", "rounds", "latest", "low index"], rows), UNOFFICIAL]
    table = [_step_row(place, record) for place, record in enumerate(records, start=1)]
    moved = [record for record in records if record["average"] is not None]
    return [*columns(HEAD, table), *(working(moved[-1]) if moved else ()), UNOFFICIAL]


def working(record: IndexLine) -> list[str]:
    """Return the arithmetic of one step: the differentials averaged, adjustment, low index, cap."""
    pairs = zip(record["lowest_rounds"], record["lowest"], strict=True)
    shown = [f"{number(value)} (round {place})" for place, value in sorted(pairs)]
    count, total = len(shown), sum(record["lowest"])
    adjusted = f" {MINUS} {number(-record['adjustment'])}" if record["adjustment"] else ""
    lines = [
        f"How the index after {day(record['played_on'])} comes about:",
        f"  lowest {count} of the latest {LATEST} or fewer: {', '.join(shown)}",
        f"  {number(total, 1)} / {count}{adjusted} = {number(total / count + record['adjustment'], 2)}, "
        f"to a tenth {_index(record['average'])}",
    ]
    if record["low_index"] is not None:
        since = f" of {day(record['low_index_on'])}" if record["low_index_on"] else ""
        lines.append(f"  low index {_index(record['low_index'])}{since}: {CAPS[record['cap']]}")
    if record["reduction"]:
        taken = number(-record["reduction"], 1)
        lines.append(f"  exceptional score: {taken} taken off each of the latest {LATEST}, shown above")
    return [*lines, f"  index {_index(record['index_after'])}"]


def _step_row(place: int, record: IndexLine) -> list[str]:
    rounds, average = "", ""
    notes = [record["note"]]
    if record["average"] is not None:
        rounds = " ".join(map(str, sorted(record["lowest_rounds"])))
        average = index_text(record["average"])
        if record["adjustment"]:
            notes.append(f"average with {number(record['adjustment'])}")
    if record["cap"] != "none":
        notes.append(f"{record['cap']} cap")
    if record["reduction"]:
        notes.append(f"exceptional score: {number(record['reduction'])} on each")
    if record["scaled"] and record["differential"] is not None:
        notes.append(f"{record['holes']} holes, scaled up")
    return [
        str(place),
        record["played_on"],
        "-" if missing(record["differential"]) else number(record["differential"]),
        rounds,
        average,
        _index(record["low_index"]),
        _index(record["index_after"]),
        "; ".join(note for note in notes if note),
    ]


def _index(value: Any) -> str:
    return "-" if missing(value) else index_text(value)
