"""The tests that are due, as sheets to write on: one page a group, or A5 for one golfer."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import pandas as pd

from paryield.plan.testing import Routine
from paryield.report.rendering import environment, style
from paryield.report.words import one_line
from paryield.rounds.tasks import TASKS, Part, Task
from paryield.tables import Tables

NO_GROUP = "All golfers"
GROUP, GOLFER = "across", "small"
"""Class of the page's body: A4 across, and A5 (see the style sheet)."""


@dataclass(frozen=True)
class SheetPart:
    """Balls of a test from one distance: what stands above the boxes."""

    caption: str
    columns: tuple[str, ...]


@dataclass(frozen=True)
class SheetTest:
    """One test on a sheet, with those who are due."""

    title: str
    minutes: str
    how: str
    parts: tuple[SheetPart, ...]
    golfers: tuple[str, ...]


def sheet_pages(tables: Tables, routines: Sequence[Routine], golfer: str | None = None) -> dict[str, str]:
    """Return HTML pages by file name: one a group with a line a golfer, or the one golfer's own.

    Parameters
    ----------
    tables : Tables
    routines : sequence of Routine
        Their due tests stand on the sheets.
    golfer : str, optional
        For one sheet of this golfer.
    """
    golfers = tables.golfers.set_index("golfer_id")
    names = {
        one: one_line(name if pd.notna(name) else one, 40) for one, name in golfers["display_name"].items()
    }
    if golfer is not None:
        page = _page(names[golfer], routines[0].on, routines, names, GOLFER)
        return {f"tests-{_file(golfer)}.html": page}
    groups: dict[str, list[Routine]] = {}
    for routine in routines:
        group = golfers["group"][routine.golfer_id]
        groups.setdefault(NO_GROUP if pd.isna(group) else str(group), []).append(routine)
    files = {}
    for place, (group, members) in enumerate(sorted(groups.items()), 1):
        name = f"tests-{place}-{_file(group)}.html"
        files[name] = _page(one_line(group, 60), members[0].on, members, names, GROUP)
    return files


def _page(title: str, on: date, routines: Sequence[Routine], names: dict[object, str], paper: str) -> str:
    sheets = []
    for task in TASKS:
        due = [one.golfer_id for one in routines if task in [slot.worth.task for slot in one.due]]
        if due:
            parts = tuple(sheet_part(task, part) for part in task.parts)
            whole = SheetTest(
                task.title, f"{task.minutes:g}", task.how, parts, tuple(names[one] for one in due)
            )
            sheets.append(whole)
    css, policy = style()
    template = environment().get_template("tests.html")
    return template.render(
        title=title, on=on, sheets=sheets, names=paper == GROUP, paper=paper, css=css, policy=policy
    )


def sheet_part(task: Task, part: Part) -> SheetPart:
    """Return caption and boxes of a part: one box for a count, one a ball for carry and side."""
    if not task.measured:
        return SheetPart(f"{part.distance:g} ft", (f"made of {part.balls}",))
    aim = "one line" if part.distance is None else f"target {part.distance:g} yd"
    balls = tuple(str(number) for number in range(1, part.balls + 1))
    return SheetPart(f"{aim}: carry / side (+ right)", balls)


def _file(name: str) -> str:
    return re.sub(r"[^A-Za-z0-9_-]+", "-", name).strip("-")[:40] or "group"
