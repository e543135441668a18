"""The header row of a file: which column stands where, which are missing and which unknown."""

from __future__ import annotations

from difflib import SequenceMatcher

from paryield.results import Problem
from paryield.tables.files import Record, UnreadableFile, clipped, header_name, trouble
from paryield.tables.schema import Table


class Header:
    """Places of the known and unknown columns, and what is wrong with the header."""

    def __init__(self, table: Table, file: str, record: Record | None) -> None:
        if record is None:
            message = "there is no header row"
            raise UnreadableFile(
                trouble(file, message, f"begin with the columns {', '.join(table.required)}")
            )
        self.table, self.file = table, file
        self.row, cells = record
        while cells and not cells[-1].strip():
            cells = cells[:-1]
        self.width = len(cells)
        self.problems: list[Problem] = []
        self.places: dict[str, int] = {}
        self.unknown: dict[str, int] = {}
        for place, cell in enumerate(cells):
            self._place(place, cell)
        self._missing()
        self.usable = not any(problem.severity == "error" for problem in self.problems)
        self._name_unknown()

    def _place(self, place: int, cell: str) -> None:
        name = header_name(cell)
        if name in self.places:
            remedy = "keep one of the two columns"
            self.problems.append(Problem(self.file, self.row, name, "", "the column stands twice", remedy))
        elif name in self.table.names:
            self.places[name] = place
        else:
            shown = cell.strip() or f"column {place + 1}"
            self.unknown[shown if shown not in self.unknown else f"{shown} ({place + 1})"] = place

    def _missing(self) -> None:
        missing = [name for name in self.table.required if name not in self.places]
        for name in missing:
            self._lacks(name, "the column is missing")
        groups = self.table.either
        filled = any(all(name in self.places for name in group) for group in groups)
        waived = self.table.waived_by is not None and self.table.waived_by[0] in self.places
        if groups and not filled and not waived:
            ways = " or ".join(" and ".join(group) for group in groups)
            lacking = [name for group in groups for name in group if name not in self.places]
            self._lacks(lacking[0], f"the table needs {ways}")

    def _lacks(self, name: str, message: str) -> None:
        others = sorted(self.unknown) or sorted(self.places)
        near = max(others, key=lambda other: SequenceMatcher(None, name, other.lower()).ratio(), default="")
        remedy = f"add the column {name}"
        if near:
            remedy += f", or rename {near!r}, the" if self.unknown else f"; {near!r} is the"
            remedy += " nearest one found"
        self.problems.append(Problem(self.file, self.row, name, "", message, remedy))

    def _name_unknown(self) -> None:
        if self.unknown:
            names = clipped(", ".join(self.unknown), 300)
            message = f"columns that the table {self.table.name} does not have are kept aside"
            remedy = "rename them if they are meant, else nothing need be done"
            self.problems.append(Problem(self.file, self.row, None, names, message, remedy, "warning"))
