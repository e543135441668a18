"""Numbers of a whole group, typed down a column: which fields there are, and the rows they become."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import pandas as pd

from paryield.desk.fields import minutes_typed
from paryield.rounds.tasks import Part, Task, task_named
from paryield.tables import Tables

BALL = re.compile(r"\s*([+-]?\d+(?:[.,]\d+)?)\s*[\s/]\s*([+-]?\d+(?:[.,]\d+)?)\s*")
PRACTICE = "practice"
EXAMPLE = "131 -6; 144 3"
ALL = "all"
"""Stands for a golfer in the name of the field whose number holds for all who are shown."""
ABSENT = ("-", "–", "—")
"""What is typed for a golfer who was not there though a number holds for all."""


@dataclass(frozen=True)
class Column:
    """One column of numbers: of a part of a test, or the minutes of a practice category.

    Parameters
    ----------
    name : str
        Beginning of the names of its fields.
    title : str
        What stands above it.
    task : Task or None
        None for practice.
    part : Part or None
    category : str
        Of practice.
    """

    name: str
    title: str
    task: Task | None
    part: Part | None
    category: str = ""

    @property
    def table(self) -> str:
        """Table that its rows go to."""
        return PRACTICE if self.task is None else self.task.table

    @property
    def of_balls(self) -> bool:
        """Whether a field holds several balls rather than one number."""
        return self.task is not None and self.task.measured


@dataclass(frozen=True)
class Block:
    """A test or a practice category with its columns."""

    title: str
    hint: str
    columns: tuple[Column, ...]


@dataclass
class Filled:
    """Rows by table, the field behind each, and what could not be read, by field."""

    rows: dict[str, list[dict[str, str]]] = field(default_factory=dict)
    fields: dict[str, list[str]] = field(default_factory=dict)
    wrong: dict[str, str] = field(default_factory=dict)

    def add(self, table: str, name: str, row: dict[str, str]) -> None:
        """Take up a row that a field gave."""
        self.rows.setdefault(table, []).append(row)
        self.fields.setdefault(table, []).append(name)


def blocks_of(tasks: Sequence[str], category: str, unit: str) -> list[Block]:
    """Return what is asked for: minutes of a category if one is named, then the named tests in order."""
    found = []
    for name in dict.fromkeys(tasks):
        task = task_named(name)
        if task is not None:
            hint = (
                f"Carry and side of each ball in {unit}, + right: {EXAMPLE}." if task.measured else task.how
            )
            columns = tuple(_column(task, place, unit) for place in range(len(task.parts)))
            found.append(Block(task.title, hint, columns))
    if category:
        column = Column(f"v.{PRACTICE}.0", "minutes", None, None, category)
        title = category.replace("_", " ").capitalize()
        found.insert(0, Block(title, "Minutes of practice; 1 h 15 is read too.", (column,)))
    return found


def _column(task: Task, place: int, unit: str) -> Column:
    part = task.parts[place]
    if task.measured:
        title = "balls" if part.distance is None else f"balls to {part.distance:g} {unit}"
    else:
        title = f"of {part.balls}, {part.distance:g} ft"
    return Column(f"v.{task.name}.{place}", title, task, part)


def field_name(column: Column, shown: str) -> str:
    """Return the name of a golfer's field in a column; ``shown`` is how addresses call him."""
    return f"{column.name}.{shown}"


def filled(
    blocks: Sequence[Block],
    golfers: Mapping[str, str],
    given: Mapping[str, str],
    day: str,
    tables: Tables,
    unit: str,
    together: Collection[str] = (),
) -> Filled:
    """Return the rows of what was typed; a blank or a dash is a golfer who was not there.

    Parameters
    ----------
    blocks : sequence of Block
    golfers : mapping of str to str
        Golfer id by how addresses call him.
    given : mapping of str to str
        Text by field name.
    day : str
        As typed.
    tables : Tables
        What the club holds: entries and balls of the day are numbered after those there.
    unit : str
    together : collection of str
        Those of ``golfers`` for whom the number typed for all holds, where their own field is blank.
    """
    found = Filled()
    for block in blocks:
        for column in block.columns:
            common = given.get(field_name(column, ALL), "").strip() if column.task is None else ""
            for shown, golfer in golfers.items():
                name = field_name(column, shown)
                text = given.get(name, "").strip() or (common if shown in together else "")
                if text and text not in ABSENT:
                    _add(found, column, name, golfer, text, day, tables, unit)
    return found


def _add(
    found: Filled, column: Column, name: str, golfer: str, text: str, day: str, tables: Tables, unit: str
) -> None:
    if column.task is None:
        number = next_entry(tables, golfer, day, str(column.category))
        row = {"golfer_id": golfer, "practised_on": day, "category": column.category}
        row["minutes"] = minutes_typed(text)
        found.add(PRACTICE, name, row | {"entry_no": str(number)})
    elif column.of_balls:
        _add_balls(found, column, name, golfer, text, day, tables, unit)
    elif column.part is not None:
        row = {"golfer_id": golfer, "assessed_on": day, "test": column.task.name}
        row |= {"distance_ft": f"{column.part.distance:g}", "tried": str(column.part.balls), "made": text}
        found.add("assessments", name, row)


def _add_balls(
    found: Filled, column: Column, name: str, golfer: str, text: str, day: str, tables: Tables, unit: str
) -> None:
    assert column.task is not None
    assert column.part is not None
    before = sum(row["golfer_id"] == golfer for row in found.rows.get("strikes", []))
    first = next_number(tables.strikes, "struck_on", "strike_no", golfer, day) + before
    balls = [ball for ball in re.split(r"[;\n]", text) if ball.strip()]
    for number, ball in enumerate(balls):
        read = BALL.fullmatch(ball)
        if read is None:
            found.wrong[name] = f"ball {number + 1} is not carry and side: write them as {EXAMPLE}"
            return
        row = {"golfer_id": golfer, "struck_on": day, "kind": column.task.kind, "unit": unit}
        row |= {"strike_no": str(first + number), "carry": read[1], "side": read[2]}
        if column.part.distance is not None:
            row["target"] = f"{column.part.distance:g}"
        found.add("strikes", name, row)


def next_entry(tables: Tables, golfer: str, day: str, category: str) -> int:
    """Return the number of another diary entry of a golfer for a category and a day."""
    return next_number(tables.practice, "practised_on", "entry_no", golfer, day, category=category)


def next_number(frame: pd.DataFrame, on: str, number: str, golfer: str, day: str, **same: Any) -> int:
    """Return the number after the highest of a golfer's rows of a day; 1 where the day cannot be read."""
    try:
        when = pd.Timestamp(date.fromisoformat(day))
    except ValueError:
        return 1
    mine = frame[(frame["golfer_id"] == golfer) & (frame[on] == when)]
    for name, value in same.items():
        mine = mine[mine[name] == value]
    return int(mine[number].max()) + 1 if len(mine) else 1
