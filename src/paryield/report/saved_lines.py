"""Saved plans as lines for a terminal: the list, and several side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from paryield.report.columns import columns
from paryield.report.words import category_text, day, number, one_line

Record = dict[str, Any]


def saved_lines(records: Sequence[Record]) -> list[str]:
    """Return the plans, one line each."""
    if not records:
        return ["No plan is on record."]
    rows = [
        [
            one_line(one["plan"], 30),
            one["golfer_id"],
            one["state"],
            day(one["starts_on"]),
            day(one["ends_on"]),
            number(one["hours"], 2),
        ]
        for one in records
    ]
    return columns(["plan", "golfer", "state", "from", "to", "hours a week"], rows)


def beside_lines(records: Sequence[Record]) -> list[str]:
    """Return hours a week by category, one column a plan."""
    names = list(dict.fromkeys(name for one in records for name in one["week"]))
    head = ["hours a week", *(f"{one_line(one['plan'], 20)}, {one['golfer_id']}" for one in records)]
    rows = [
        [category_text(name), *(number(one["week"].get(name, 0.0), 2) for one in records)] for name in names
    ]
    total = ["in all", *(number(one["hours"], 2) for one in records)]
    return [*saved_lines(records), *columns(head, [*rows, total])]
