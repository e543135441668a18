"""Answers from records alone, without a fit."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from paryield.commands.shared import Golfer, Json, Where, answer, app, say


@app.command()
def index(club: Where, golfer: Golfer = None, as_json: Json = False) -> None:
    """Show the handicap record step by step."""
    from paryield.club import Club
    from paryield.report.index_record import index_lines
    from paryield.scoring.club import index_listing

    with Club.open(club) as opened:
        found = index_listing(opened.tables(), golfer)
    answer(as_json, found, index_lines(found, golfer))


@app.command()
def putting(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="CSV or XLSX with distance_ft, tried and made.")
    ],
    as_json: Json = False,
) -> None:
    """Say what putts tried and made show of skill.

    Spread of direction and length, chances by distance, strokes lost a round.
    """
    from paryield.report import console
    from paryield.rounds import putting as putting_of

    skill = putting_of(file)
    for problem in skill.warnings:
        say(problem.line(), prefix=f"{problem.severity}: ")
    answer(as_json, *console.putting_answer(skill))
