"""Goals and plans: what can be reached, and the advised week."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from typing import Annotated

import typer

from paryield.commands.shared import Anyway, Golfer, Json, Where, answer, app, as_day, as_index, banner
from paryield.errors import InputError


class Aim(StrEnum):
    """What the advised week is for."""

    likely = "likely"
    safe = "safe"
    learn = "learn"


@app.command()
def plan(
    club: Where,
    golfer: Golfer = None,
    hours: Annotated[
        float | None, typer.Option(metavar="H", help="Hours a week; default those on file, else as now.")
    ] = None,
    weeks: Annotated[int, typer.Option(min=1, max=104, help="Weeks the plan is kept up.")] = 12,
    aim: Annotated[Aim, typer.Option(help="What the week is for.")] = Aim.likely,
    floor: Annotated[
        list[str] | None, typer.Option(metavar="CAT=H", help="Least hours of a category; repeatable.")
    ] = None,
    ceiling: Annotated[
        list[str] | None, typer.Option(metavar="CAT=H", help="Most hours of a category; repeatable.")
    ] = None,
    lock: Annotated[
        list[str] | None,
        typer.Option(metavar="CAT=NxMIN", help="Sessions and minutes to keep, as 2x40; repeatable."),
    ] = None,
    free: Annotated[bool, typer.Option("--free", help="Leave the range of past habits.")] = False,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Advise a week, against the present one.

    Hours by practice category in whole sessions, with the chance that the change pays.
    """
    from paryield.club import Club
    from paryield.plan import plan as plan_of
    from paryield.report.plan_lines import plan_lines

    with Club.open(club) as opened:
        found = plan_of(
            opened,
            golfer=golfer,
            hours=hours,
            weeks=weeks,
            aim=aim.value,
            floors=_hours(floor, "--floor"),
            ceilings=_hours(ceiling, "--ceiling"),
            locks=_sessions(lock),
            free=free,
            anyway=anyway,
        )
    banner(found.banner)
    answer(as_json, found.records, plan_lines(found.records))


@app.command()
def goals(
    club: Where,
    golfer: Golfer = None,
    weeks: Annotated[list[int] | None, typer.Option(min=1, max=104, help="Weeks ahead; repeatable.")] = None,
    hours: Annotated[
        float | None,
        typer.Option(metavar="H", help="Hours a week, split as in the present week; default its own."),
    ] = None,
    goal: Annotated[
        float | None, typer.Option(metavar="INDEX", parser=as_index, help="Goal; default that on file.")
    ] = None,
    by: Annotated[date | None, typer.Option(metavar="DATE", parser=as_day, help="Date of the goal.")] = None,
    rounds_per_month: Annotated[
        float | None, typer.Option(min=0, help="Instead of the golfer's own.")
    ] = None,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Say what can be reached, on what hours.

    Index reached with 8, 5 and 2 chances in 10, and the weekly hours for an even chance of a goal.
    """
    from paryield.club import Club
    from paryield.forecast.goals import DEFAULT_WEEKS
    from paryield.forecast.goals import goals as goals_of
    from paryield.report.console import UNOFFICIAL
    from paryield.report.goal_words import goals_lines

    with Club.open(club) as opened:
        found = goals_of(
            opened,
            golfer=golfer,
            weeks=tuple(weeks) if weeks else DEFAULT_WEEKS,
            hours=hours,
            goal=goal,
            by=by,
            rounds_per_month=rounds_per_month,
            anyway=anyway,
        )
    banner(found.banner)
    answer(as_json, found.records, [*goals_lines(found.records, UNOFFICIAL), *found.notes])


def _hours(given: Iterable[str] | None, where: str) -> dict[str, float]:
    found: dict[str, float] = {}
    for text in given or ():
        name, value = _parts(text, where, "write it as chipping=1.5")
        try:
            found[name] = float(value.replace(",", "."))
        except ValueError:
            raise _wrong(text, where, "write it as chipping=1.5") from None
    return found


def _sessions(given: Iterable[str] | None) -> dict[str, tuple[int, float]]:
    found: dict[str, tuple[int, float]] = {}
    for text in given or ():
        remedy = "write it as strength=2x40 (sessions x minutes)"
        name, value = _parts(text, "--lock", remedy)
        count, _, minutes = value.partition("x")
        try:
            found[name] = (int(count), float(minutes))
        except ValueError:
            raise _wrong(text, "--lock", remedy) from None
    return found


def _parts(text: str, where: str, remedy: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not (name.strip() and sign and value.strip()):
        raise _wrong(text, where, remedy)
    return name.strip(), value.strip()


def _wrong(text: str, where: str, remedy: str) -> InputError:
    return InputError(f"{text!r} cannot be read", where=where, remedy=remedy)
