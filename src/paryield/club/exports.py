"""Everything out again, as the folder of tables that an import reads."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, Literal, cast, get_args

from paryield import private
from paryield.errors import InputError
from paryield.tables import Tables, make_tables, write_folder

Format = Literal["csv", "xlsx"]


def of_golfer(tables: Tables, golfer_id: str) -> Tables:
    """Return all that the club holds of one golfer; calendar rows of the whole club are not his."""
    frames = {name: frame[frame["golfer_id"] == golfer_id] for name, frame in tables.items()}
    return make_tables(frames, categories=tables.categories, settings=tables.settings)


def write_extra(folder: Path, name: str, content: Any) -> Path:
    """Write what is no table beside the tables, as one JSON document."""
    path = folder / name
    private.write(path, json.dumps(content, ensure_ascii=False, indent=1) + "\n")
    return path


def export(tables: Tables, folder: Path, fmt: str) -> list[Path]:
    """Write all tables into a new or empty folder.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        When the format is unknown, the folder holds something, or it cannot be written.
    """
    where = str(folder)
    if fmt not in get_args(Format):
        raise InputError(f"there is no format {fmt!r}", where=where, remedy="use csv or xlsx")
    try:
        if folder.exists() and not folder.is_dir():
            raise InputError("this is a file, not a folder", where=where, remedy="name a new folder")
        if folder.is_dir() and any(folder.iterdir()):
            raise InputError("the folder is not empty", where=where, remedy="name a new or empty folder")
        private.make_folder(folder)
        return write_folder(tables, folder, cast(Format, fmt))
    except OSError as error:
        raise InputError(
            f"the folder cannot be written ({error.strerror or error})",
            where=where,
            remedy="check that it may be written and has space",
        ) from error
