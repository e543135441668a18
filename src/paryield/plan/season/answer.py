"""What the command asks of a season: start it, follow it, answer it."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, timedelta
from typing import Any

from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast import gate
from paryield.forecast.current import current_fit
from paryield.plan.season.layout import EPOCH, NOTHING, Asked, season_fit
from paryield.plan.season.record import Kept, Running, progress, read, start
from paryield.plan.season.result import Result, season_result
from paryield.results import summary
from paryield.tables import Tables

Record = dict[str, Any]


def start_season(
    club: Club, asked: Asked, tests_every: int | None = None, anyway: bool = False
) -> tuple[list[Record], str]:
    """Lay out a season and put it on record; one record, and a banner.

    Raises
    ------
    InputError
        When nobody could take part, or it cannot start on the day.
    NotReportableError
        When the fit is not healthy.
    """
    _, posterior = current_fit(club)
    banner = gate(posterior, anyway)
    season = season_fit(posterior, club.tables(), asked)
    if season is None:
        raise InputError(NOTHING, where=club.name, remedy="log practice, fit again, and ask again")
    start(club, posterior, season, tests_every)
    running = read(club.design())
    return [
        {
            "season": running.number,
            "plan": running.plan,
            "seed": running.seed,
            "members": len(running.members),
            "starts_on": running.starts_on.isoformat(),
            "ends_on": running.ends_on.isoformat(),
        }
    ], banner


def season_progress(club: Club, number: int | None = None) -> list[Record]:
    """How every member keeps to the season on record, up to the last day of the records; needs no fit."""
    running, tables = read(club.design(number)), club.tables()
    return [kept_record(one) for one in progress(tables, running, last_day(tables))]


def last_day(tables: Tables) -> date:
    """Last day with a round or practice; the day before the first one where there is none."""
    days = [tables.rounds["played_on"].max(), tables.practice["practised_on"].max()]
    known = [day.date() for day in days if day == day]
    return max(known, default=EPOCH - timedelta(days=1))


def kept_record(one: Kept) -> Record:
    """One member's progress as a record."""
    return asdict(one) | {
        "share": one.share,
        "last_test": None if one.last_test is None else one.last_test.isoformat(),
    }


def season_answer(club: Club, number: int | None = None, anyway: bool = False) -> tuple[list[Record], str]:
    """What the season on record told: the club's record first, then each member's; and a banner.

    Raises
    ------
    InputError
        When no season is on record, or the fit holds none of its days.
    NotReportableError
        When the fit is not healthy.
    """
    running = read(club.design(number))
    _, posterior = current_fit(club)
    banner = gate(posterior, anyway)
    if EPOCH + timedelta(days=posterior.as_of) < running.starts_on:
        raise InputError(
            f"the newest fit ends before the season starts on {running.starts_on}",
            where=club.name,
            remedy="bring in the rounds of the season and run paryield fit",
        )
    result = season_result(posterior, club.tables(), running)
    return [result_record(result), *member_records(result)], banner


def result_record(result: Result) -> Record:
    """The club's record of a season that has told something."""
    running: Running = result.running
    shares = [one.share for one in result.kept if one.share is not None]
    return {
        "golfer_id": None,
        "season": running.number,
        "starts_on": running.starts_on.isoformat(),
        "ends_on": running.ends_on.isoformat(),
        "over": result.over,
        "chance": result.lot and result.lot.chance,
        "orders": result.lot and result.lot.orders,
        "cells": result.lot and result.lot.cells,
        "entropy_before": running.promise.before,
        "entropy_now": result.open_now,
        "promised": running.promise.told,
        "told": running.promise.before - result.open_now,
        "kept": sum(shares) / len(shares) if shares else None,
        "cost_promised": running.cost,
        "cost": summary(result.cost),
        "gains": [
            {
                "category": one.name,
                "chance_best": one.chance_best,
                "q10": one.low,
                "q50": one.middle,
                "q90": one.high,
                "plain": one.plain and one.plain.gain,
                "plain_error": one.plain and one.plain.error,
                "ends": one.ends,
            }
            for one in result.gains
        ],
        "events": [asdict(one) | {"starts_on": one.starts_on.isoformat()} for one in result.events],
        "ending": list(result.ending),
    }


def member_records(result: Result) -> list[Record]:
    """Each member's record: what he kept, his clear answer where there is one, and what comes next."""
    return [
        {
            "golfer_id": one.golfer_id,
            "kept": one.share,
            "settled": result.settled.get(one.golfer_id),
            "next": result.following.get(one.golfer_id),
        }
        for one in result.kept
    ]
