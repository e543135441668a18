"""One golfer's new rounds, taken up without a fit: population draws are weighted, form is drawn anew.

Given a draw of the fit, the golfer's rounds to come are normal: their mean comes from level, practice,
season and form, their spread from form's own course, drift, course and luck. The density of the rounds that
came is the weight of the draw (Pareto-smoothed); given draw and rounds, today's form and drift are normal
again and are drawn exactly. Round statistics and tests since the fit are not read: a fit reads them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.diary import days_since_epoch, read_diary
from paryield.dose.exposure import form_left
from paryield.errors import InputError
from paryield.forecast.outlook import SHORTEST_DRIFT_DAYS, GolferDraws, golfer_draws, practised, shared_path
from paryield.forecast.weights import MOST_K, picked, smoothed
from paryield.posterior import Posterior
from paryield.scoring import differentials
from paryield.tables import Tables

FLOATS = npt.NDArray[np.float64]
LEAST_DRAWS = 100.0
"""Draws that the weighted ones must be worth. [judgement]"""


@dataclass(frozen=True)
class Update:
    """A golfer's draws after new rounds.

    ``pareto_k`` says how far the weights can be trusted and ``worth`` how many equal draws they are worth;
    ``rounds`` were read, from the day after the fit's last to ``golfer.as_of``.
    """

    golfer: GolferDraws
    rounds: int
    pareto_k: float
    worth: float

    @property
    def trusted(self) -> bool:
        """Whether the answer may be given without a fit."""
        return self.pareto_k <= MOST_K and self.worth >= LEAST_DRAWS


@dataclass(frozen=True)
class NewRounds:
    """Rounds since the fit: days after its last day, strokes, course (-1 unknown), competition (0, 1)."""

    days: FLOATS
    differential: FLOATS
    course: npt.NDArray[np.int64]
    competition: FLOATS


def update_golfer(posterior: Posterior, tables: Tables, golfer_id: str, seed: int = 0) -> Update:
    """Take up a golfer's rounds and practice since the fit.

    Parameters
    ----------
    posterior : Posterior
    tables : Tables
        The club's tables now.
    golfer_id : str
    seed : int
        One seed gives one answer.

    Raises
    ------
    InputError
        When the fit does not know the golfer.
    """
    if golfer_id not in posterior.golfers:
        remedy = "run paryield refresh without --golfer, so that the golfer is fitted"
        raise InputError(f"the fit knows no golfer {golfer_id!r}", where="--golfer", remedy=remedy)
    own = golfer_draws(posterior, golfer_id)
    until = max(last_day(tables), posterior.as_of)
    hours, recent = hours_since(posterior, tables, golfer_id, until)
    rounds = rounds_since(posterior, tables, golfer_id)
    return take_up(own, rounds, hours, recent, posterior.draws("competition"), seed)


def last_day(tables: Tables) -> int:
    """Latest played_on or practised_on, days since 1970-01-01."""
    dates = pd.concat([tables.rounds["played_on"], tables.practice["practised_on"]]).dropna()
    return int(days_since_epoch(dates).max())


def rounds_since(posterior: Posterior, tables: Tables, golfer_id: str) -> NewRounds:
    """Return the golfer's rounds after the fit's last day."""
    mine = tables.rounds[tables.rounds["golfer_id"] == golfer_id]
    one = replace(tables, rounds=mine, holes=tables.holes[tables.holes["golfer_id"] == golfer_id])
    table = differentials(one).dropna(subset=["differential"])
    flags = mine[["played_on", "round_no", "competition"]]
    table = table.merge(flags, on=["played_on", "round_no"], how="left")
    table = table[days_since_epoch(table["played_on"]) > posterior.as_of]
    courses = list(posterior.facts["courses"])
    places = [courses.index(name) if name in courses else -1 for name in table["course"].fillna("")]
    return NewRounds(
        days=(days_since_epoch(table["played_on"]) - posterior.as_of).astype(float),
        differential=table["differential"].to_numpy(float),
        course=np.array(places, dtype=np.int64),
        competition=table["competition"].fillna(False).to_numpy(float),
    )


def hours_since(posterior: Posterior, tables: Tables, golfer_id: str, until: int) -> tuple[FLOATS, FLOATS]:
    """Hours by day and category since the fit, shape (N, J), and by week lately, shape (J,).

    An unknown week carries the golfer's habit; the phantom category has no hours.
    """
    number = posterior.golfer_number(golfer_id)
    names = posterior.categories
    hours = np.zeros((until - posterior.as_of, len(names)))
    recent = posterior.constant("recent")[number].copy()
    golfers = tables.golfers[tables.golfers["golfer_id"] == golfer_id].reset_index(drop=True)
    practice = tables.practice[tables.practice["golfer_id"] == golfer_id]
    if until == posterior.as_of or practice.empty or golfers.empty:
        return hours, recent
    starts = np.array([int(posterior.constant("starts")[number])])
    diary = read_diary(practice, golfers, tables.categories, starts, until)
    for place, category in enumerate(diary.categories):
        if category.name in names:
            column = names.index(category.name)
            hours[:, column] = diary.hours[0, posterior.as_of + 1 - diary.first_day :, place]
            recent[column] = diary.recent[0, place]
    return hours, recent


def stock_after(golfer: GolferDraws, hours: FLOATS, days: FLOATS) -> list[FLOATS]:
    """Stock at the start of days after the fit's last, one array (S or 1, T, J) per tabulated half-life."""
    found = []
    count = np.arange(1, len(hours) + 1)
    for held, half_lives in zip(golfer.stock, golfer.node_half_life, strict=True):
        keep = 2.0 ** (-1.0 / half_lives)
        past = (days[:, None] - count[None, :])[:, :, None]
        weight = np.where(past > 0, keep ** np.maximum(past, 0.0), 0.0)
        fresh = np.einsum("tnj,nj->tj", weight, hours)
        found.append(held[:, None, :] * keep ** (days[:, None] - 1.0) + fresh)
    return found


def take_up(
    golfer: GolferDraws,
    rounds: NewRounds,
    hours: FLOATS,
    recent: FLOATS,
    competition: FLOATS,
    seed: int = 0,
) -> Update:
    """Weight draws by new rounds and move the golfer's draws to the last day of ``hours``.

    Parameters
    ----------
    golfer : GolferDraws
    rounds : NewRounds
    hours : array, shape (N, J)
        Hours of practice on the N days since the fit.
    recent : array, shape (J,)
        Weekly hours from now on.
    competition : array, shape (S,)
        Strokes that a competition round costs.
    seed : int
    """
    end = float(len(hours))
    error = rounds.differential - _expected(golfer, rounds, hours, competition)
    cover = _cover(golfer, rounds)
    weights, k = smoothed(_log_density(cover, error))
    rng = np.random.default_rng([seed, 11])
    at = picked(weights, rng.random())
    form, drift = _states(golfer, rounds.days, end, cover, error, rng)
    moved = _moved(golfer, hours, end, recent, at, form[at], drift[at])
    return Update(moved, len(rounds.days), k, float(1.0 / np.sum(weights**2)))


def _expected(golfer: GolferDraws, rounds: NewRounds, hours: FLOATS, competition: FLOATS) -> FLOATS:
    """Mean of each new round given a draw, form's present value kept on, shape (S, T)."""
    days = rounds.days
    nodes = zip(golfer.weights, stock_after(golfer, hours, days), strict=True)
    stock = np.zeros((golfer.samples, len(days), hours.shape[1]))
    for weight, held in nodes:
        stock += weight[:, None, :] * held
    mean = practised(golfer, np.maximum(stock, 0.0), days - 1.0).sum(axis=2)
    mean = mean + golfer.drift.sum(axis=1)[:, None] * golfer.drift_now + shared_path(golfer, days)
    mean = mean + _keep(golfer, days) * golfer.form[:, None]
    courses = golfer.population["course_effect"]
    known = rounds.course >= 0
    mean[:, known] += courses[:, rounds.course[known]]
    if (~known).any():
        mean[:, ~known] += courses.mean(axis=1)[:, None]
    result: FLOATS = mean + competition[:, None] * rounds.competition
    return result


def _keep(golfer: GolferDraws, days: FLOATS) -> FLOATS:
    return np.asarray(np.exp(-np.abs(days) / golfer.population["wander_days"][:, None]), dtype=float)


def _walk(golfer: GolferDraws) -> FLOATS:
    """Variance a day of drift that goes on as a random walk, summed over areas, shape (S,)."""
    record = max(golfer.elapsed_days, SHORTEST_DRIFT_DAYS)
    scale = golfer.population["sd_drift"] * np.pi / np.sqrt(8.0) * np.sqrt(golfer.level.shape[1] / record)
    return np.asarray(scale**2, dtype=float)


def _cover(golfer: GolferDraws, rounds: NewRounds) -> FLOATS:
    """Covariance of the new rounds given a draw, shape (S, T, T)."""
    days = rounds.days
    wander = golfer.population["wander_days"][:, None, None]
    apart = np.exp(-np.abs(days[:, None] - days[None, :]) / wander)
    form = apart - np.exp(-(days[:, None] + days[None, :]) / wander)
    cover = golfer.population["sd_wander"][:, None, None] ** 2 * form
    cover = cover + _walk(golfer)[:, None, None] * np.minimum(days[:, None], days[None, :])
    course = golfer.population["course_effect"].var(axis=1)[:, None] * (rounds.course < 0)
    luck = golfer.noise[:, None] ** 2 + course
    result: FLOATS = cover + luck[:, :, None] * np.eye(len(days))
    return result


def _log_density(cover: FLOATS, error: FLOATS) -> FLOATS:
    """Log density of the new rounds given each draw, up to a constant, shape (S,)."""
    if not error.shape[1]:
        return np.zeros(len(error))
    factor = np.linalg.cholesky(cover)
    scaled = np.linalg.solve(factor, error[:, :, None])[:, :, 0]
    spread = np.log(np.diagonal(factor, axis1=1, axis2=2)).sum(axis=1)
    return np.asarray(-0.5 * (scaled**2).sum(axis=1) - spread, dtype=float)


def _states(
    golfer: GolferDraws, days: FLOATS, end: float, cover: FLOATS, error: FLOATS, rng: np.random.Generator
) -> tuple[FLOATS, FLOATS]:
    """Draw form and drift on the last day given a draw and the rounds (normal conditioning), (S,) each."""
    wander, walk = golfer.population["wander_days"], _walk(golfer)
    spread = golfer.population["sd_wander"] ** 2
    keep = np.exp(-end / wander)
    mean = np.stack([keep * golfer.form, np.zeros(golfer.samples)], axis=1)
    before = np.zeros((golfer.samples, 2, 2))
    before[:, 0, 0], before[:, 1, 1] = spread * (1.0 - keep**2), walk * end
    if len(days):
        reach = np.exp(-(end - days) / wander[:, None]) - np.exp(-(end + days) / wander[:, None])
        across = np.stack([spread[:, None] * reach, walk[:, None] * days], axis=1)
        gain = np.swapaxes(np.linalg.solve(cover, np.swapaxes(across, 1, 2)), 1, 2)
        mean = mean + (gain @ error[:, :, None])[:, :, 0]
        before = before - gain @ np.swapaxes(across, 1, 2)
    factor = np.linalg.cholesky(before + 1e-12 * np.eye(2))
    drawn = mean + (factor @ rng.normal(size=(golfer.samples, 2, 1)))[:, :, 0]
    return drawn[:, 0], drawn[:, 1]


def _moved(
    golfer: GolferDraws,
    hours: FLOATS,
    end: float,
    recent: FLOATS,
    at: npt.NDArray[np.int64],
    form: FLOATS,
    drift: FLOATS,
) -> GolferDraws:
    stock = np.array([held[:, 0] for held in stock_after(golfer, hours, np.array([end + 1.0]))])
    fading = np.array([2.0 ** (-end / half_lives) for half_lives in golfer.node_half_life])
    areas = golfer.level.shape[1]
    wide = np.broadcast_to(stock, golfer.weights.shape)
    return replace(
        golfer,
        level=golfer.level[at],
        drift=golfer.drift[at] * golfer.drift_now + drift[:, None] / areas,
        drift_now=1.0,
        response=golfer.response[at],
        form=form,
        noise=golfer.noise[at],
        rate_area=golfer.rate_area[at],
        share=golfer.share[at],
        weights=golfer.weights[:, at],
        stock=wide[:, at],
        start=golfer.start[at],
        steady=golfer.steady[at],
        steady_now=(golfer.steady_now * fading[:, None, :])[:, at],
        start_extra=golfer.start_extra[at],
        programmes=golfer.programmes[at],
        joining_form=golfer.joining_form[at] * form_left(end),
        recent=recent,
        elapsed_days=golfer.elapsed_days + end,
        as_of=golfer.as_of + int(end),
        population={name: values[at] for name, values in golfer.population.items()},
    )
