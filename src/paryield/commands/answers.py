"""Answers from a stored fit, and the documents made of them."""

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
    as_index,
    banner,
    telling,
    written,
)


@app.command()
def forecast(
    club: Where,
    golfer: Golfer = None,
    weeks: Annotated[list[int] | None, typer.Option(min=0, max=104, help="Weeks ahead; repeatable.")] = None,
    plan: Annotated[str | None, typer.Option(metavar="NAME", help="A plan of the plans table.")] = None,
    rounds_per_month: Annotated[
        float | None, typer.Option(min=0, help="Instead of the golfer's own.")
    ] = None,
    goal: Annotated[float | None, typer.Option(metavar="INDEX", parser=as_index, help="Goal index.")] = None,
    by: Annotated[date | None, typer.Option(metavar="DATE", parser=as_day, help="Date of the goal.")] = None,
    as_of: Annotated[
        date | None, typer.Option(metavar="DATE", parser=as_day, help="Day to count from.")
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
    banner(found.banner)
    answer(as_json, found.records, console.forecast_lines(found.records, found.notes))


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
    banner(found.banner)
    answer(as_json, found.records, console.returns_lines(found.records, STANDING_CAUTIONS))


@app.command()
def areas(club: Where, golfer: Golfer = None, anyway: Anyway = False, as_json: Json = False) -> None:
    """Say where strokes are lost, by scoring area.

    Against golfers of the same index and of the goal index, with what the answer rests on.
    """
    from paryield.club import Club
    from paryield.forecast import areas as areas_of
    from paryield.report import console

    with Club.open(club) as opened:
        found = areas_of(opened, golfer=golfer, anyway=anyway)
    banner(found.banner)
    answer(as_json, found.records, console.areas_lines(found.records))


@app.command()
def report(
    club: Where,
    audience: Annotated[
        str,
        typer.Argument(
            metavar="AUDIENCE", help="golfer (a page each), coach, week (a card each), facility, or tests."
        ),
    ],
    golfer: Golfer = None,
    format: Annotated[str, typer.Option(help="html or pdf; xlsx for the facility.")] = "html",
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for the pages.")] = Path("reports"),
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Write pages, or sheets of due tests."""
    from paryield.club import Club
    from paryield.report.write import report as write_report

    with Club.open(club) as opened:
        with telling("report") as tell:
            files = write_report(
                opened, audience, golfer=golfer, format=format, out=out, anyway=anyway, tell=tell
            )
        opened.note_copy("report", out, golfer)
    written(as_json, out, files)
