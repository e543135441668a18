"""What a facility's programme did, and all the clubs of a chain."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from paryield.commands.shared import Anyway, Json, Where, answer, app, as_day, banner, say
from paryield.errors import InputError

if TYPE_CHECKING:
    from paryield.club import Club


@app.command()
def programme(
    club: Where,
    name: Annotated[str | None, typer.Option(metavar="NAME", help="Only this programme.")] = None,
    design: Annotated[
        bool, typer.Option("--design", help="How many members and months it takes to see an effect.")
    ] = False,
    cost: Annotated[
        float | None, typer.Option(min=0, metavar="AMOUNT", help="Cost of one member's place.")
    ] = None,
    places: Annotated[
        int | None, typer.Option(min=1, metavar="N", help="Draw N places by lot, and put the lot on record.")
    ] = None,
    among: Annotated[
        list[str] | None, typer.Option(metavar="ID", help="Who wants a place; repeatable, default everybody.")
    ] = None,
    start: Annotated[
        date | None, typer.Option(metavar="DATE", parser=as_day, help="When the places begin.")
    ] = None,
    seed: Annotated[int, typer.Option(min=0, help="Of the lot.")] = 1,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Say whether a programme worked.

    Against what would have happened anyway; small groups are hidden. Where places are short, --places draws
    them by lot, and those who wait are the comparison.
    """
    from paryield.club import Club
    from paryield.programme import design as design_of
    from paryield.programme import programme as programme_of
    from paryield.report.programme_lines import design_lines, places_lines, programme_lines

    with Club.open(club) as opened:
        if places is not None:
            drawn = _places(opened, name, places, among, start, seed, anyway)
            answer(as_json, [drawn], places_lines(drawn))
            return
        if design:
            rows = design_of(opened, anyway=anyway)
            answer(as_json, rows, design_lines(rows))
            return
        found = programme_of(opened, name=name, anyway=anyway, cost=cost)
    banner(found.banner)
    answer(as_json, found.records, programme_lines(found.records, found.notes))


def _places(
    club: Club,
    name: str | None,
    places: int,
    among: list[str] | None,
    start: date | None,
    seed: int,
    anyway: bool,
) -> dict[str, Any]:
    """Draw places by lot, from the fit that answers come from."""
    from paryield.forecast import gate
    from paryield.posterior.current import stored_fit
    from paryield.programme.places import start_places

    if name is None or start is None:
        raise InputError(
            "a lot needs a programme and a day", where="--places", remedy="give --name and --start"
        )
    _, posterior = stored_fit(club)
    banner(gate(posterior, anyway))
    return start_places(club, posterior, name, places, among or posterior.golfers, start, seed)


@app.command()
def chain(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of club files (.db).")],
    workers: Annotated[str, typer.Option(help="Clubs at a time, or the address of a Dask scheduler.")] = "2",
    out: Annotated[
        Path, typer.Option(metavar="DIR", help="Folder for page, workbook and what was learnt.")
    ] = Path("chain"),
    sample: Annotated[
        int, typer.Option(min=20, max=1000, help="Most golfers a club's population is learnt from.")
    ] = 60,
    quick: Annotated[bool, typer.Option("--quick", help="Rough fits with few draws; marked so.")] = False,
    as_json: Json = False,
) -> None:
    """Bring all clubs of a folder up to date.

    Clubs with new rows are fitted, each starting from what the others have learnt; a chain that was stopped
    goes on where it was. One page and one workbook for the board.
    """
    from dataclasses import asdict

    from paryield.evaluate.chain import chain as chain_of
    from paryield.report.chain_page import chain_lines, club_line, write_board

    told = None if as_json or not sys.stderr.isatty() else lambda one: say(club_line(one))
    found = chain_of(folder, out, workers=workers, quick=quick, sample=sample, progress=told)
    files = write_board(found, out.expanduser())
    document = asdict(found) | {"rate": found.rate, "files": [str(file) for file in files]}
    answer(as_json, document, [*chain_lines(found), f"Wrote {', '.join(map(str, files))}."])
