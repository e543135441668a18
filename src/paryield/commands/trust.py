"""What speaks for or against the tool: forecasts of the past held against what came."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from paryield import private
from paryield.commands.shared import Anyway, Golfer, Json, Where, answer, app, as_index, banner, say
from paryield.errors import NotReportableError

if TYPE_CHECKING:
    from paryield.club import Club
    from paryield.evaluate.refresh import Refresh


@app.command()
def backtest(
    club: Where,
    weeks: Annotated[list[int] | None, typer.Option(min=1, max=104, help="Weeks ahead; repeatable.")] = None,
    origins: Annotated[int, typer.Option(min=1, max=50, help="Earlier days to forecast from.")] = 4,
    workers: Annotated[str, typer.Option(help="Fits at a time, or the address of a Dask scheduler.")] = "2",
    seed: Annotated[int | None, typer.Option(min=0, help="One seed gives one answer.")] = None,
    as_json: Json = False,
) -> None:
    """Score forecasts made from earlier days.

    Fits what was known on each of them, forecasts, and compares with what came and with plain rules.
    """
    from paryield.club import Club
    from paryield.evaluate.backtest import backtest as backtest_of
    from paryield.report.trust_lines import backtest_lines

    shown = say if sys.stderr.isatty() and not as_json else None
    with Club.open(club) as opened:
        found = backtest_of(
            opened,
            tuple(weeks) if weeks else (4, 12, 26),
            origins=origins,
            workers=workers,
            seed=seed,
            say=shown,
        )
    answer(as_json, found.records, backtest_lines(found.records, found.notes))


@app.command()
def expectations(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="A TOML file of expectations, or cautious, usual, open.")
    ],
    index: Annotated[
        list[str] | None, typer.Option(metavar="INDEX", help="Index of a golfer shown; repeatable.")
    ] = None,
    hours: Annotated[float, typer.Option(min=0.1, max=40, help="Hours a week in one category.")] = 1.0,
    weeks: Annotated[int, typer.Option(min=1, max=104, help="Weeks they are kept up.")] = 12,
    as_json: Json = False,
) -> None:
    """Show what expectations mean before any data.

    Strokes saved a round by an hour a week of each category, from what the file says alone.
    """
    from paryield.plan.before import INDEXES
    from paryield.plan.before import expectations as expectations_of
    from paryield.report.trust_lines import expectation_lines

    asked = tuple(as_index(one) for one in index) if index else INDEXES
    found = expectations_of(file, asked, hours, weeks)
    answer(as_json, found, expectation_lines(found))


@app.command()
def refresh(
    club: Where,
    golfer: Golfer = None,
    expectations: Annotated[
        str | None, typer.Option(metavar="FILE", help="Other expectations than those of the last run.")
    ] = None,
    seed: Annotated[int | None, typer.Option(min=0, help="Another seed than that of the last run.")] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the change page here, as HTML.")
    ] = None,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Fit again if anything is new; say why.

    With --golfer, forecast from that golfer's rows of today, and fit only where that cannot be trusted.
    """
    from paryield.club import Club
    from paryield.report import console

    shown = sys.stderr.isatty() and not as_json
    with Club.open(club) as opened:
        if golfer is not None:
            from paryield.forecast.current import quick_forecast

            quick = quick_forecast(opened, golfer, anyway=anyway)
            if quick.trusted:
                banner(quick.forecast.banner)
                found = quick.to_dict()
                lines = console.forecast_lines(found["forecast"])
                return answer(
                    as_json, found, [f"{found['rounds']} new rounds taken up without a fit.", *lines]
                )
            say(f"the new rounds of {golfer} lie too far from what run {quick.run} foresaw: fitting again")
        from paryield.evaluate.refresh import refresh as refresh_of
        from paryield.report.changes import change_lines, change_page

        done = refresh_of(opened, expectations, seed=seed, progress=shown, say=say if shown else None)
        done = _with_newest(opened, done)
        if out is not None:
            private.write(out.expanduser(), change_page(done, opened.name))
    answer(as_json, done.to_dict(), change_lines(done))


def _with_newest(opened: Club, done: Refresh) -> Refresh:
    """Add a note where the newest weeks lie off for the fit of before, which has not seen them."""
    from paryield.forecast.misfit import misfit
    from paryield.posterior import from_bytes
    from paryield.report.misfit_words import newest_warning

    if done.run == done.run_before:
        return done
    found = misfit(from_bytes(opened.run(done.run_before)[2]), opened.tables())
    warned = newest_warning(None if found is None else found.to_dict())
    return replace(done, notes=(*done.notes, warned)) if warned else done


@app.command()
def verify(
    full: Annotated[
        bool, typer.Option("--full", help="200 replicates and every kind of club; hours.")
    ] = False,
    workers: Annotated[int, typer.Option(min=1, max=64, help="Fits at a time.")] = 2,
    seed: Annotated[int, typer.Option(min=0, help="One seed gives one outcome.")] = 1,
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="Write the outcome here, as HTML.")] = None,
    as_json: Json = False,
) -> None:
    """Calibrate the engine on this machine.

    Truths drawn from the prior must rank evenly, a planted fault must be caught, known gains must come back,
    and a club where practice does nothing must be told so.
    """
    from paryield.evaluate.verify import verify as verify_of
    from paryield.report.verification import verify_lines, verify_page

    found = verify_of(full, workers=workers, seed=seed, say=None if as_json else say)
    if out is not None:
        private.write(out.expanduser(), verify_page(found))
    error = NotReportableError(
        "not all checks passed", where="verify", remedy="read the checks; --full says more"
    )
    answer(as_json, found.to_dict(), verify_lines(found), None if found.ok else error)
