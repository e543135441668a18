"""The command line: runs one command and turns every error into one line and an exit code."""

from __future__ import annotations

import os
import sys
import traceback
import warnings
from collections.abc import Sequence
from typing import Any

import typer

from paryield.commands import (  # noqa: F401  (they register themselves)
    adopting,
    answers,
    change,
    desk,
    facility,
    fits,
    plans,
    records,
    reference,
    saved,
    tables,
    testing,
    trust,
)
from paryield.commands.shared import app, print_json, say
from paryield.errors import InputError, InternalError, Notice, ParyieldError

INSTALL = "pip install 'paryield[full]' (in a clone of the repository: pip install '.[full]')"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0 fine, 1 our fault, 2 bad input or usage, 3 not reportable; one line on standard error says which
    and why, and with ``--json`` the same stands as one document on standard output.

    Parameters
    ----------
    arguments : sequence of str, optional
        Words of the command line; those of the process when None.
    """
    words = list(sys.argv[1:] if arguments is None else arguments)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        warnings.filterwarnings("always", category=Notice)
        said: set[str] = set()
        warnings.showwarning = lambda message, *_rest, **_more: _note(str(message), said)
        try:
            return int(app(words, prog_name="paryield", standalone_mode=False) or 0)
        except Exception as error:
            return _fail(error, as_json="--json" in words)


def _fail(error: Exception, *, as_json: bool) -> int:
    if os.environ.get("PARYIELD_TRACEBACK") == "1":
        traceback.print_exception(error)
    shown = _as_ours(error)
    problems = list(getattr(error, "problems", ()))
    for problem in problems:
        say(problem.line(), prefix=f"{problem.severity}: ")
    say(shown.line())
    if as_json:
        document: dict[str, Any] = {"error": shown.to_dict()}
        if problems:
            document["error"]["problems"] = [problem.to_dict() for problem in problems]
        print_json(document)
    return shown.exit_code


def _as_ours(error: Exception) -> ParyieldError:
    if isinstance(error, ParyieldError):
        return error
    if isinstance(error, typer.TyperException):
        remedy = "paryield --help lists the commands, paryield COMMAND --help their options"
        return InputError(error.format_message().rstrip("."), where="usage", remedy=remedy)
    if isinstance(error, typer.Abort):
        return InternalError("stopped before the end")
    if isinstance(error, ModuleNotFoundError) and (missing := _library(error.name)):
        return InputError(f"{missing} is not installed, and this command needs it", remedy=INSTALL)
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    return InternalError(
        f"something went wrong that should not ({what})",
        remedy="set PARYIELD_TRACEBACK=1 to see where, and report it",
    )


def _library(module: str | None) -> str:
    """Return the library that a module is of; empty for a module of our own, whose absence is our fault."""
    top = (module or "").partition(".")[0]
    return "" if top == "paryield" else top


def _note(line: str, said: set[str]) -> None:
    if line not in said:
        said.add(line)
        say(f"note: {line}")


if __name__ == "__main__":
    sys.exit(main())
