"""Tests: what to measure, who is due, and what past tests show."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from paryield.commands.shared import Golfer, Json, Where, answer, app, as_day


@app.command("tests")
def routine(
    club: Where,
    golfer: Golfer = None,
    minutes: Annotated[float, typer.Option(metavar="M", help="Minutes of testing a week.")] = 10.0,
    due: Annotated[
        date | None, typer.Option(metavar="DATE", parser=as_day, help="Day to be tested; default today.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Say what to test, and who is due.

    What each test would tell a minute; with --golfer also what past tests show.
    """
    from paryield.club import Club
    from paryield.plan.measured import measured_tests
    from paryield.plan.testing import routines, sound_fit
    from paryield.report.testing_words import measured_lines, routine_lines

    with Club.open(club) as opened:
        tables = opened.tables()
        found = routines(tables, sound_fit(opened), golfer=golfer, minutes=minutes, on=due)
    shown = [] if golfer is None else measured_tests(tables, golfer)
    records = [record for routine in found for record in routine.records()]
    for record in records if golfer is not None else ():
        record["measured"] = [one.record() for one in shown if one.kind == record["kind"]]
    lines = routine_lines(found)
    answer(as_json, records, lines if golfer is None else [*lines, *measured_lines(shown)])
