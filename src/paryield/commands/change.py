"""What a change came from, and what would settle an open question."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from paryield.commands.shared import Anyway, Json, Where, answer, app, as_day, banner


@app.command()
def split(
    club: Where,
    golfer: Annotated[str, typer.Option(metavar="ID", help="Whose change.")],
    since: Annotated[
        date | None,
        typer.Option("--from", metavar="DATE", parser=as_day, help="First day; default 6 weeks before --to."),
    ] = None,
    until: Annotated[
        date | None,
        typer.Option("--to", metavar="DATE", parser=as_day, help="Last day; default that of the data."),
    ] = None,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Say what a golfer's change came from.

    Practice by category, change without practice, season, return to the usual level, courses and luck.
    """
    from paryield.club import Club
    from paryield.plan import split as split_of
    from paryield.report.change_lines import split_lines

    with Club.open(club) as opened:
        found = split_of(opened, golfer, since=since, until=until, anyway=anyway)
    banner(found.banner)
    answer(as_json, found.records, split_lines(found.records, found.notes))
