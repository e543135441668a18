"""Files and folders that their owner alone may read, whatever the process would allow others.

The modes are those of POSIX. Windows has none: there a new file takes the access list of its folder, and a
user's own folders keep the others out (common practice, no source).
"""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import IO, Any

FILE, FOLDER = 0o600, 0o700


def opened(path: str | Path, mode: str, **more: Any) -> IO[Any]:
    """Open a file to write, as :func:`open` does; one that exists is closed to others as well.

    Raises
    ------
    OSError
        As :func:`open`.
    """
    return open(path, mode, opener=_opener, **more)


def write(path: str | Path, content: str | bytes) -> None:
    """Write a file; text as UTF-8 with its line ends as they are."""
    with opened(path, "wb") as stream:
        stream.write(content.encode() if isinstance(content, str) else content)


def make_folder(path: str | Path) -> None:
    """Make a folder, and those above it that are missing; one that exists keeps its mode.

    Raises
    ------
    OSError
        As :meth:`pathlib.Path.mkdir`.
    """
    wanted = Path(path)
    missing = [one for one in (wanted, *wanted.parents) if not one.exists()]
    for one in reversed(missing):
        one.mkdir(mode=FOLDER, exist_ok=True)
        with contextlib.suppress(OSError):
            one.chmod(FOLDER)


def _opener(path: str, flags: int) -> int:
    descriptor = os.open(path, flags, FILE)
    if hasattr(os, "fchmod"):
        with contextlib.suppress(OSError):  # the file is somebody else's
            os.fchmod(descriptor, FILE)
    return descriptor
