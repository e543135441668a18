"""Which spreadsheets of a batch are tables, and which are a coach's own: both may come at once."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

from paryield import private
from paryield.errors import InputError
from paryield.tables.files import UnreadableFile, table_of
from paryield.tables.folder import listed
from paryield.tables.own_form import is_own
from paryield.tables.workbooks import copy_sheets, sheet_names
from paryield.tables.write import SETTINGS_FILE

TABLE_FILES = (".csv", ".tsv")


@dataclass(frozen=True)
class Kinds:
    """The folders of a batch by kind.

    Parameters
    ----------
    tables, own : Path or None
        Folder of the files and sheets that are tables, and of the coach's own; None where there are none.
    """

    tables: Path | None
    own: Path | None


def sorted_out(folder: Path, place: Path) -> Kinds:
    """Tell the spreadsheets of a folder apart by their headers.

    Parameters
    ----------
    folder : Path
        Of the batch; it is not changed.
    place : Path
        Where the spreadsheets go where both kinds are there.
    """
    found = {path: _sheets(path) for path in listed(folder)}
    tables = {path for path, (ours, _) in found.items() if ours}
    if not any(own for _, own in found.values()):
        return Kinds(folder, None)
    if not tables:
        return Kinds(None, folder)
    kinds = Kinds(place / "tables", place / "own")
    for path, (ours, own) in found.items():
        for part, (sheets, others) in ((kinds.tables, (ours, own)), (kinds.own, (own, ours))):
            if part is not None and sheets:
                private.make_folder(part)
                _part_of(path, part, sheets if others else [])
    return kinds


def _sheets(path: Path) -> tuple[list[str], list[str]]:
    """Return what of a file is a table and what the coach's own: its sheets, or its name."""
    ending, whole = path.suffix.lower(), [path.stem]
    if path.name.lower() == SETTINGS_FILE:
        return whole, []
    if ending in TABLE_FILES:
        table = table_of(path.stem)
        return (whole, []) if table and not is_own(path, None, table) else ([], whole)
    if ending != ".xlsx":
        return [], whole
    names = _names(path)
    if not names:
        return whole, []
    called = {name: table_of(name) for name in names}
    if len(names) == 1 and table_of(path.stem):
        called = {names[0]: table_of(path.stem)}
    ours = [name for name, table in called.items() if table and not is_own(path, name, table)]
    return ours, [name for name in names if name not in ours]


def _names(path: Path) -> list[str]:
    """Return the names of a workbook's sheets; none where it is no workbook, or damaged."""
    try:
        return sheet_names(path) if path.suffix.lower() == ".xlsx" else []
    except (UnreadableFile, OSError):
        return []


def _part_of(path: Path, folder: Path, sheets: list[str]) -> None:
    """Copy a file, or with names of sheets a workbook of these alone."""
    if not sheets:
        shutil.copy(path, folder / path.name)
        return
    copy_sheets(path, sheets, folder / (f"{path.stem} sheets.xlsx" if table_of(path.stem) else path.name))


def put_beside(tables: Path, made: Path) -> frozenset[str]:
    """Put tables beside those made of a coach's own spreadsheets, and return what problems call them.

    A table of the same name that was made of the others gets another ending, so that both are read.

    Raises
    ------
    InputError
        When there is no name left for one.
    """
    names = set()
    for path in listed(tables):
        taken = made / path.name
        if taken.exists():
            other = taken.with_suffix(".tsv")
            if other.exists() or (tables / other.name).exists():
                remedy = "bring them in one after the other"
                raise InputError(f"there are too many tables called {path.stem!r}", remedy=remedy)
            taken.rename(other)
        shutil.copy(path, taken)
        names |= {path.name, *(f"{path.name} sheet {sheet}" for sheet in _names(path))}
    return frozenset(names)
