"""Sheets of a batch that are left out because that was said: blanked in a copy, so that none is read."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from pathlib import Path

from paryield import private
from paryield.adopt.memory import Memory, Question
from paryield.adopt.sheets import read_sheets
from paryield.tables.folder import listed
from paryield.tables.workbooks import blank_sheets

MARK = "leave out: "
"""How the key of an answer begins that leaves a sheet out, before the sheet's name."""
READ, LEFT = "read it", "leave it out"
TEXT = "Is this sheet read, or left out?"
WORKBOOKS = (".xlsx", ".xlsm")
"""Workbooks of which single sheets can be left out; of others the whole file."""


def leaving_asked(folder: Path, answers: Mapping[str, str]) -> list[Question]:
    """Return for each sheet of a folder whether it is read, with the answer that holds."""
    found = {}
    for sheet in read_sheets(folder)[0]:
        single = sheet.sheet and Path(sheet.file).suffix.lower() in WORKBOOKS
        name = sheet.name if single else sheet.file
        held = LEFT if answers.get(f"{MARK}{name}") == LEFT else READ
        found[name] = Question(f"{MARK}{name}", TEXT, name, (READ, LEFT), held)
    return list(found.values())


def sheets_left(answers: Mapping[str, str]) -> list[str]:
    """Return the names of the sheets and files that are left out."""
    return [key.removeprefix(MARK) for key, said in answers.items() if key.startswith(MARK) and said == LEFT]


def without_left(folder: Path, answers: Mapping[str, str], place: Path) -> Path:
    """Return a folder without the sheets that are left out: the same one where there are none.

    A sheet of a workbook stays there blank, so that the others keep their names.
    """
    left = set(sheets_left(answers))
    if not left:
        return folder
    private.make_folder(place)
    for path in listed(folder):
        if path.name in left:
            continue
        mine = {one.removeprefix(f"{path.name}, sheet ") for one in left if one.startswith(f"{path.name}, ")}
        if mine:
            blank_sheets(path, mine, place / path.name)
        else:
            shutil.copy(path, place / path.name)
    return place


def kept_answers(memory: Memory) -> dict[str, str]:
    """Return the answers that hold for the next file, too: not those that leave a sheet out this time."""
    return {key: said for key, said in memory.answers.items() if not key.startswith(MARK)}
