"""The reckoning of a season for the members of a fitted club: exposures, spreads, rounds and tests."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.stock import HOURS_UNIT, bend_slope, bent
from paryield.forecast import golfer_draws
from paryield.forecast.outlook import GolferDraws, fresh_stock, practised, start_held, stock_ahead
from paryield.forecast.rounds import Pace
from paryield.model.spec import stored_spec
from paryield.plan.measure import round_information
from paryield.plan.options import club_question
from paryield.plan.season.emphases import Laid
from paryield.plan.season.reckoning import Beliefs, Own, Sitting, told_about_shared
from paryield.posterior import Posterior
from paryield.rounds.coach_tests import FALLBACK, PROBIT_PER_STROKE, test_measurements
from paryield.rounds.strikes import LOG_PER_STROKE
from paryield.rounds.tasks import TASKS, Task, strokes_error
from paryield.tables import AREAS, Tables
from paryield.tables.categories import PHANTOM
from paryield.units import DAYS_PER_YEAR

FLOATS = npt.NDArray[np.float64]
RECENT_DAYS = 182
WEEKS_PER_YEAR = DAYS_PER_YEAR / 7.0


def kept_information(tables: Tables, as_of: int, members: int) -> FLOATS:
    """Information a member and week about strokes lost by area, (K,), of the tests the club keeps."""
    found = measured_tests(tables)
    total = np.zeros(len(AREAS))
    if found.empty:
        return total
    day = found["on"].to_numpy().astype("datetime64[D]").astype(np.int64)
    error = found["error_strokes"].to_numpy(float)
    recent = (day > as_of - RECENT_DAYS) & np.isfinite(error)
    for place, area in enumerate(AREAS):
        own = recent & (found["area"] == area).to_numpy()
        total[place] = float(np.sum(1.0 / np.maximum(error[own], 0.3) ** 2))
    return total / max(members, 1) / (RECENT_DAYS / 7.0)


def measured_tests(tables: Tables) -> pd.DataFrame:
    """Tests of :func:`paryield.rounds.coach_tests.test_measurements` that speak of an area.

    ``worse`` is the value turned so that more is worse, and ``error_strokes`` its error in strokes lost.
    """
    found = test_measurements(tables, {})
    found = found[(found["source"] == "test") & found["scale"].isin(["strokes", "probit", "log"])]
    per_stroke = found["kind"].map(LOG_PER_STROKE).fillna(PROBIT_PER_STROKE).to_numpy(float)
    per_stroke = np.where(found["scale"] == "strokes", 1.0, per_stroke)
    way = np.where(found["scale"] == "probit", -1.0, 1.0)
    return found.assign(
        worse=way * found["value"].to_numpy(float),
        error_strokes=found["error_sd"].to_numpy(float) / per_stroke,
    )


def season_tests() -> tuple[Task, ...]:
    """The test of each area that tells most a minute about strokes lost there, for a middling golfer."""

    def told(task: Task) -> float:
        return 1.0 / strokes_error(task, FALLBACK[task.area][0]) ** 2 / task.minutes

    return tuple(max((task for task in TASKS if task.area == area), key=told) for area in AREAS)


def routine_information(every: float) -> FLOATS:
    """The same of one such test of each area every so many weeks."""
    errors = np.array([strokes_error(task, FALLBACK[task.area][0]) for task in season_tests()])
    return 1.0 / errors**2 / every


def beliefs(few: Posterior) -> tuple[tuple[str, ...], Beliefs]:
    """Real categories, and mean and covariance of their gains in the draws of a fit."""
    question = club_question(few)
    draws = question.returns
    cover = np.cov(draws.T) + 1e-6 * np.eye(draws.shape[1])
    return question.names, Beliefs(draws.mean(axis=0), cover)


def shared_sd(few: Posterior) -> tuple[float, ...]:
    """Spread of trend and season in a fit, strokes."""
    return tuple(max(float(few.draws(name).std()), 0.02) for name in ("trend", "season_cos", "season_sin"))


def stock_under(golfer: GolferDraws, hours: FLOATS, days: FLOATS) -> FLOATS:
    """Hours at work on days ahead under hours by week (W, J), shape (S, T, J)."""
    total = stock_ahead(golfer, days, hours[0])
    for week in range(1, len(hours)):
        step = hours[week] - hours[week - 1]
        if np.abs(step).max() > 1e-9:
            total = total + fresh_stock(golfer, np.maximum(days - 7.0 * week, 0.0), step)
    stock: FLOATS = np.maximum(total, 0.0)
    return stock


def reckon_member(
    few: Posterior, golfer_id: str, laid: Laid, pace: Pace, tests: Sequence[FLOATS]
) -> tuple[list[FLOATS], FLOATS, float]:
    """Information of a member's season under each way of testing, its cost, and the rounds in it.

    Parameters
    ----------
    few : Posterior
        A fit with few draws.
    golfer_id : str
    laid : Laid
        His hours week by week, taken to start on the day after the fit's last.
    pace : Pace
    tests : sequence of array, shape (K,)
        Information a week of the tests, for each way asked about.

    Returns
    -------
    information : list of array, shape (J + 3, J + 3)
    cost : array, shape (S,)
        Strokes a round given up on average over the season against going on as before.
    rounds : float
    """
    number, golfer = few.golfer_number(golfer_id), golfer_draws(few, golfer_id)
    days: FLOATS = (np.arange(len(laid.starts), dtype=float) + 0.5) * 7.0
    stock, as_before = (stock_under(golfer, hours, days) for hours in (laid.hours, laid.before))
    lost, lost_before = (practised(golfer, one, days) for one in (stock, as_before))
    rate = pace.expected(few.as_of, 7.0 * len(days)) * 12.0 / WEEKS_PER_YEAR
    sitting = _sitting(few, golfer, stock, days)
    own = _own(few, golfer)
    each = rate * round_information(few, number)
    found = []
    for one in tests:
        weekly = np.tile(each + np.diag(one), (len(days), 1, 1))
        found.append(told_about_shared(Sitting(*sitting, information=weekly), own))
    cost: FLOATS = (lost - lost_before).sum(axis=2).mean(axis=1)
    return found, cost, rate * len(days)


def _sitting(
    few: Posterior, golfer: GolferDraws, stock: FLOATS, days: FLOATS
) -> tuple[FLOATS, FLOATS, FLOATS, FLOATS]:
    """Days, exposure (T, J), slope (J, K) and fading (T, K), of the real categories."""
    real = np.array([name != PHANTOM for name in few.categories])
    now = np.zeros(1)
    begun = stock_ahead(golfer, now, golfer.recent)
    moved = bent(stock, golfer.bend_hours) - bent(begun, golfer.bend_hours)
    exposure = (moved / HOURS_UNIT).mean(axis=0)[:, real]
    lost = practised(golfer, begun, now)[:, 0] - golfer.floor
    per_gain = golfer.rate_area / np.maximum(few.draws("gain"), 1e-9)[:, :, None]
    slope = (per_gain * lost[:, None, :]).mean(axis=0)[real]
    both = np.concatenate([now, days])
    held = start_held(golfer, both) * bend_slope(np.concatenate([begun, stock], axis=1), golfer.bend_hours)
    saved = (held / HOURS_UNIT) @ (golfer.rate_area * lost[:, None, :])
    spread = float(np.std(golfer.start_extra)) + 0.1
    fading = spread * (saved[:, 1:] - saved[:, :1]).mean(axis=0)
    return few.as_of + days, exposure, slope, fading


def _form_at_tests(few: Posterior) -> float:
    """Spread of form at one kind of test, strokes; before any test of the club as the prior has it."""
    known = "test_form" in few.tree["posterior"]
    wide = few.draws("test_form") if known else stored_spec(few.facts["spec"]).priors.test_form
    return float(np.sqrt(np.mean(np.square(wide))))


def _own(few: Posterior, golfer: GolferDraws) -> Own:
    now = np.zeros(1)
    level = practised(golfer, stock_ahead(golfer, now, golfer.recent), now)[:, 0]
    level = level + golfer.drift * golfer.drift_now
    cover = np.cov(level.T) + 0.01 * np.eye(level.shape[1])
    population = golfer.population
    spell = _form_at_tests(few)
    record = max(golfer.elapsed_days, 180.0)
    # The fit's drift is the first term of a random walk over the record (see forecast.outlook.drift_path).
    yearly = float(np.mean(population["sd_drift"] ** 2)) * np.pi**2 / 8.0 * DAYS_PER_YEAR / record
    return Own(
        cover,
        float(np.sqrt(np.mean(population["sd_wander"] ** 2))),
        float(np.mean(population["wander_days"])),
        float(np.sqrt(yearly)),
        golfer.share.mean(axis=0),
        spell,
    )
