"""What a folder holds: which file or sheet is which table, and what is missing or passed over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from pathlib import Path

from paryield.errors import InputError
from paryield.results import Problem
from paryield.tables.files import SPREADSHEETS, SourceFile, UnreadableFile, fingerprint, table_of, trouble
from paryield.tables.loaded import Loaded
from paryield.tables.schema import TABLES
from paryield.tables.workbooks import sheet_names
from paryield.tables.write import SETTINGS_FILE, SOURCES_FILE

PICTURES = (".png", ".svg")
REQUIRED = ("golfers", "rounds")
LATER = "a club may begin with its golfers; add rounds.csv, or log rounds, before the first fit"
"""Tables that a folder must hold, unless the club already holds golfers."""


@dataclass
class Folder:
    """The state of reading one folder."""

    today: date
    problems: list[Problem] = field(default_factory=list)
    files: list[SourceFile] = field(default_factory=list)
    sources: list[tuple[str, Path, str | None, str, str]] = field(default_factory=list)
    unclaimed: list[str] = field(default_factory=list)


def listed(folder: Path) -> list[Path]:
    """Return the files of a folder by name, hidden and lock files left out.

    Raises
    ------
    InputError
        When there is no such folder, or it cannot be read.
    """
    remedy = "give a folder that holds golfers.csv and rounds.csv"
    if not folder.exists():
        raise InputError("there is no such folder", where=str(folder), remedy=remedy)
    if not folder.is_dir():
        raise InputError("this is a file, not a folder", where=str(folder), remedy=remedy)
    try:
        paths = sorted(folder.iterdir(), key=lambda path: path.name.lower())
    except OSError as error:
        message = f"the folder cannot be read ({error.strerror})"
        raise InputError(message, where=str(folder), remedy="check who may read it") from None
    return [path for path in paths if path.is_file() and not path.name.startswith((".", "~$"))]


def _no_files(state: Folder, folder: Path) -> None:
    """Note folders, pipes and the like that are called as a table, and are none."""
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() in SPREADSHEETS and table_of(path.stem) and not path.is_file():
            kind = (
                "a folder" if path.is_dir() else "a broken link" if path.is_symlink() else "a pipe or device"
            )
            remedy = "give the spreadsheet itself this name"
            state.problems.append(trouble(path.name, f"this is {kind}, not a file", remedy))
            state.unclaimed.append(path.stem)


def claim(state: Folder, path: Path) -> None:
    """Say which table or tables a file holds."""
    if path.name.lower() in (SETTINGS_FILE, SOURCES_FILE):
        return
    table, ending = table_of(path.stem), path.suffix.lower()
    if ending in PICTURES and not table:
        return  # a logo, which the settings name
    try:
        if ending not in SPREADSHEETS:
            _not_a_spreadsheet(state, path, table)
        elif ending == ".xlsx":
            _claim_sheets(state, path, table)
        elif table:
            state.sources.append((table, path, None, path.name, fingerprint(path)))
        else:
            _unknown(state, path.name, path.stem)
    except UnreadableFile as stop:
        state.problems.append(stop.problem)
        state.unclaimed.append(path.stem)
    except OSError as error:
        message = f"the file cannot be read ({error.strerror})"
        state.problems.append(trouble(path.name, message, "check who may read it"))


def _claim_sheets(state: Folder, path: Path, table: str | None) -> None:
    sheets = sheet_names(path)
    if table and len(sheets) == 1:
        state.sources.append((table, path, sheets[0], path.name, fingerprint(path)))
        return
    held = [sheet for sheet in sheets if table_of(sheet)]
    if not held:
        _unknown(state, path.name, path.stem, f"sheets {', '.join(sheets)}")
    for sheet in sheets:
        shown, name = f"{path.name} sheet {sheet}", table_of(sheet)
        if name:
            state.sources.append((name, path, sheet, shown, fingerprint(path)))
        elif held:
            _unknown(state, shown, sheet)


def _not_a_spreadsheet(state: Folder, path: Path, table: str | None) -> None:
    if table:
        message = f"the ending {path.suffix!r} is not one that is read"
        state.problems.append(trouble(path.name, message, "save it as .csv or .xlsx"))
        state.unclaimed.append(path.stem)
    else:
        _unknown(state, path.name, path.stem)


def _unknown(state: Folder, shown: str, stem: str, found: str = "") -> None:
    state.unclaimed.append(stem)
    near = get_close_matches(stem.lower(), TABLES, n=1, cutoff=0.6)
    remedy = f"rename it {near[0]} if that is meant" if near else "name it after a table if it is one"
    message = "this is not one of the tables and was passed over"
    state.problems.append(Problem(shown, None, None, found, message, remedy, "warning"))


def whole_folder(state: Folder, folder: Path, loaded: Mapping[str, Loaded], holds_golfers: bool) -> None:
    """Note which required tables are missing once all files are read."""
    _no_files(state, folder)
    missing(state, folder.name, loaded, holds_golfers)


def missing(state: Folder, shown: str, loaded: Mapping[str, Loaded], holds_golfers: bool) -> None:
    """Note which required tables are missing of a folder, or of other tables called ``shown``."""
    given = [name for name, table in loaded.items() if table.files]
    names = [stem.lower() for stem in state.unclaimed]
    if not given and not names:
        remedy = "put golfers.csv and rounds.csv into it"
        state.problems.append(trouble(shown, "the folder holds no table", remedy))
        return
    for name in () if holds_golfers and given else REQUIRED:
        if loaded[name].files or name in names:
            continue
        near = get_close_matches(name, names, n=1, cutoff=0.6)
        hint = f", or rename {near[0]!r}, the nearest one found" if near else ""
        message = f"the table {name} is missing"
        if name == "rounds" and loaded["golfers"].files and not hint:
            state.problems.append(Problem(shown, None, None, "", message, LATER, "warning"))
            continue
        state.problems.append(trouble(shown, message, f"add {name}.csv or {name}.xlsx{hint}"))
