"""Putting skill from a spreadsheet of putts tried and made by distance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

from paryield.errors import InputError
from paryield.results import Problem
from paryield.rounds.putting import Putts
from paryield.rounds.putting_fit import fit_putting
from paryield.rounds.putting_skill import PuttingSkill
from paryield.tables.files import SPREADSHEETS, Record, UnreadableFile, text_records
from paryield.tables.loaded import Loaded
from paryield.tables.reader import TableReader
from paryield.tables.schema import ASSESSMENTS, Column, Table
from paryield.tables.workbooks import sheet_names, sheet_records

SHORTEST_FEET, LONGEST_FEET = 0.2, 200.0
REMEDY = "give a CSV or XLSX file with the columns distance_ft, tried and made"


def _column(name: str, **changes: object) -> Column:
    return replace(ASSESSMENTS.column(name), needed=True, **changes)  # type: ignore[arg-type]


PUTTS = Table(
    "putts",
    (
        _column("distance_ft", low=SHORTEST_FEET, high=LONGEST_FEET, hint="give the distance in feet"),
        _column("tried", high=1_000_000),
        _column("made", high=1_000_000),
    ),
    key=(),
    required=("distance_ft", "tried", "made"),
)
"""Putts tried and made by distance; the columns are those of the assessments."""


def putting(file: Path | str) -> PuttingSkill:
    """Return the putting skill that a spreadsheet of putts speaks of.

    Parameters
    ----------
    file : Path
        CSV or XLSX (first sheet, or the one called putts) with the columns distance_ft (feet), tried and
        made; a distance may stand in several rows.

    Returns
    -------
    PuttingSkill
        With the file's warnings.

    Raises
    ------
    InputError
        When the file cannot be read, lacks a column or holds a value that cannot be: the first problem,
        and how many more there are.
    """
    putts, warnings = read_putts(Path(file))
    return replace(fit_putting(putts.distance_ft, putts.tried, putts.made), warnings=warnings)


def read_putts(path: Path) -> tuple[Putts, tuple[Problem, ...]]:
    """Return the putts of a spreadsheet, and its warnings; errors as :func:`putting`."""
    if not path.is_file():
        raise InputError("there is no such file", where=str(path), remedy=REMEDY)
    if path.suffix.lower() not in SPREADSHEETS:
        message = f"the ending {path.suffix!r} is not one that is read"
        raise InputError(message, where=path.name, remedy=REMEDY)
    reader = TableReader(PUTTS, date.today())
    try:
        reader.add(path.name, _records(path, reader.problems), padded=path.suffix.lower() == ".xlsx")
    except UnreadableFile as stop:
        reader.problems.append(stop.problem)
    except OSError as error:
        message = f"the file cannot be read ({error.strerror})"
        raise InputError(message, where=path.name, remedy="check who may read it") from None
    loaded = reader.finish()
    loaded.flag(
        loaded.numbers("made") > loaded.numbers("tried"),
        "made",
        "is more than tried",
        "check made and tried",
        found=lambda row: f"{loaded.cell(row, 'made')} against {loaded.cell(row, 'tried')}",
    )
    _refuse_errors(loaded.problems)
    return _putts(path, loaded), tuple(loaded.problems)


def _records(path: Path, problems: list[Problem]) -> Iterator[Record]:
    if path.suffix.lower() != ".xlsx":
        return text_records(path, problems)
    sheets = sheet_names(path)
    sheet = next((name for name in sheets if name.strip().lower() == PUTTS.name), sheets[0])
    return sheet_records(path, sheet, path.name, problems)


def _refuse_errors(problems: list[Problem]) -> None:
    errors = sorted((each for each in problems if each.severity == "error"), key=lambda each: each.row or 0)
    if not errors:
        return
    first, more = errors[0], len(errors) - 1
    where = first.file + (f", row {first.row}" if first.row is not None else "")
    where += f", column {first.column}" if first.column else ""
    message = first.message + (f" (found {first.found!r})" if first.found else "")
    if more:
        message += f", and {more} more problem{'s' if more > 1 else ''} in the file"
    raise InputError(message, where=where, remedy=first.remedy)


def _putts(path: Path, loaded: Loaded) -> Putts:
    try:
        return Putts(loaded.numbers("distance_ft"), loaded.numbers("tried"), loaded.numbers("made"))
    except InputError as error:
        raise InputError(error.message, where=path.name, remedy=error.remedy) from None
