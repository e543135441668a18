"""Headings in two rows: what stands over several columns is part of the heading of each, or tells rows apart.

Where each part of a sheet has the same headings below it (men and ladies over rating and slope, weeks over
kinds of practice), each part becomes rows of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from paryield.adopt.days import read_date, span_of, week_number
from paryield.adopt.layout import HEADER_ROWS, roles
from paryield.adopt.names import name_words, short_for
from paryield.adopt.nines import part_of
from paryield.adopt.sexes import sex_of
from paryield.adopt.sheets import Cell, Sheet, cell_at
from paryield.adopt.teed import RATINGS, ratings_of
from paryield.adopt.tests_named import DISTANCE, OUT_OF, out_of
from paryield.adopt.values import sums_up
from paryield.adopt.words import meaning_of, plain, practice_of

SEX, NINE, WEEK, DAY, WHO = "Sex", "Holes", "Week", "Date", "Player"
LEAST_REPEATED = 2


@dataclass(frozen=True)
class Group:
    """A cell over columns, from 0."""

    cell: Cell
    columns: tuple[int, ...]


def grouped(sheet: Sheet, today: date, people: Collection[frozenset[str]] = ()) -> Sheet:
    """Return a sheet whose headings stand in one row, else the sheet as it is.

    A part that repeats the headings of another becomes rows of its own, with what stands over it in a column;
    a heading that says too little is given what stands over it. ``people`` are the words of the names of
    known golfers, who may stand over parts.
    """
    qualified = _by_heading(sheet)
    if qualified is not None:
        return qualified
    heads = {place: found for place in range(1, len(sheet.rows)) if (found := _groups(sheet, place))}
    if not heads:
        return sheet
    first = min(heads)
    repeated = _repeated(sheet.rows[first], heads[first], today, people)
    if first < HEADER_ROWS and repeated is not None and len(heads) == 1:
        named, parts = repeated
        return _unfolded(sheet, first, named, parts)
    rows = [list(row) for row in sheet.rows]
    for place, groups in heads.items():
        for group in groups:
            for column in group.columns:
                rows[place] = _wide(rows[place], column + 1)
                rows[place][column] = _joined(group.cell, rows[place][column])
            rows[place - 1][group.columns[0]] = None
    return replace(sheet, rows=rows)


def _wide(row: Sequence[Cell], width: int) -> list[Cell]:
    return [*row, *[None] * (width - len(row))]


def _joined(over: Cell, cell: Cell) -> Cell:
    return over if cell is None else f"{over} {cell}"


def _groups(sheet: Sheet, place: int) -> list[Group]:
    """Cells of the row above a header that stand over columns of it which say too little, or are repeated."""
    row, above = sheet.rows[place], sheet.rows[place - 1]
    over = [one for one, cell in enumerate(above) if one and cell is not None]
    heads = [plain(cell) for cell in row if cell is not None]
    if not over or len(heads) < 2 or not all(isinstance(cell, str) for cell in row if cell is not None):
        return []
    spans = {left: right for number, left, right in sheet.spans if number == sheet.number_of(place)}
    ends = [*over[1:], max(len(row), over[-1] + 1)]
    groups = []
    for left, end in zip(over, ends, strict=True):
        right = spans[left] + 1 if left in spans else left + 1 if spans else end
        columns = tuple(one for one in range(left, right) if one < len(row) or one == left)
        groups.append(Group(above[left], columns))
    kept = [one for one in range(len(row)) if row[one] is not None and one < over[0]]
    if not kept or not any(meaning_of(str(row[one])) for one in kept):
        return []
    subs = [tuple(plain(cell_at(row, one)) for one in group.columns) for group in groups]
    if len(groups) >= LEAST_REPEATED and len(set(subs)) == 1 and all(subs[0]):
        return groups
    if not spans:
        groups = [replace(group, columns=_begun(group.columns, row)) for group in groups]
    return [group for group in groups if _completes(group, row)]


def _begun(columns: Sequence[int], row: Sequence[Cell]) -> tuple[int, ...]:
    """Return the columns up to the first whose heading says more than where or of how many."""
    cells = [cell_at(row, one) for one in columns]
    whole = (place for place, cell in enumerate(cells) if cell and not _is_part(str(cell)))
    return tuple(columns[: max(next(whole, len(columns)), 1)])


def _completes(group: Group, row: Sequence[Cell]) -> bool:
    """Whether a cell names a kind of practice or a test, and what stands below only where or of how many."""
    if not isinstance(group.cell, str):
        return False
    below = [str(cell) for one in group.columns if (cell := cell_at(row, one)) is not None]
    tested = practice_of(group.cell) or out_of(group.cell) or (below and all(map(out_of, below)))
    return bool(tested) and all(map(_is_part, below))


def _is_part(cell: str) -> bool:
    if DISTANCE.fullmatch(cell.strip()) is not None:
        return True
    return out_of(cell) is not None and not any(map(str.isalnum, OUT_OF.sub("", cell)))


def _repeated(
    row: Sequence[Cell], groups: Sequence[Group], today: date, people: Collection[frozenset[str]]
) -> tuple[str, Mapping[Cell, tuple[int, ...]]] | None:
    """Return what tells parts with the same headings apart, and their columns, else None."""
    subs = [tuple(plain(cell_at(row, one)) for one in group.columns) for group in groups]
    if len(groups) < LEAST_REPEATED or len(set(subs)) != 1 or len({plain(one.cell) for one in groups}) < 2:
        return None
    cells = [group.cell for group in groups]
    parts = {group.cell: group.columns for group in groups}
    held = set(roles(row, today)[0].values())
    called = [name_words(str(cell)) for cell in cells]
    known = [bool(words) and (words in people or short_for(words, people)) for words in called]
    if sum(known) > 0.5 * len(known) and not held & {"golfer", "golfer_id", "first_name", "last_name"}:
        return WHO, parts
    if all(sex_of(cell) for cell in cells):
        return SEX, parts
    if all(part_of(cell) for cell in cells):
        return NINE, parts
    if held & {"date", "week", "week_ending"}:
        return None
    if all(_is_week(cell, today) for cell in cells):
        days = all(read_date(cell, "day first", today) is not None for cell in cells)
        return (DAY if days else WEEK), parts
    return None


def _is_week(cell: Cell, today: date) -> bool:
    if read_date(cell, "day first", today) is not None or isinstance(cell, date):
        return True
    if not isinstance(cell, str):
        return False
    bare = span_of(cell)[0]
    return read_date(bare, "day first", today) is not None or (
        any(map(str.isalpha, cell)) and week_number(cell, today.year) is not None
    )


def _unfolded(sheet: Sheet, place: int, named: str, parts: Mapping[Cell, tuple[int, ...]]) -> Sheet:
    """Write each part of a row below the other, beside what stands outside all parts."""
    top = sheet.rows[place]
    inside = {column for columns in parts.values() for column in columns}
    kept = [column for column in range(len(top)) if column not in inside]
    first = next(iter(parts.values()))
    rows: list[list[Cell]] = [[*row] for row in sheet.rows[: place - 1]]
    numbers = [sheet.number_of(one) for one in range(1, place)]
    rows.append([*(top[column] for column in kept), named, *(top[column] for column in first)])
    numbers.append(sheet.number_of(place + 1))
    for number, row in enumerate(sheet.rows[place + 1 :], place + 2):
        if sums_up(row):
            continue
        for cell, columns in parts.items():
            told = [cell_at(row, column) for column in columns]
            if any(one is not None for one in told):
                rows.append([*(cell_at(row, column) for column in kept), cell, *told])
                numbers.append(sheet.number_of(number))
    return replace(sheet, rows=rows, numbers=tuple(numbers), spans=())


def _by_heading(sheet: Sheet) -> Sheet | None:
    """Ratings and slopes in columns for men and ladies, or for halves of the course, as rows of their own."""
    for place, row in enumerate(sheet.rows[:HEADER_ROWS]):
        found: dict[str, dict[str, int]] = {}
        for column, cell in enumerate(row):
            if (said := _qualified(cell)) is not None:
                found.setdefault(said[1], {}).setdefault(said[0], column)
        whole = {name: held for name, held in found.items() if len(held) == len(RATINGS)}
        if len(whole) < LEAST_REPEATED:
            continue
        named = SEX if all(map(sex_of, whole)) else NINE if all(map(part_of, whole)) else None
        if named is None:
            continue
        parts: dict[Cell, tuple[int, ...]] = {
            name: tuple(held[one] for one in RATINGS) for name, held in whole.items()
        }
        top = [*row]
        for columns in parts.values():
            top[columns[0]], top[columns[1]] = "Course rating", "Slope"
        rows = [*sheet.rows[:place], [], top, *sheet.rows[place + 1 :]]
        numbers = [sheet.number_of(one) for one in range(1, len(sheet.rows) + 1)]
        turned = replace(sheet, rows=rows, numbers=(*numbers[:place], numbers[place], *numbers[place:]))
        return _unfolded(turned, place + 1, named, parts)
    return None


def _qualified(cell: Cell) -> tuple[str, str] | None:
    """Return what a heading such as ``CR men`` or ``Slope 10-18`` holds, and of whom or of which holes."""
    told = (one for one in ratings_of(cell) if sex_of(one[1]) or part_of(one[1]))
    return next(told, None)
