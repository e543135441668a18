"""Plans: the advised week."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

import typer

from paryield.commands.shared import Anyway, Golfer, Json, Where, answer, app, banner
from paryield.errors import InputError


@app.command()
def plan(
    club: Where,
    golfer: Golfer = None,
    hours: Annotated[
        float | None, typer.Option(metavar="H", help="Hours a week; default those on file, else as now.")
    ] = None,
    weeks: Annotated[int, typer.Option(min=1, max=104, help="Weeks the plan is kept up.")] = 12,
    aim: Annotated[str, typer.Option(metavar="AIM", help="likely, safe or learn.")] = "likely",
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
            aim=aim,
            floors=_hours(floor, "--floor"),
            ceilings=_hours(ceiling, "--ceiling"),
            locks=_sessions(lock),
            free=free,
            anyway=anyway,
        )
    banner(found.banner)
    answer(as_json, found.records, plan_lines(found.records))


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
