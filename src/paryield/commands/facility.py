"""What a facility's programme did."""

from __future__ import annotations

from typing import Annotated

import typer

from paryield.commands.shared import Anyway, Json, Where, answer, app, banner


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
