"""Short-lived folders of an open desk, such as uploads: gone with it, within the hour, or at the next start.

Each desk has one folder of its own among the computer's temporary files, and holds a lock in it. A folder
whose lock nobody holds was left by a desk that was killed.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
import tempfile
import time
import weakref
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from filelock import FileLock, Timeout

from paryield.club.mentions import in_folder

PREFIX, LOCK = "paryield-desk-", ".lock"
LONGEST_SECONDS, SWEPT_SECONDS = 55 * 60.0, 60.0
"""How old something there may become, and how often that is looked at: gone within an hour."""


class Scratch:
    """The short-lived folders of one desk.

    Parameters
    ----------
    club : str
        Path or URL of its club.
    """

    def __init__(self, club: str) -> None:
        remove_left()
        self.root = Path(tempfile.mkdtemp(prefix=f"{PREFIX}{mark_of(club)}-"))
        self._lock = FileLock(self.root / LOCK, mode=0o600)
        self._lock.acquire(timeout=0)
        self.close = weakref.finalize(self, _end, self._lock, self.root)

    def new(self) -> Path:
        """Return a new empty folder that only the owner of this process may read."""
        return Path(tempfile.mkdtemp(dir=self.root))

    @contextlib.contextmanager
    def folder(self) -> Iterator[Path]:
        """Give a folder for as long as this lasts."""
        place = self.new()
        try:
            yield place
        finally:
            shutil.rmtree(place, ignore_errors=True)

    def sweep(self) -> None:
        """Remove what has become too old, here and where a desk was killed."""
        for place in batches(self.root):
            with contextlib.suppress(OSError):
                if time.time() - place.stat().st_mtime > LONGEST_SECONDS:
                    shutil.rmtree(place, ignore_errors=True)
        remove_left()


def _end(lock: FileLock, root: Path) -> None:
    lock.release()
    shutil.rmtree(root, ignore_errors=True)


def mark_of(club: str) -> str:
    """Return what stands for a club in the names of its folders, and tells nothing of it."""
    name = club if "://" in club else str(Path(club).expanduser().absolute())
    return hashlib.sha256(name.encode("utf-8", "surrogateescape")).hexdigest()[:12]


def folders(mark: str = "") -> list[Path]:
    """Return the folders of desks that this user runs or ran; of one club where its mark is given."""
    found = []
    for place in Path(tempfile.gettempdir()).glob(f"{PREFIX}{mark}*"):
        with contextlib.suppress(OSError):
            mine = not hasattr(os, "getuid") or place.lstat().st_uid == os.getuid()
            if mine and place.is_dir() and not place.is_symlink():
                found.append(place)
    return sorted(found)


def batches(root: Path) -> list[Path]:
    """Return the folders within that of a desk."""
    with contextlib.suppress(OSError):
        return sorted(one for one in root.iterdir() if one.is_dir() and not one.is_symlink())
    return []


def remove_left() -> int:
    """Remove the folders of desks that were killed; return how many."""
    count = 0
    for place in folders():
        lock = FileLock(place / LOCK, mode=0o600)
        with contextlib.suppress(Timeout, OSError):
            lock.acquire(timeout=0)
            _end(lock, place)
            count += 1
    return count


def remove_of(club: str, words: list[str]) -> list[dict[str, str]]:
    """Remove uploads of a club that name a person, from desks that are open too.

    Returns
    -------
    list of dict
        kind, path, made_at and state of what was removed, as in the receipt of an erasure.
    """
    remove_left()
    removed = []
    for place in (batch for root in folders(mark_of(club)) for batch in batches(root)):
        if any(True for _ in in_folder(place, words)):
            made = datetime.fromtimestamp(place.stat().st_mtime, UTC).isoformat(timespec="seconds")
            shutil.rmtree(place, ignore_errors=True)
            state = "cannot be removed" if place.exists() else "removed"
            removed.append({"kind": "upload", "path": str(place), "made_at": made, "state": state})
    return removed
