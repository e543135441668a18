"""What a season tells about the gains of its categories, exact for a straight line with normal errors.

The strokes that a golfer loses by area in a week are ``- sum_j gain_j exposure_tj slope_jk`` plus what is his
own (level, drift by area, slow form, what was at work at the start) and what all share (trend, season).
His own values are normal with known spread and are integrated out; the information about what is shared
adds up over golfers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.dose.stock import HOURS_UNIT, bend_slope, bent
from paryield.forecast import golfer_draws
from paryield.forecast.outlook import GolferDraws, fresh_stock, practised, start_held, stock_ahead
from paryield.forecast.rounds import Pace
from paryield.model.spec import stored_spec
from paryield.model.terms.coach_tests import SPELL_DAYS
from paryield.plan.learning import entropy
from paryield.plan.options import club_question
from paryield.plan.season.emphases import Laid
from paryield.plan.trial import round_information
from paryield.posterior import Posterior
from paryield.rounds.coach_tests import FALLBACK, PROBIT_PER_STROKE, test_measurements
from paryield.rounds.strikes import LOG_PER_STROKE
from paryield.rounds.tasks import TASKS, Task, strokes_error
from paryield.tables import AREAS, Tables
from paryield.tables.categories import PHANTOM
from paryield.units import DAYS_PER_YEAR

SHARED = 3
"""Trend, and cosine and sine of the season, in strokes a round."""
OUTER, INNER = 200, 400

RECENT_DAYS = 182
WEEKS_PER_YEAR = DAYS_PER_YEAR / 7.0


@dataclass(frozen=True)
class Own:
    """Spread of what is a golfer's own; K areas, strokes.

    Parameters
    ----------
    level : array, shape (K, K)
        Covariance of his strokes lost by area before the season.
    form, form_days : float
        Spread and time constant of slow form, split over areas by ``share``.
    drift : float
        Spread of his drift in one area over a year.
    spell : float
        Spread of his form in one area, which stays for :data:`SPELL_DAYS`.
    share : array, shape (K,)
        Share of each area in a change of the whole score.
    """

    level: FLOATS
    form: float
    form_days: float
    drift: float
    share: FLOATS
    spell: float = 0.0

    def cover(self, days: FLOATS) -> FLOATS:
        """Covariance of strokes by week and area, shape (T K, T K)."""
        gap = np.abs(days[:, None] - days[None, :])
        years = days / DAYS_PER_YEAR
        one = np.outer(self.share, self.share)
        whole = np.kron(np.ones_like(gap), self.level)
        whole += np.kron(self.form**2 * np.exp(-gap / self.form_days), one)
        whole += np.kron(self.drift**2 * np.outer(years, years), np.eye(len(self.share)))
        number = days // SPELL_DAYS
        whole += np.kron(self.spell**2 * (number[:, None] == number), np.eye(len(self.share)))
        return np.asarray(whole)


@dataclass(frozen=True)
class Sitting:
    """One golfer's season as it enters the reckoning; T weeks, J categories, K areas.

    Parameters
    ----------
    days : array, shape (T,)
        Days since 1970-01-01, the middle of each week.
    exposure : array, shape (T, J)
        Bent hours at work over 20, less those on the day before the season.
    slope : array, shape (J, K)
        Strokes of each area for a gain of 1 stroke per 20 hours.
    fading : array, shape (T, K)
        Strokes by area that one more standard deviation of what was at work at the start would save.
    information : array, shape (T, K, K)
        Information of the week's rounds and tests about strokes lost by area.
    """

    days: FLOATS
    exposure: FLOATS
    slope: FLOATS
    fading: FLOATS
    information: FLOATS


def told_about_shared(sitting: Sitting, own: Own) -> FLOATS:
    """Information of one golfer's weeks about the gains, then trend and season, shape (J + 3, J + 3)."""
    weeks, areas = sitting.fading.shape
    root = _root(sitting.information)
    cover = own.cover(sitting.days - sitting.days[0] + 3.5)
    start = sitting.fading.reshape(-1)
    cover = cover + np.outer(start, start)
    effect = -np.einsum("tj,jk->tkj", sitting.exposure, sitting.slope).reshape(weeks * areas, -1)
    angle = 2.0 * np.pi * sitting.days / DAYS_PER_YEAR
    time = np.column_stack([(sitting.days - sitting.days[0]) / DAYS_PER_YEAR, np.cos(angle), np.sin(angle)])
    common = np.einsum("tc,k->tkc", time, own.share).reshape(weeks * areas, -1)
    seen = root.T @ np.hstack([effect, common])
    spread = np.eye(root.shape[1]) + root.T @ cover @ root
    found: FLOATS = seen.T @ np.linalg.solve(spread, seen)
    return found


def _root(information: FLOATS) -> FLOATS:
    """Block-diagonal root of the weekly information, shape (T K, R)."""
    weeks, areas, _ = information.shape
    columns = []
    for week, each in enumerate(information):
        values, vectors = np.linalg.eigh(each)
        for value, vector in zip(values, vectors.T, strict=True):
            if value > 1e-9:
                column = np.zeros(weeks * areas)
                column[week * areas : (week + 1) * areas] = np.sqrt(value) * vector
                columns.append(column)
    return np.array(columns).T if columns else np.zeros((weeks * areas, 0))


@dataclass(frozen=True)
class Beliefs:
    """What is believed of the gains: mean (J,) and covariance (J, J), strokes per 20 hours."""

    mean: FLOATS
    cover: FLOATS

    def after(self, information: FLOATS, shared_sd: Sequence[float]) -> Beliefs:
        """Beliefs after data that were worth this much, with the mean left where it is.

        Parameters
        ----------
        information : array, shape (J + 3, J + 3)
        shared_sd : sequence of float
            Spread of trend (strokes a year), cosine and sine of the season (strokes) before the data.
        """
        count = len(self.mean)
        whole = information.copy()
        whole[:count, :count] += np.linalg.inv(self.cover)
        whole[count:, count:] += np.diag(1.0 / np.array(shared_sd) ** 2)
        return Beliefs(self.mean, np.linalg.inv(whole)[:count, :count])


@dataclass(frozen=True)
class Promise:
    """What a season is expected to tell.

    Parameters
    ----------
    before, after : float
        Entropy of which category is best, bits.
    lost_before, lost_after : float
        Strokes per 20 hours given up on average by taking the category that looks best.
    error : tuple of float
        Standard error of each gain from the season's data alone, strokes per 20 hours.
    """

    before: float
    after: float
    lost_before: float
    lost_after: float
    error: tuple[float, ...]

    @property
    def told(self) -> float:
        """Bits that the season is expected to tell."""
        return self.before - self.after


def promise(before: Beliefs, information: FLOATS, shared_sd: Sequence[float], seed: int = 0) -> Promise:
    """Reckon what data of this information tell, averaged over what they may turn out to be.

    The same standard normal numbers serve every call with one seed, so that promises compare.
    """
    after = before.after(information, shared_sd)
    rng = np.random.default_rng([seed, 31])
    outer, inner = (rng.normal(size=(size, len(before.mean))) for size in (OUTER, INNER))
    moved = before.mean + outer @ _half(before.cover - after.cover).T
    around = inner @ _half(after.cover).T
    bits, lost = np.empty(OUTER), np.empty(OUTER)
    for place, middle in enumerate(moved):
        bits[place], lost[place] = _open(middle + around, middle)
    whole = (
        before.mean
        + np.random.default_rng([seed, 32]).normal(size=(20 * INNER, len(before.mean)))
        @ _half(before.cover).T
    )
    bits_now, lost_now = _open(whole, before.mean)
    flat = Beliefs(before.mean, 1e6 * np.eye(len(before.mean))).after(information, shared_sd)
    error = tuple(float(value) for value in np.sqrt(np.diag(flat.cover)))
    return Promise(bits_now, min(float(bits.mean()), bits_now), lost_now, float(lost.mean()), error)


def _open(draws: FLOATS, middle: FLOATS) -> tuple[float, float]:
    even = np.full((1, len(draws)), 1.0 / len(draws))
    bits = float(entropy(even, draws.argmax(axis=1), draws.shape[1])[0])
    return bits, float(draws.max(axis=1).mean() - draws[:, int(middle.argmax())].mean())


def _half(cover: FLOATS) -> FLOATS:
    values, vectors = np.linalg.eigh(0.5 * (cover + cover.T))
    half: FLOATS = vectors * np.sqrt(np.maximum(values, 0.0))
    return half


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
    lost = practised(golfer, begun, now)[:, 0] - golfer.floor
    per_gain = golfer.rate_area / np.maximum(few.draws("gain"), 1e-9)[:, :, None]
    # Stocks are counted by the category's own bend, and the rate goes against it: each draw's product.
    of_draw = per_gain.sum(axis=2) / per_gain.sum(axis=2).mean(axis=0)
    exposure = (moved * of_draw[:, None, :] / HOURS_UNIT).mean(axis=0)[:, real]
    per_gain = per_gain / of_draw[:, :, None]
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
