"""What a facility's programme did, and all the clubs of a chain."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from paryield.commands.shared import Anyway, Json, Where, answer, app, banner, say


@app.command()
def programme(
    club: Where,
    name: Annotated[str | None, typer.Option(metavar="NAME", help="Only this programme.")] = None,
    design: Annotated[
        bool, typer.Option("--design", help="How many members and months it takes to see an effect.")
    ] = False,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Say whether a programme worked.

    Against what would have happened anyway; small groups are hidden.
    """
    from paryield.club import Club
    from paryield.programme import design as design_of
    from paryield.programme import programme as programme_of
    from paryield.report.programme_lines import design_lines, programme_lines

    with Club.open(club) as opened:
        if design:
            rows = design_of(opened, anyway=anyway)
            answer(as_json, rows, design_lines(rows))
            return
        found = programme_of(opened, name=name, anyway=anyway)
    banner(found.banner)
    answer(as_json, found.records, programme_lines(found.records, found.notes))


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
