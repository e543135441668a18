"""What a change came from, and what would settle an open question."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from paryield.commands.shared import (
    Anyway,
    Golfer,
    Json,
    Where,
    answer,
    app,
    as_day,
    banner,
    written,
)


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
    weeks: Annotated[
        int | None, typer.Option(min=2, max=52, help="Length of the block, or of each emphasis.")
    ] = None,
    share: Annotated[
        float, typer.Option(metavar="SHARE", help="Share of the hours on an emphasis, 0.6 to 0.8.")
    ] = 0.7,
    start: Annotated[
        date | None,
        typer.Option(metavar="DATE", parser=as_day, help="Put the season on record from this day, as plans."),
    ] = None,
    tests_every: Annotated[
        int | None, typer.Option(min=1, max=8, help="Weeks between a member's tests of each area.")
    ] = None,
    seed: Annotated[int | None, typer.Option(min=0, help="Of the lot; default that of the fit.")] = None,
    sheets: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Write the members' sheets of the season on record.")
    ] = None,
    progress: Annotated[
        bool, typer.Option("--progress", help="Who keeps to the season on record; who is due for a test.")
    ] = False,
    result: Annotated[bool, typer.Option("--result", help="What the season on record told.")] = False,
    since_run: Annotated[
        int | None,
        typer.Option(min=1, metavar="RUN", help="Say what was learnt since an earlier run instead."),
    ] = None,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Lay out a season that tells what pays.

    Emphases of 8 to 13 weeks whose order is drawn by lot, so that everybody gets each of them: what the
    season will tell and cost, before anybody starts. --start puts it on record, --progress follows it,
    --result answers it. With --golfer, the cheapest block that would tell one golfer most.
    """
    from paryield.club import Club
    from paryield.plan import block as block_of
    from paryield.plan.options import learnt
    from paryield.plan.season import answer as seasons
    from paryield.plan.season.layout import Asked
    from paryield.report import season_lines
    from paryield.report.change_lines import block_lines, learnt_lines
    from paryield.report.season_sheets import write_sheets

    with Club.open(club) as opened:
        if sheets is not None:
            return written(as_json, sheets, write_sheets(opened, sheets))
        if progress:
            records, top = seasons.season_progress(opened), ""
            lines = season_lines.progress_lines(records)
        elif result:
            records, top = seasons.season_answer(opened, anyway=anyway)
            lines = season_lines.result_lines(records)
        elif since_run is not None:
            records, top = learnt(opened, since_run, golfer=golfer, anyway=anyway)
            lines = learnt_lines(records)
        elif start is not None:
            records, top = seasons.start_season(opened, Asked(weeks, share, start, seed), tests_every, anyway)
            lines = season_lines.started_lines(records[0])
        else:
            asked = Asked(weeks, share, None, seed) if golfer is None else None
            found = block_of(opened, golfer=golfer, weeks=weeks, anyway=anyway, asked=asked)
            records, top = found.records, found.banner
            lines = season_lines.season_lines(records) if golfer is None else block_lines(records)
    banner(top)
    answer(as_json, records, lines)
