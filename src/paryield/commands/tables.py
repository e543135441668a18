"""Tables in and out of the club file."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from paryield.commands.shared import Golfer, Json, Where, answer, app, say, written
from paryield.errors import InputError
from paryield.units import counted


@app.command()
def check(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of CSV or XLSX tables.")],
    as_json: Json = False,
) -> None:
    """List every problem of a folder of tables.

    Stores nothing; each problem names file, row, column, value and what to do.
    """
    from paryield.report import console
    from paryield.rounds import with_values_left_out
    from paryield.tables import read_folder

    found = with_values_left_out(read_folder(folder))
    document, lines = console.check_answer(found)
    error = InputError(
        f"{counted(len(found.errors), 'error')}", where=str(folder), remedy="correct the rows listed"
    )
    answer(as_json, document, lines, error if found.errors else None)


@app.command("import")
def import_(
    club: Where,
    folder: Annotated[
        str, typer.Argument(metavar="FOLDER", help="Folder of CSV or XLSX tables, or a database URL.")
    ],
    keep_good: Annotated[bool, typer.Option(help="Store the good rows although others have errors.")] = False,
    replace: Annotated[bool, typer.Option(help="Let rows with a known key replace those stored.")] = False,
    replace_changed: Annotated[
        bool, typer.Option(help="Also those that were changed by hand since they were read from a sheet.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Check a folder and store it in the club.

    All or nothing; the same folder again changes nothing. Of a database, its tables and views that are
    called as ours are read.
    """
    from paryield.club import Club
    from paryield.club.sources import ALL
    from paryield.club.staying import TAKEN
    from paryield.report import console

    with Club.open(club, create=True) as opened:
        over: bool = replace or replace_changed
        if "://" in folder:
            receipt = opened.import_database(folder, keep_good=keep_good, replace=over)
        else:
            take = ALL if replace_changed else TAKEN
            receipt = opened.import_folder(folder, keep_good=keep_good, replace=over, take=take)
    for problem in receipt.problems:
        say(problem.line(), prefix=f"{problem.severity}: ")
    answer(as_json, *console.import_answer(club, receipt))


@app.command()
def export(
    club: Where,
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="A new or empty folder.")],
    format: Annotated[str, typer.Option(help="csv or xlsx.")] = "csv",
    golfer: Annotated[
        str | None, typer.Option(metavar="ID", help="All data of this person, and nobody else's.")
    ] = None,
    anyway: Annotated[bool, typer.Option("--anyway", help="Also what a damaged club still holds.")] = False,
    as_json: Json = False,
) -> None:
    """Write all tables out again.

    They are the tables that an import reads. Of one person: limits, plans, earlier values, and who saw what.
    """
    from paryield.club import Club

    with Club.open(club) as opened:
        files = opened.export(folder, format, golfer, anyway=anyway)
    written(as_json, folder, files)


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
    answer(as_json, {"file": str(file), "bytes": size}, [f"Copied {club} to {file} ({size} bytes)."])


@app.command()
def erase(
    club: Where,
    golfer: Annotated[str, typer.Option(metavar="ID", help="Who is to be erased: an id, or a name.")],
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask on a terminal.")] = False,
    as_json: Json = False,
) -> None:
    """Erase one person, with a receipt.

    From every table, the history of imports and the stored fits.
    """
    from paryield.club import Club
    from paryield.report import console

    with Club.open(club) as opened:
        whom = opened.erasable(golfer)
        if not (yes or as_json) and sys.stdin.isatty():
            question = f"Erase all records of {whom} ({golfer}) from {club}? There is no way back"
            if not typer.confirm(question, err=True):
                say("nothing was erased")
                return
        receipt = opened.erase(whom)
    answer(as_json, receipt.to_dict(), console.erase_lines(receipt.to_dict()))


@app.command()
def audit(club: Where, golfer: Golfer = None, as_json: Json = False) -> None:
    """Show who saw and changed what.

    Without names and values; a golfer stands in it under a random mark.
    """
    from paryield.club import Club
    from paryield.report import console

    with Club.open(club) as opened:
        lines = opened.audit(golfer).astype(object)
        lines = lines.where(lines.notna(), None)
        found = [dict(zip(lines.columns, line, strict=True)) for line in lines.to_numpy()]
    answer(as_json, found, console.audit_lines(found))


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
    written(as_json, folder, write_club(made, folder))
