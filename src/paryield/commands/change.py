"""What a change came from, and what would settle an open question."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from paryield.commands.shared import Anyway, Golfer, Json, Where, answer, app, as_day, banner, meant


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
        found = split_of(opened, opened.golfer_called(golfer), since=since, until=until, anyway=anyway)
    banner(found.banner)
    answer(as_json, found.records, split_lines(found.records, found.notes))


@app.command()
def block(
    club: Where,
    golfer: Golfer = None,
    weeks: Annotated[int, typer.Option(min=2, max=52, help="Length of the block.")] = 12,
    since_run: Annotated[
        int | None,
        typer.Option(min=1, metavar="RUN", help="Say what was learnt since an earlier run instead."),
    ] = None,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Find the practice change that tells most.

    Which weeks of changed practice would best tell which area is best, and what they would cost: for one
    golfer, or for the club with its members taking turns. After the block, --since-run says what was learnt.
    """
    from paryield.club import Club
    from paryield.plan import block as block_of
    from paryield.plan.learnt import learnt
    from paryield.report.change_lines import block_lines, learnt_lines

    with Club.open(club) as opened:
        golfer = meant(opened, golfer)
        if since_run is None:
            found = block_of(opened, golfer=golfer, weeks=weeks, anyway=anyway)
            records, lines, top = found.records, block_lines(found.records), found.banner
        else:
            records, top = learnt(opened, since_run, golfer=golfer, anyway=anyway)
            lines = learnt_lines(records)
    banner(top)
    answer(as_json, records, lines)
