"""What every command shares: the application, its options, and how an answer is printed."""

from __future__ import annotations

import json
import os
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup

from paryield.commands.documents import DOCUMENTS
from paryield.errors import ParyieldError
from paryield.units import counted

WIDTH = 80
"""Columns of a terminal that a sentence takes at most."""


class Grouped(TyperGroup):
    """The commands under the headings of the reference, each with its line."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write the commands, group by group."""
        widest = max(map(len, self.commands))
        for group in dict.fromkeys(one.group for one in DOCUMENTS.values()):
            names = [name for name, one in DOCUMENTS.items() if one.group == group and name in self.commands]
            with formatter.section(group):
                formatter.write_dl(
                    [(f"{name:{widest}}", self.commands[name].get_short_help_str(60)) for name in names]
                )


MAKES_A_CLUB = ("import",)
"""Commands whose club need not exist yet."""
FINDS_HIM = ("erase",)
"""Commands that also know golfers of whom old rows alone speak."""


class Checked(TyperCommand):
    """A command whose club exists and whose golfer is known before anything large is loaded."""

    def invoke(self, ctx: Any) -> Any:
        """Refuse a club file that is none, turn a golfer's name into his id, and run the command."""
        given = ctx.params
        club, golfer = given.get("club"), given.get("golfer")
        if club is not None and self.name not in MAKES_A_CLUB and not given.get("new"):
            from paryield.club.opened import OpenedClub
            from paryield.club.sqlite import check_file

            if "://" not in club:
                check_file(Path(club))
            if isinstance(golfer, str) and self.name not in FINDS_HIM:
                with OpenedClub.open(club) as opened:
                    given["golfer"] = opened.golfer_called(golfer)
        return super().invoke(ctx)


class Commands(typer.Typer):
    """An application whose commands are all checked."""

    def command(self, name: str | None = None, **more: Any) -> Any:
        """Register a command."""
        return super().command(name, cls=Checked, **more)


app = Commands(cls=Grouped, add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)

Where = Annotated[str, typer.Argument(metavar="CLUB", help="Path of the club file, or a database URL.")]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]
Golfer = Annotated[
    str | None, typer.Option("--golfer", metavar="ID", help="Only this golfer: an id, or a name.")
]
Anyway = Annotated[bool, typer.Option("--anyway", help="Answer, under a banner, from a fit that is unsound.")]


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        print(f"paryield {version('paryield')}")
        raise typer.Exit


@app.callback()
def paryield(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and exit.")
    ] = False,
) -> None:
    """What golf practice pays: forecasts and returns by practice area, with their spread."""


def say(line: str, prefix: str = "paryield: ") -> None:
    print(f"{prefix}{' '.join(line.split())}", file=sys.stderr)


def print_json(document: Any) -> None:
    _print([json.dumps(_plain(document), allow_nan=False, default=str)])


def _print(lines: Iterable[str]) -> None:
    try:
        for line in lines:
            print(line)
        sys.stdout.flush()
    except BrokenPipeError:  # whoever reads has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return None if isinstance(value, float) and not abs(value) < float("inf") else value


def broken(lines: Iterable[str], width: int = WIDTH) -> Iterator[str]:
    """Yield lines with sentences broken at a width; rows of tables, whose cells stand apart, stay whole."""
    for line in lines:
        if len(line) <= width or "  " in line.strip():
            yield line
        else:
            yield from textwrap.wrap(
                line, width, subsequent_indent="  ", break_long_words=False, break_on_hyphens=False
            )


def answer(as_json: bool, document: Any, lines: Iterable[str], error: ParyieldError | None = None) -> None:
    """Print an answer; with an error, the answer stands all the same and the exit code is the error's."""
    if as_json:
        print_json(document if error is None else document | {"error": error.to_dict()})
    else:
        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(errors="replace")
        _print(broken(lines) if sys.stdout.isatty() else lines)
    if error is not None:
        say(error.line())
        raise typer.Exit(error.exit_code)


def banner(text: str) -> None:
    if text:
        say(text)


@contextmanager
def telling(what: str) -> Iterator[Callable[[int, int, str], None] | None]:
    """Give a function that shows on a terminal how far work is (done, of how many, what is next)."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    look = (TextColumn("{task.description}"), BarColumn(bar_width=20), MofNCompleteColumn())
    with Progress(*look, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task(what)

        def tell(done: int, whole: int, about: str) -> None:
            shown.update(task, completed=done, total=whole, description=" ".join(about.split())[:30])

        yield tell


def written(as_json: bool, folder: Path, files: Sequence[Path]) -> None:
    names = ", ".join(str(file.relative_to(folder)) for file in files)
    document = {"folder": str(folder), "files": [str(file) for file in files]}
    answer(as_json, document, [f"{counted(len(files), 'file')} in {folder}: {names}"])


def as_day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise typer.BadParameter(f"{text!r} is not a date; write it as 2026-06-01") from None


def as_index(text: str) -> float:
    try:
        value = float(text.lstrip("+").replace(",", "."))
    except ValueError:
        raise typer.BadParameter(
            f"{text!r} is not an index; write 11.4, or +2.1 for a plus handicap"
        ) from None
    if not -10 <= value <= 54:
        raise typer.BadParameter(f"{text!r} is not an index; it lies between +10 and 54")
    return -value if text.startswith("+") else value
