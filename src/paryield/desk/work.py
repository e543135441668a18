"""Long work in a process of its own: one at a time, watched, and stopped on demand."""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, replace

from paryield.club.opened import COMMAND_LINE
from paryield.errors import InputError

GRACE = 60.0
"""Seconds that work which was asked to stop has to keep what it has."""
CLOSING = 5.0
"""The same when the desk is closing."""
KINDS = {"fit": "Fit", "quick": "Rough fit"}
"""Kinds of work by name, as the pages call them."""


@dataclass(frozen=True)
class Progress:
    """How far a piece of work is.

    ``share`` is between 0 and 1, None where it cannot be told; ``state`` is running, done, failed or
    stopped; ``line`` is the stage, or the outcome in one line.
    """

    kind: str
    state: str
    line: str
    share: float | None
    seconds: float

    @property
    def running(self) -> bool:
        """Whether it is still going on."""
        return self.state == "running"


class Work:
    """At most one process at work for a club."""

    def __init__(self, where: str) -> None:
        self.where = where
        self._lock = threading.Lock()
        self._process: subprocess.Popen[str] | None = None
        self._progress: Progress | None = None
        self._begun = 0.0
        self._asked = False

    def start(self, kind: str, who: str = COMMAND_LINE) -> None:
        """Start a piece of work; the audit trail names ``who`` for it.

        Raises
        ------
        InputError
            When another one is running, or there is no such kind.
        """
        if kind not in KINDS:
            raise InputError(f"there is no work {kind!r}", remedy=f"use {' or '.join(KINDS)}")
        with self._lock:
            if self._progress is not None and self._progress.running:
                raise InputError("a fit is running already", remedy="wait for it, or stop it first")
            command = [sys.executable, "-m", "paryield.desk.worker", kind, self.where, who]
            process = subprocess.Popen(
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
            )
            self._process, self._begun, self._asked = process, time.monotonic(), False
            self._progress = Progress(kind, "running", "starting", None, 0.0)
            threading.Thread(target=self._watch, args=(process, kind), daemon=True).start()

    def stop(self) -> None:
        """Ask what is running to stop and keep what it has; after :data:`GRACE` seconds it is ended."""
        process = self._ask()
        if process is not None:
            threading.Thread(target=_end, args=(process, GRACE), daemon=True).start()

    def close(self) -> None:
        """Stop everything, for the desk is closing."""
        process = self._ask()
        if process is not None:
            _end(process, CLOSING)

    def _ask(self) -> subprocess.Popen[str] | None:
        """Ask the process to stop and return it, None where none is running."""
        with self._lock:
            if self._process is None or self._progress is None or not self._progress.running:
                return None
            self._progress = replace(self._progress, line="stopping; it keeps what it has", share=None)
            self._asked, process = True, self._process
        # A process that has just ended does not listen any more.
        with contextlib.suppress(OSError, ValueError):
            assert process.stdin is not None
            process.stdin.write("stop\n")
            process.stdin.flush()
        return process

    def progress(self) -> Progress | None:
        """Return how far the present or last work is, None when there was none."""
        with self._lock:
            if self._progress is not None and self._progress.running:
                return replace(self._progress, seconds=time.monotonic() - self._begun)
            return self._progress

    def _watch(self, process: subprocess.Popen[str], kind: str) -> None:
        assert process.stdout is not None
        for text in process.stdout:
            with contextlib.suppress(json.JSONDecodeError, KeyError, TypeError):
                said = json.loads(text)
                self._note(process, Progress(kind, said["state"], said["line"], said["share"], 0.0))
        code = process.wait()
        process.stdout.close()
        with contextlib.suppress(OSError):
            assert process.stdin is not None
            process.stdin.close()
        ended = Progress(kind, "failed", f"it ended unexpectedly (code {code})", None, 0.0)
        stopped = Progress(kind, "stopped", "stopped; nothing was stored", None, 0.0)
        self._note(process, stopped if self._asked else ended)

    def _note(self, process: subprocess.Popen[str], found: Progress) -> None:
        with self._lock:
            if process is self._process and self._progress is not None and self._progress.running:
                if self._asked and found.running:
                    return
                self._progress = replace(found, seconds=time.monotonic() - self._begun)


def _end(process: subprocess.Popen[str], seconds: float) -> None:
    """Give a process some seconds to end by itself, then end it."""
    for end in (process.terminate, process.kill):
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(timeout=seconds)
            return
        end()
        seconds = min(seconds, CLOSING)
