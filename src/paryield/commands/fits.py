"""The demo, the fit and whether it can be trusted."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from paryield.commands.shared import Anyway, Json, Where, answer, app, banner, say
from paryield.errors import NotReportableError


@app.command()
def demo(
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder to make.")] = Path("paryield-demo"),
    as_json: Json = False,
) -> None:
    """Make, fit and answer a made-up club.

    Writes the club file and the pages of its reports, and says what to look at next.
    """
    from paryield.report import console
    from paryield.report.demo import make_demo

    done = make_demo(out, progress=sys.stderr.isatty() and not as_json, say=None if as_json else say)
    shown = done.forecast.records[0]["golfer_id"]
    lines = [
        *console.forecast_lines([one for one in done.forecast.records if one["golfer_id"] == shown]),
        *console.returns_lines([one for one in done.returns.records if one["golfer_id"] == shown]),
        f"Look next: open {done.pages[-1]} in a browser; it leads to a page for each golfer.",
        f"Then ask more: paryield forecast {done.club}",
    ]
    error = NotReportableError("the demo's fit is not sound", remedy=f"see paryield health {done.club}")
    answer(as_json, done.to_dict(), lines, None if done.health["ok"] else error)


@app.command()
def fit(
    club: Where,
    seed: Annotated[int | None, typer.Option(min=0, help="One seed gives one answer.")] = None,
    quick: Annotated[bool, typer.Option("--quick", help="A rough fit with few draws; marked so.")] = False,
    expectations: Annotated[
        str | None,
        typer.Option(metavar="FILE", help="What the coach expects of practice, or cautious, usual, open."),
    ] = None,
    learnt: Annotated[
        list[str] | None,
        typer.Option(metavar="FILE", help="What another club has learnt, to start from; repeatable."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Fit the model to the club; store the run.

    It goes on drawing until the health gate is passed, and says what it does. Ctrl-C keeps the draws so far
    as a run that is not sound; answers come from the last sound run.
    """
    from paryield.club import Club
    from paryield.model.command import fit as fit_club
    from paryield.report import console

    shown = sys.stderr.isatty() and not as_json
    with Club.open(club) as opened:
        receipt = fit_club(
            opened,
            seed,
            quick,
            expectations=expectations,
            learnt=learnt or (),
            progress=shown,
            say=None if as_json else say,
        )
    error = NotReportableError(
        f"run {receipt.run} is not sound: {receipt.facts['why']}",
        where=club,
        remedy=f"answers come from the last sound run, if there is one; see paryield health {club}",
    )
    answered = receipt.ok or receipt.facts["quick"]
    answer(
        as_json, receipt.to_dict(), console.fit_lines(receipt.to_dict(), club), None if answered else error
    )


@app.command()
def learnt(
    club: Where,
    out: Annotated[Path, typer.Option(metavar="FILE", help="File to write.")],
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Write down what practice pays here.

    For other clubs to start from (paryield fit --learnt): gains and half-lives of the whole club, with no
    golfer's data; refused under 20 golfers.
    """
    from paryield.club import Club
    from paryield.forecast.learnt import write_learnt
    from paryield.report.season_lines import passed_on_lines

    with Club.open(club) as opened:
        found, top = write_learnt(opened, out, anyway=anyway)
    banner(top)
    answer(as_json, found, passed_on_lines(found))


@app.command()
def health(club: Where, as_json: Json = False) -> None:
    """Say whether the newest run is sound.

    One line a quantity, with what to do where it is not. Answers come from the last sound run.
    """
    from paryield.club import Club
    from paryield.plan.checks import health as health_of
    from paryield.report import console
    from paryield.report.trust_lines import check_lines

    with Club.open(club) as opened:
        found = health_of(opened)
    error = NotReportableError(
        f"run {found['run']} does not pass the health gate", where=club, remedy="the lines say what to do"
    )
    answered = found["ok"] or found["answers_from"] != found["run"]
    lines = [*console.health_report(found), *check_lines(found)]
    answer(as_json, found, lines, None if answered else error)
