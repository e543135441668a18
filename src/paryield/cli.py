"""The command line: parse, call, print. Each command is a thin layer over one public function."""

from __future__ import annotations

import json
import os
import sys
import traceback
import warnings
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Annotated, Any

import typer

from paryield.errors import InputError, InternalError, Notice, NotReportableError, ParyieldError

app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)

Where = Annotated[str, typer.Argument(metavar="CLUB", help="Path of the club file, or a database URL.")]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]
Golfer = Annotated[str | None, typer.Option("--golfer", metavar="ID", help="Only this golfer.")]
Anyway = Annotated[bool, typer.Option("--anyway", help="Answer, under a banner, from a fit that is unsound.")]


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
        _say(problem.line(), prefix=f"{problem.severity}: ")
    _say(shown.line())
    if as_json:
        document: dict[str, Any] = {"error": shown.to_dict()}
        if problems:
            document["error"]["problems"] = [problem.to_dict() for problem in problems]
        _print_json(document)
    return shown.exit_code


def _as_ours(error: Exception) -> ParyieldError:
    if isinstance(error, ParyieldError):
        return error
    if isinstance(error, typer.TyperException):
        remedy = "paryield --help lists the commands, paryield COMMAND --help their options"
        return InputError(error.format_message().rstrip("."), where="usage", remedy=remedy)
    if isinstance(error, typer.Abort):
        return InternalError("stopped before the end")
    what = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    return InternalError(
        f"something went wrong that should not ({what})",
        remedy="set PARYIELD_TRACEBACK=1 to see where, and report it",
    )


def _say(line: str, prefix: str = "paryield: ") -> None:
    print(f"{prefix}{' '.join(line.split())}", file=sys.stderr)


def _note(line: str, said: set[str]) -> None:
    if line not in said:
        said.add(line)
        _say(f"note: {line}")


def _print_json(document: Any) -> None:
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


def _answer(as_json: bool, document: Any, lines: Iterable[str], error: ParyieldError | None = None) -> None:
    """Print an answer; with an error, the answer stands all the same and the exit code is the error's."""
    if as_json:
        _print_json(document if error is None else document | {"error": error.to_dict()})
    else:
        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(errors="replace")
        _print(lines)
    if error is not None:
        _say(error.line())
        raise typer.Exit(error.exit_code)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise typer.BadParameter(f"{text!r} is not a date; write it as 2026-06-01") from None


def _index_value(text: str) -> float:
    try:
        value = float(text.lstrip("+").replace(",", "."))
    except ValueError:
        raise typer.BadParameter(
            f"{text!r} is not an index; write 11.4, or +2.1 for a plus handicap"
        ) from None
    if not -10 <= value <= 54:
        raise typer.BadParameter(f"{text!r} is not an index; it lies between +10 and 54")
    return -value if text.startswith("+") else value


@app.callback()
def paryield() -> None:
    """What golf practice pays: forecasts and returns by practice area, with their spread."""


@app.command()
def demo(
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder to make.")] = Path("paryield-demo"),
    as_json: Json = False,
) -> None:
    """Make, fit and answer a made-up club.

    Writes the club file and the pages of its reports, and says what to look at next.
    """
    from paryield.report import console
    from paryield.report.demo import make_demo

    done = make_demo(out, progress=sys.stderr.isatty() and not as_json, say=None if as_json else _say)
    shown = done.forecast.records[0]["golfer_id"]
    lines = [
        *console.forecast_lines([one for one in done.forecast.records if one["golfer_id"] == shown]),
        *console.returns_lines([one for one in done.returns.records if one["golfer_id"] == shown]),
        f"Look next: open {done.pages[-1]} in a browser; it leads to a page for each golfer.",
        f"Then ask more: paryield forecast {done.club}",
    ]
    error = NotReportableError("the demo's fit is not sound", remedy=f"see paryield health {done.club}")
    _answer(as_json, done.to_dict(), lines, None if done.health["ok"] else error)


@app.command()
def check(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of CSV or XLSX tables.")],
    as_json: Json = False,
) -> None:
    """List every problem of a folder of tables.

    Stores nothing; each problem names file, row, column, value and what to do.
    """
    from paryield.report import console
    from paryield.tables import read_folder

    found = read_folder(folder)
    document, lines = console.check_answer(found)
    error = InputError(f"{len(found.errors)} errors", where=str(folder), remedy="correct the rows listed")
    _answer(as_json, document, lines, error if found.errors else None)


@app.command("import")
def import_(
    club: Where,
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of CSV or XLSX tables.")],
    keep_good: Annotated[bool, typer.Option(help="Store the good rows although others have errors.")] = False,
    replace: Annotated[bool, typer.Option(help="Let rows with a known key replace those stored.")] = False,
    as_json: Json = False,
) -> None:
    """Check a folder and store it in the club.

    All or nothing; the same folder again changes nothing.
    """
    from paryield.club import Club
    from paryield.report import console

    with Club.open(club, create=True) as opened:
        receipt = opened.import_folder(folder, keep_good=keep_good, replace=replace)
    for problem in receipt.problems:
        _say(problem.line(), prefix=f"{problem.severity}: ")
    _answer(as_json, *console.import_answer(club, receipt))


@app.command()
def fit(
    club: Where,
    seed: Annotated[int | None, typer.Option(min=0, help="One seed gives one answer.")] = None,
    quick: Annotated[bool, typer.Option("--quick", help="Fewer draws, for a look; marked so.")] = False,
    as_json: Json = False,
) -> None:
    """Fit the model to the club; store the run."""
    from paryield.club import Club
    from paryield.model.command import fit as fit_club
    from paryield.report import console

    shown = sys.stderr.isatty() and not as_json
    with Club.open(club) as opened:
        receipt = fit_club(opened, seed, quick, progress=shown, say=_say if shown else None)
    _answer(as_json, receipt.to_dict(), console.fit_lines(receipt.to_dict(), club))


@app.command()
def health(club: Where, as_json: Json = False) -> None:
    """Say whether the newest run is sound.

    One line a quantity, with what to do where it is not.
    """
    from paryield.club import Club
    from paryield.posterior.current import health as health_of
    from paryield.report import console

    with Club.open(club) as opened:
        found = health_of(opened)
    error = NotReportableError(
        f"run {found['run']} does not pass the health gate", where=club, remedy="the lines say what to do"
    )
    _answer(as_json, found, console.health_report(found), None if found["ok"] else error)


@app.command()
def forecast(
    club: Where,
    golfer: Golfer = None,
    weeks: Annotated[list[int] | None, typer.Option(min=0, max=104, help="Weeks ahead; repeatable.")] = None,
    plan: Annotated[str | None, typer.Option(metavar="NAME", help="A plan of the plans table.")] = None,
    rounds_per_month: Annotated[
        float | None, typer.Option(min=0, help="Instead of the golfer's own.")
    ] = None,
    goal: Annotated[
        float | None, typer.Option(metavar="INDEX", parser=_index_value, help="Goal index.")
    ] = None,
    by: Annotated[date | None, typer.Option(metavar="DATE", parser=_day, help="Date of the goal.")] = None,
    as_of: Annotated[
        date | None, typer.Option(metavar="DATE", parser=_day, help="Day to count from.")
    ] = None,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Forecast level, one round and index.

    Under a plan, or by default practising as now.
    """
    from paryield.club import Club
    from paryield.forecast import forecast as forecast_of
    from paryield.report import console

    with Club.open(club) as opened:
        found = forecast_of(
            opened,
            golfer=golfer,
            weeks=tuple(weeks) if weeks else (4, 12, 26),
            plan=plan,
            rounds_per_month=rounds_per_month,
            goal=goal,
            by=by,
            as_of=as_of,
            anyway=anyway,
        )
    _banner(found.banner)
    _answer(as_json, found.records, console.forecast_lines(found.records, found.notes))


@app.command()
def returns(
    club: Where,
    golfer: Golfer = None,
    weeks: Annotated[int, typer.Option(min=1, max=104, help="Weeks the hour is kept up.")] = 12,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Say what one more weekly hour is worth.

    By practice category, in strokes saved a round, with the noise floor beside it.
    """
    from paryield.club import Club
    from paryield.plan import returns as returns_of
    from paryield.plan.cautions import STANDING_CAUTIONS
    from paryield.report import console

    with Club.open(club) as opened:
        found = returns_of(opened, golfer=golfer, weeks=weeks, anyway=anyway)
    _banner(found.banner)
    _answer(as_json, found.records, console.returns_lines(found.records, STANDING_CAUTIONS))


def _banner(text: str) -> None:
    if text:
        _say(text)


@app.command()
def report(
    club: Where,
    audience: Annotated[str, typer.Argument(metavar="AUDIENCE", help="golfer (a page each) or coach.")],
    golfer: Golfer = None,
    format: Annotated[str, typer.Option(help="Kind of file: html.")] = "html",
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for the pages.")] = Path("reports"),
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Write pages for a golfer or the coach."""
    from paryield.club import Club
    from paryield.report.write import report as write_report

    with Club.open(club) as opened:
        files = write_report(opened, audience, golfer=golfer, format=format, out=out, anyway=anyway)
    _files(as_json, out, files)


def _files(as_json: bool, folder: Path, files: Sequence[Path]) -> None:
    names = ", ".join(str(file.relative_to(folder)) for file in files)
    document = {"folder": str(folder), "files": [str(file) for file in files]}
    _answer(as_json, document, [f"{len(files)} files in {folder}: {names}"])


@app.command()
def index(club: Where, golfer: Golfer = None, as_json: Json = False) -> None:
    """Show the handicap record step by step."""
    from paryield.club import Club
    from paryield.report import console
    from paryield.scoring.listing import index_listing

    with Club.open(club) as opened:
        found = index_listing(opened.tables(), golfer)
    _answer(as_json, found, console.index_lines(found, golfer))


@app.command()
def putting(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="CSV or XLSX with distance_ft, tried and made.")
    ],
    as_json: Json = False,
) -> None:
    """Say what putts tried and made show of skill.

    Spread of direction and length, chances by distance, strokes lost a round.
    """
    from paryield.report import console
    from paryield.rounds import putting as putting_of

    skill = putting_of(file)
    for problem in skill.warnings:
        _say(problem.line(), prefix=f"{problem.severity}: ")
    _answer(as_json, *console.putting_answer(skill))


@app.command()
def synth(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder to write to.")],
    golfers: Annotated[int, typer.Option(min=1, max=1000, help="How many golfers.")] = 60,
    weeks: Annotated[int, typer.Option(min=1, max=520, help="Length of the record.")] = 78,
    seed: Annotated[int, typer.Option(min=0, help="One seed gives one club.")] = 1,
    case: Annotated[
        str, typer.Option(metavar="NAME", help="Kind of club, such as steady, weak or null.")
    ] = "steady",
    as_json: Json = False,
) -> None:
    """Make up a club, with its truth beside it."""
    from paryield.synth import ClubSpec, make_club, write_club

    made = make_club(ClubSpec(golfers=golfers, weeks=weeks, seed=seed, case=case))
    _files(as_json, folder, write_club(made, folder))


@app.command()
def export(
    club: Where,
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A new or empty folder.")],
    format: Annotated[str, typer.Option(help="csv or xlsx.")] = "csv",
    as_json: Json = False,
) -> None:
    """Write all tables out again.

    They are the tables that an import reads.
    """
    from paryield.club import Club

    with Club.open(club) as opened:
        files = opened.export(folder, format)
    _files(as_json, folder, files)


@app.command()
def backup(
    club: Where,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Path of the copy.")],
    as_json: Json = False,
) -> None:
    """Make a consistent copy of the club file."""
    from paryield.club import Club

    with Club.open(club) as opened:
        opened.backup(file)
    size = file.expanduser().stat().st_size
    _answer(as_json, {"file": str(file), "bytes": size}, [f"Copied {club} to {file} ({size} bytes)."])


@app.command()
def erase(
    club: Where,
    golfer: Annotated[str, typer.Option(metavar="ID", help="Who is to be erased.")],
    as_json: Json = False,
) -> None:
    """Erase one person, with a receipt.

    From every table, the history of imports and the stored fits.
    """
    from paryield.club import Club
    from paryield.report import console

    with Club.open(club) as opened:
        receipt = opened.erase(golfer)
    _answer(as_json, vars(receipt), console.erase_lines(vars(receipt)))


if __name__ == "__main__":
    sys.exit(main())
