"""The weeks of changed practice that tell which category is best: one golfer's, and the club's season."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast import gate
from paryield.forecast.rounds import Pace, club_paces
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.learning import Information, told_by
from paryield.plan.options import (
    Option,
    Question,
    Week,
    advised,
    blank,
    cost_if_wrong,
    golfer_question,
    information_fields,
    present_week,
    schedules,
    weeks_plan,
)
from paryield.plan.season.layout import Asked, Season, season_fit, season_records
from paryield.plan.trial import Schedule, Trial, make_trial
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.results import summary
from paryield.tables import Tables

BLOCK_WEEKS = 12
SEARCH_DRAWS = 1000


@dataclass(frozen=True)
class Block:
    """Records of advised blocks.

    Parameters
    ----------
    records : list of dict
    options : dict of golfer to list of Option
        Everything that was weighed for one golfer.
    banner : str
    season : Season or None
        The club's season, where the club was asked about and somebody can take part.
    """

    records: list[dict[str, Any]]
    options: dict[str, list[Option]] = field(repr=False)
    banner: str = ""
    season: Season | None = field(default=None, repr=False)

    def to_frame(self) -> pd.DataFrame:
        """One row per golfer."""
        return pd.DataFrame.from_records(self.records)


def block(
    club: Any,
    golfer: str | None = None,
    weeks: int | None = None,
    anyway: bool = False,
    *,
    asked: Asked | None = None,
) -> Block:
    """Advise the practice change that would tell most about which category is best.

    Parameters
    ----------
    club : Club
    golfer : str, optional
        One golfer; default the club: a season of emphases whose order is drawn by lot.
    weeks : int, optional
        Length of the block (default 12), or of each emphasis of a season (default: so that all fit into a
        year).
    anyway : bool
        Answer although the health gate says no; the answer carries a banner.
    asked : Asked, optional
        Everything that a season is asked for, in place of ``weeks``.

    Raises
    ------
    InputError
        For an unknown golfer or a length that cannot be used.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    return block_fit(
        posterior, club.tables(), golfer=golfer, weeks=weeks, asked=asked, banner=gate(posterior, anyway)
    )


def block_fit(
    posterior: Posterior,
    tables: Tables,
    *,
    golfer: str | None = None,
    weeks: int | None = None,
    asked: Asked | None = None,
    banner: str = "",
) -> Block:
    """Advise from a fit and tables; see :func:`block`."""
    season, options = None, {}
    if golfer is None:
        _can_be_asked(posterior, None, BLOCK_WEEKS)
        season = season_fit(posterior, tables, asked or Asked(weeks=weeks))
        records = season_records(season)
    else:
        weeks = weeks or BLOCK_WEEKS
        _can_be_asked(posterior, golfer, weeks)
        pace = club_paces(tables, posterior.golfers, posterior.as_of)[golfer]
        week = present_week(posterior, tables, golfer, weeks)
        few = thinned(posterior, SEARCH_DRAWS)
        question = golfer_question(few, golfer)
        trial = make_trial(few, golfer, weeks, pace)
        weighed = weigh(trial, question, week, int(posterior.facts["seed"]))
        records = [golfer_record(golfer, weeks, trial.rounds, week, question, weighed)]
        options = {golfer: weighed}
    if banner:
        records = [{**record, "reason": banner} for record in records]
    return Block(records, options, banner, season)


def weigh(trial: Trial, question: Question, week: Week, seed: int) -> list[Option]:
    """What each block would tell and cost, most telling first."""
    chance = np.zeros(len(week.names))
    chance[[week.names.index(name) for name in question.names]] = question.chance_best

    def told(schedule: Schedule) -> Information:
        return told_by(question.returns, trial.signal(schedule), seed=seed)

    present = told(Schedule(("",), week.hours[None, :]))
    found = [Option(one, told(one), present, trial.cost(one, week.hours)) for one in schedules(week, chance)]
    return sorted(found, key=lambda option: option.information.after)


def golfer_record(
    golfer: str, weeks: int, rounds: float, week: Week, question: Question, options: list[Option]
) -> dict[str, Any]:
    """The record of one golfer's block."""
    record: dict[str, Any] = {"golfer_id": golfer, "weeks": weeks, "rounds": round(rounds, 1)}
    if not options or week.free_hours <= 0 or rounds <= 0:
        why = "no practice hours that could be shifted" if rounds > 0 else "no rounds are expected"
        return record | blank(why)
    chosen = advised(options)
    best = question.returns.argmax(axis=1)
    return record | {
        "reportable": True,
        "focus": list(chosen.schedule.focus),
        **information_fields(chosen),
        "cost": summary(chosen.cost),
        "cost_if_wrong": cost_if_wrong(chosen, question.names, best),
        "weeks_plan": weeks_plan(chosen.schedule, week, weeks),
        "others": [
            {"focus": list(one.schedule.focus), "information": one.information.gain}
            | {"cost_mean": float(one.cost.mean())}
            for one in options[:5]
            if one is not chosen
        ],
        "cautions": list(STANDING_CAUTIONS),
    }


def _can_be_asked(posterior: Posterior, golfer: str | None, weeks: int) -> None:
    if not posterior.categories:
        raise InputError(
            "the club has no practice diary, so no block can be weighed",
            where="practice",
            remedy="import a practice table and fit again",
        )
    if not 2 <= weeks <= 52:
        raise InputError(f"a block of {weeks} weeks cannot be weighed", where="--weeks", remedy="use 2 to 52")
    if golfer is not None and golfer not in posterior.golfers:
        raise InputError(
            f"the fit knows no golfer {golfer!r}",
            where="--golfer",
            remedy="use an id of the golfers table, or fit again if the golfer is new",
        )


def expected_bits(posterior: Posterior, golfer_id: str, hours: FLOATS, weeks: int, pace: Pace) -> Information:
    """What weeks of constant hours would tell about which category is best for a golfer.

    Parameters
    ----------
    posterior : Posterior
    golfer_id : str
    hours : array, shape (J,)
        Hours a week, in the order of the fit's categories.
    weeks : int
    pace : Pace
    """
    few = thinned(posterior, SEARCH_DRAWS)
    question = golfer_question(few, golfer_id)
    trial = make_trial(few, golfer_id, weeks, pace)
    signal = trial.signal(Schedule(("",), hours[None, :]))
    return told_by(question.returns, signal, seed=int(posterior.facts["seed"]))
