"""One sheet and what is understood of it, as a reader is told."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Any

from paryield.adopt.days import Order
from paryield.adopt.found import Found
from paryield.adopt.headings import HOURS
from paryield.adopt.hours import unit_said
from paryield.adopt.layout import SAID, Layout
from paryield.adopt.origins import words_of
from paryield.adopt.sheets import Sheet
from paryield.adopt.values import says_competition

MOST_PHRASES = 40
MOST_SHOWN = 60
LEAST_CELLS = 3
"""Cells from which a row above the header is more than a title and its value. [judgement]"""


@dataclass(frozen=True)
class Understood:
    """One sheet and what is understood of it.

    Parameters
    ----------
    sheet : Sheet
    layout : Layout
    order : {"day first", "month first"} or None
    because : str
        What tells the order of day and month.
    found : Found
    wrote : frozenset of str
        What the sheet's cells in words hold as the coach wrote them, before it was turned.
    """

    sheet: Sheet
    layout: Layout
    order: Order | None
    because: str
    found: Found
    wrote: frozenset[str] = frozenset()

    def to_dict(self) -> dict[str, Any]:
        """Return what is understood as a record of the command's document."""
        top = self.sheet.rows[self.layout.header - 1]
        return {
            "sheet": self.sheet.name,
            "kind": self.layout.kind,
            "header": self.sheet.number_of(self.layout.header),
            "columns": {str(top[place]): meaning for place, meaning in self._kept().items()},
            "dates": self.order,
            "not_used": self._unused(),
            "above": len(self._above()),
            "rows": len(self.found.rows),
            "passed_over": dict(self.found.passed),
            "unmeasured": dict(self.found.unmeasured),
            "practice": [
                {"phrase": phrase, "category": category, "entries": count}
                for (phrase, category), count in self.found.taken.most_common()
            ],
        }

    def _kept(self) -> dict[int, str]:
        """Columns of which something is stored, and what they hold; a list made of tests has others too."""
        unkept, top = self.layout.unkept(), self.sheet.rows[self.layout.header - 1]
        made = self.layout.kind == "tests" and bool(self.wrote)
        return {
            place: "competition" if place == unkept else held
            for place, held in self.layout.columns.items()
            if (place != unkept or self._remarks_tell()) and not (made and str(top[place]) not in self.wrote)
        }

    def _remarks_tell(self) -> bool:
        """Whether the remarks say of a round that it was a competition, which is stored."""
        place = self.layout.unkept()
        if place is None or self.layout.kind != "rounds" or self.layout.column("competition") is not None:
            return False
        return any(says_competition(row[place]) for _, row in self.layout.rows(self.sheet))

    def _tests(self) -> list[str]:
        """The headings of tests as the coach wrote them, where a list was made of their columns."""
        place = self.layout.column("test")
        if self.layout.kind != "tests" or place is None or place in self._kept():
            return []
        told = (row[place] for _, row in self.layout.rows(self.sheet))
        return [*dict.fromkeys(str(cell) for cell in told if cell is not None)]

    def _unused(self) -> list[str]:
        """Headings of which nothing is stored."""
        unkept = None if self._remarks_tell() else self.layout.unkept()
        top = self.sheet.rows[self.layout.header - 1]
        return [*self.layout.unused, *([] if unkept is None else [str(top[unkept])])]

    def _above(self) -> list[str]:
        """Rows of several cells above the header, which are no titles: what stands in each."""
        rows = enumerate(self.sheet.rows[: self.layout.header - 1], 1)
        told = [(number, [str(cell) for cell in row if cell is not None]) for number, row in rows]
        return [
            f"row {self.sheet.number_of(number)}, {' | '.join(cells)[:MOST_SHOWN]!r}"
            for number, cells in told
            if len(cells) >= LEAST_CELLS
        ]

    def lines(self) -> list[str]:
        """Say what is understood, for the preview."""
        header = self.layout.header
        number = self.sheet.number_of(header)
        counts = Counter(row.table for row in self.found.rows)
        gives = ", ".join(f"{count} for {table}" for table, count in counts.items()) or "no rows"
        out = [f"{self.sheet.name}: {SAID[self.layout.kind]}; header in row {number}; {gives}"]
        top = self.sheet.rows[header - 1]
        held = [f"{top[place]} = {words_of(meaning)}" for place, meaning in self._kept().items()]
        if held:
            out.append(f"  columns: {'; '.join(held)}")
        if tests := self._tests():
            more = len(tests) - MOST_PHRASES
            shown = "; ".join(tests[:MOST_PHRASES])
            out.append(f"  tests: {shown}{f'; and {more} more' if more > 0 else ''}")
        if above := self._above():
            rows = "1 row" if len(above) == 1 else f"{len(above)} rows"
            out.append(f"  {rows} above the header not taken (first: {above[0]})")
        if self.layout.spread:
            places = sorted(self.layout.spread)
            many = f"spread over {len(places)} columns, from {top[places[0]]} to {top[places[-1]]}"
            out.append(f"  {many if len(places) > 1 else f'in one column, {top[places[0]]}'}")
            if hours := [str(top[place]) for place in places if unit_said(top[place]) == HOURS]:
                out.append(f"  numbers are hours: {', '.join(hours)}")
        if self.order is not None and self.because:
            out.append(f"  dates: {self.order} ({self.because})")
        if self.found.taken:
            out.append(f"  practice: {_taken(self.found)}")
        rest = f"the rest of {top[self.layout.unkept() or 0]}" if self._remarks_tell() else ""
        if unused := [*self._unused(), *filter(None, [rest])]:
            out.append(f"  not used: {', '.join(unused)}")
        for what, count in self.found.noted.items():
            out.append(f"  {what}: {count} taken all the same (first: {self.found.first[what]})")
        for why, count in self.found.unmeasured.items():
            results = "1 result" if count == 1 else f"{count} results"
            out.append(f"  {results} {why} (first: {self.found.first[why]})")
        for reason, count in self.found.passed.items():
            rows = "1 row" if count == 1 else f"{count} rows"
            out.append(f"  {rows} passed over: {reason} (first: {self.found.first[reason]})")
        return out


def words_in(sheet: Sheet) -> frozenset[str]:
    """Return what the cells of a sheet that hold words say, as they are written."""
    return frozenset(cell for row in sheet.rows for cell in row if isinstance(cell, str))


def _taken(found: Found) -> str:
    """Say what each phrase for practice was taken as, the most frequent first."""
    told = found.taken.most_common()
    said = [
        f"{phrase!r} = {words_of(category)} ({count})" for (phrase, category), count in told[:MOST_PHRASES]
    ]
    more = len(told) - MOST_PHRASES
    return "; ".join(said) + (f"; and {more} more" if more > 0 else "")
