"""Plans on record: listed, side by side, taken over and ended."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from paryield.commands.shared import Golfer, Json, Where, answer, app, as_day


@app.command()
def plans(
    club: Where,
    golfer: Golfer = None,
    plan: Annotated[
        list[str] | None, typer.Option(metavar="NAME", help="Open these plans, side by side; repeatable.")
    ] = None,
    take: Annotated[
        str | None, typer.Option(metavar="NAME", help="Take over this plan as another one, see --as.")
    ] = None,
    whose: Annotated[
        str | None, typer.Option("--of", metavar="ID", help="Whose plan is taken over; default --golfer.")
    ] = None,
    called: Annotated[
        str | None, typer.Option("--as", metavar="NAME", help="Name of the plan that takes over.")
    ] = None,
    end: Annotated[str | None, typer.Option(metavar="NAME", help="End this plan.")] = None,
    on: Annotated[
        date | None,
        typer.Option(metavar="DATE", parser=as_day, help="First or last day; default the last of the data."),
    ] = None,
    as_json: Json = False,
) -> None:
    """List saved plans, take over, or end them.

    With --plan, the hours of several side by side; --take puts one on record for another golfer or other
    weeks, --end gives one a last day. Either can be taken back on the page Log.
    """
    from paryield.club import Club
    from paryield.errors import InputError
    from paryield.forecast.current import as_of_date
    from paryield.plan.saved import ended, saved_plans, taken_over
    from paryield.report.saved_lines import beside_lines, saved_lines

    with Club.open(club) as opened:
        tables = opened.tables()
        day = on or as_of_date(tables)
        shown = tuple(plan or ())
        if take is not None:
            if golfer is None:
                raise InputError("nobody takes the plan over", where="--take", remedy="give --golfer")
            source = golfer if whose is None else opened.golfer_called(whose)
            name = called or take
            rows = taken_over(tables, take, source, name=name, golfer=golfer, start=day)
            opened.import_tables({"plans": rows}, undoable=True)
            shown = (name,)
        elif end is not None:
            rows = ended(tables, end, day, golfer=golfer)
            opened.import_tables({"plans": rows}, replace=True, undoable=True)
            shown = (end,)
        found = saved_plans(opened.tables(), day, golfer=golfer, plans=shown)
    records = [one.record() for one in found]
    answer(as_json, records, beside_lines(records) if shown else saved_lines(records))
