"""A second process of this installation, which works beside the first where there is a core for it.

What it is asked to do can be done without it: one that cannot start, fails or hangs costs time alone.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

ALONE = "PARYIELD_ONE_PROCESS"
"""Environment variable; when it is 1 there is no second process."""


def cores() -> int:
    """Return how many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@contextlib.contextmanager
def second_process(module: str, **environment: str) -> Iterator[subprocess.Popen[bytes] | None]:
    """Start a module in a process of its own; None where there is one core, or where it cannot start.

    Its standard input and output are pipes, its environment is ours and ``environment``. It is ended, when it
    has not ended by itself, with the context.
    """
    if cores() < 2 or os.environ.get(ALONE) == "1":
        yield None
        return
    pipe: dict[str, Any] = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.DEVNULL}
    pipe["env"] = {**os.environ, **environment}
    try:
        process = subprocess.Popen([sys.executable, "-m", module], **pipe)
    except (OSError, ValueError):
        yield None
        return
    try:
        yield process
    finally:
        process.kill()
        for stream in (process.stdin, process.stdout):
            with contextlib.suppress(OSError, ValueError):
                if stream is not None:
                    stream.close()
        process.wait()
