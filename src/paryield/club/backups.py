"""Where the backups of a club file lie, told beside it, so that a damaged file need not tell."""

from __future__ import annotations

import contextlib
import json
import sqlite3
from pathlib import Path
from urllib.parse import quote

from paryield import private
from paryield.club import sums
from paryield.errors import InputError

ENDING = ".backups"


def list_of(club: Path) -> Path:
    """Return the path of the list of backups: the club's own with ``.backups`` behind it."""
    return club.with_name(club.name + ENDING)


def path_of(where: str) -> Path | None:
    """Return the path of a club file by the name it is shown under; None for what can be no path."""
    with contextlib.suppress(OSError, ValueError, RuntimeError):
        return Path(where.removeprefix("sqlite:///")).expanduser().absolute()
    return None


def remember(club: Path, backup: Path, made_at: str) -> None:
    """Add a backup to the list beside the club file.

    Raises
    ------
    OSError
        When the list cannot be written.
    """
    line = json.dumps({"made_at": made_at, "file": str(backup)}, ensure_ascii=False)
    with private.opened(list_of(club), "a", encoding="utf-8") as handle:
        handle.write(line + "\n")


def listed(club: Path) -> list[tuple[str, Path]]:
    """Return moment and path of each backup listed, newest last; what cannot be read is passed over."""
    try:
        lines = list_of(club).read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return []
    found = []
    for line in lines:
        with contextlib.suppress(ValueError, KeyError, TypeError, RecursionError):
            entry = json.loads(line)
            found.append((str(entry["made_at"]), Path(entry["file"])))
    return found


def is_sound(path: Path) -> bool:
    """Tell whether a file that nobody writes is a club: its pages hang together, its rows are as written."""
    try:
        address = f"file:{quote(str(path))}?mode=ro&immutable=1"
        with contextlib.closing(sqlite3.connect(address, uri=True)) as connection:
            sound = connection.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
            kind = connection.execute("SELECT value FROM club_facts WHERE name = 'kind'").fetchone()
            return sound and kind is not None and not sums.changed_in_file(connection)
    except (sqlite3.Error, OSError, ValueError):
        return False


def last_good(club: Path) -> tuple[str, Path] | None:
    """Return moment and path of the newest listed backup that is sound; the order of the list counts."""
    return next((entry for entry in reversed(listed(club)) if is_sound(entry[1])), None)


def damaged(where: str, what: str) -> InputError:
    """Return the plain line for a damaged club, with the last good backup by name."""
    return InputError(
        f"the club is damaged: {what}", where=where, remedy=remedy(where, "put back the latest backup")
    )


def remedy(where: str, otherwise: str, first: str = "") -> str:
    """Return what to do about a damaged club: put back the last good backup by name, if there is one."""
    path = path_of(where)
    if path is not None:
        found = last_good(path)
        if found is not None:
            return f"{first}put back the last good backup: {found[1]} (made {found[0]})"
    return otherwise
