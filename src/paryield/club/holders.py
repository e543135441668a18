"""Copies outside the club that hold a person: backups, exports and reports that are known."""

from __future__ import annotations

import contextlib
import sqlite3
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pandas as pd

from paryield.club.mentions import whole_word

HOLDS, MAY_HOLD, NOT_FOUND, UNREADABLE = "holds", "may hold", "not found", "cannot be read"

PACKED = (".xlsx", ".zip")
OPAQUE = (".pdf", ".png")
LARGEST = 2**28


def holders(copies: pd.DataFrame, golfer_id: str, name: str | None) -> tuple[dict[str, str], ...]:
    """Return the known copies that hold a person, may hold him, or could not be looked at."""
    words = [word for word in (golfer_id, name) if word]
    found = []
    for copy in copies.to_dict("records"):
        path = Path(str(copy["path"]))
        looked = in_backup(path, golfer_id) if copy["kind"] == "backup" else in_folder(path, words)
        for place, state in looked:
            found.append(
                {
                    "kind": str(copy["kind"]),
                    "path": str(place),
                    "made_at": str(copy["made_at"]),
                    "state": state,
                }
            )
    return tuple(found)


def in_backup(path: Path, golfer_id: str) -> Iterator[tuple[Path, str]]:
    """Yield a backup that holds the golfer, and pieces that a killed backup left beside it."""
    with contextlib.suppress(OSError):
        pieces = [one for one in path.parent.iterdir() if one.name.startswith(f".{path.name}.")]
        yield from ((piece, MAY_HOLD) for piece in sorted(pieces))
    if not path.is_file():
        yield path, NOT_FOUND
        return
    try:
        address = f"file:{quote(str(path))}?mode=ro&immutable=1"
        with contextlib.closing(sqlite3.connect(address, uri=True)) as connection:
            held = connection.execute("SELECT 1 FROM golfers WHERE golfer_id = ?", (golfer_id,)).fetchone()
    except sqlite3.Error:
        yield path, UNREADABLE
        return
    if held is not None:
        yield path, HOLDS


def in_folder(path: Path, words: list[str]) -> Iterator[tuple[Path, str]]:
    """Yield the files of a folder that name the person."""
    if not path.exists():
        yield path, NOT_FOUND
        return
    files = sorted(one for one in path.rglob("*") if one.is_file()) if path.is_dir() else [path]
    for file in files:
        try:
            state = in_file(file, words)
        except (OSError, zipfile.BadZipFile):
            state = UNREADABLE
        if state is not None:
            yield file, state


def in_file(path: Path, words: list[str]) -> str | None:
    """Tell whether a file names the person; None when it does not."""
    patterns = [whole_word(word) for word in words]
    if any(pattern.search(path.stem) for pattern in patterns):
        return HOLDS
    if path.suffix.lower() in OPAQUE or path.stat().st_size > LARGEST:
        return MAY_HOLD
    if path.suffix.lower() in PACKED:
        with zipfile.ZipFile(path) as package:
            if sum(part.file_size for part in package.infolist()) > LARGEST:
                return MAY_HOLD
            texts = [package.read(part).decode("utf-8", "replace") for part in package.infolist()]
    else:
        texts = [path.read_text(encoding="utf-8", errors="replace")]
    return HOLDS if any(pattern.search(text) for pattern in patterns for text in texts) else None
