"""A plan as lines for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from paryield.report.columns import columns
from paryield.report.console import RANGE
from paryield.report.plan_words import (
    PHASES,
    plan_sentence,
    regret_sentence,
    tell_sentence,
    week_hours,
    week_sentence,
)
from paryield.report.sums import adding_up
from paryield.report.words import balls_text, category_text, day, number, one_line, sentence

Record = dict[str, Any]
HOURS = ("hours_now", "hours_advised", "hours_best")


def plan_lines(records: Sequence[Record]) -> list[str]:
    """Return the advised week of one golfer, or one line a golfer when there are several."""
    if len(records) == 1:
        return [*_one(records[0]), RANGE, *map(one_line, records[0]["cautions"])]
    rows = [[one["golfer_id"], number(one["hours"], 2), one["verdict"], week_hours(one)] for one in records]
    said = [f"{one_line(one['golfer_id'])}: {week_sentence(one)}" for one in records]
    standing = list(dict.fromkeys(line for one in records for line in one["cautions"]))
    shared = [line for line in standing if all(line in one["cautions"] for one in records)]
    own = [f"{one['golfer_id']}: {line}" for one in records for line in one["cautions"] if line not in shared]
    notes = [f"{one['golfer_id']}: {line}" for one in records for line in one["notes"]]
    head = ["golfer", "hours", "verdict", "week"]
    return [*columns(head, rows), *said, RANGE, *map(one_line, [*notes, *own, *shared])]


def phase_lines(record: Record) -> list[str]:
    """Return the runs of like weeks through the year, breaks among them; nothing where all are alike."""
    if len(record["phases"]) < 2 and not any(row["phase"] == "break" for row in record["phases"]):
        return []
    return [
        f"{sentence(PHASES[row['phase']])}, {day(row['starts_on'])} to {day(row['ends_on'])}: "
        + (
            ", ".join(f"{category_text(name)} {number(hours, 2)}" for name, hours in row["hours"].items())
            or "no practice planned"
        )
        for row in record["phases"]
    ]


def _one(record: Record) -> list[str]:
    week = record["weeks_plan"]
    columns_ = [adding_up([row[name] for row in week], 2) for name in HOURS]
    rows = [
        [
            category_text(row["category"]),
            *(number(hours, 2) for hours in each),
            "" if row["reps_advised"] is None else row["reps_advised"],
        ]
        for row, *each in zip(week, *columns_, strict=True)
    ]
    head = ["hours a week", "now", "advised", "best-looking", "balls advised"]
    sessions: dict[str, list[str]] = {}
    for one in record["sessions"]:
        reps = "" if one["reps"] is None else f" ({balls_text(one['reps'], one['category'])})"
        text = f"{category_text(one['category'])} {one['minutes']:g} min{reps}"
        sessions.setdefault(one["on"], []).append(text)
    days = [f"{day(on)}: {', '.join(texts)}" for on, texts in sessions.items()]
    return [
        f"Golfer {one_line(record['golfer_id'])}: {plan_sentence(record)}",
        *filter(None, [tell_sentence(record)]),
        regret_sentence(record),
        *columns(head, rows),
        *days,
        *phase_lines(record),
        *map(one_line, record["notes"]),
    ]
