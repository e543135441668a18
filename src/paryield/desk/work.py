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
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
            )
            self._process, self._begun = process, time.monotonic()
            self._progress = Progress(kind, "running", "starting", None, 0.0)
            threading.Thread(target=self._watch, args=(process, kind), daemon=True).start()

    def stop(self) -> None:
        """Stop what is running; nothing of it is stored."""
        with self._lock:
            if self._process is None or self._progress is None or not self._progress.running:
                return
            self._progress = replace(self._progress, state="stopped", line="stopped; nothing was stored")
            process = self._process
        process.terminate()
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(timeout=5)
            return
        process.kill()

    def close(self) -> None:
        """Stop everything, for the desk is closing."""
        self.stop()

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
        self._note(process, Progress(kind, "failed", f"it ended unexpectedly (code {code})", None, 0.0))

    def _note(self, process: subprocess.Popen[str], found: Progress) -> None:
        with self._lock:
            if process is self._process and self._progress is not None and self._progress.running:
                self._progress = replace(found, seconds=time.monotonic() - self._begun)
