"""Files and folders that their owner alone may read, whatever the process would allow others.

The modes are those of POSIX. Windows has none: there a new file takes the access list of its folder, and a
user's own folders keep the others out (common practice, no source).
"""

from __future__ import annotations

import contextlib
import errno
import glob
import os
import secrets
import time
from pathlib import Path
from typing import IO, Any

FILE, FOLDER = 0o600, 0o700
PART, PART_SECONDS = ".part", 3600.0
"""How a file that is being written ends, and the seconds after which nobody writes it any more."""


def opened(path: str | Path, mode: str, **more: Any) -> IO[Any]:
    """Open a file to write, as :func:`open` does; one that exists is closed to others as well.

    Raises
    ------
    OSError
        As :func:`open`.
    """
    return open(path, mode, opener=_opener, **more)


def write(path: str | Path, content: str | bytes) -> None:
    """Write a file; text as UTF-8 with its line ends as they are.

    It is the old file or the new one at any moment: the new one is written beside it and put in its place.

    Raises
    ------
    OSError
        As :func:`open`; the old file is as it was.
    """
    target = Path(os.path.realpath(path))
    data = content.encode() if isinstance(content, str) else content
    if target.exists() and not target.is_file():
        with opened(target, "wb") as stream:  # a pipe or a device
            stream.write(data)
        return
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(target))
    _forget_parts(target)
    part = target.with_name(f".{target.name}.{secrets.token_hex(4)}{PART}")
    try:
        with opened(part, "xb") as stream:
            stream.write(data)
        part.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise


def _forget_parts(target: Path) -> None:
    """Remove what earlier writes of a file left when they were killed; younger parts may be at work."""
    long_ago = time.time() - PART_SECONDS
    with contextlib.suppress(OSError):
        for one in target.parent.glob(f".{glob.escape(target.name)}.*{PART}"):
            with contextlib.suppress(OSError):
                if one.stat().st_mtime < long_ago:
                    one.unlink()


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
