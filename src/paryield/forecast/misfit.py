"""Where the record does not look as the fit expects: each round against its forecast from those before it.

Given the population values, a golfer's rounds are jointly normal. Taken one after another, each has an exact
normal forecast from those before it, and what is left over, divided by its spread, is standard normal and
independent of the others where the model is right (innovations of a Kalman filter; Durbin & Koopman 2012,
Time Series Analysis by State Space Methods, section 2.4; Dawid 1984, JRSS A 147:278, on judging forecasts one
after another; both from memory). The population values have seen all rounds, so that this is a little kind;
a golfer's own values have not.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.special import bdtr, bdtrik, chdtrc, ndtr, ndtri

from paryield.arrays import FLOATS, INTS
from paryield.forecast.refreshed import every_row
from paryield.model.design import Observations, as_of_day
from paryield.model.golfers import directions, prior_cover
from paryield.model.likelihood import said
from paryield.model.population import PopulationValues
from paryield.model.sheet import Sheet, sheet_of
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.tables.digest import golfer_digests

SCORE, TEST = "differential", "test"
DRAWS = 24
"""Draws of the population that are looked at: spreads of strokes need no more."""
AT_ONCE = 40
"""Golfers worked on at a time."""
CENTRAL = 0.8
LEAST_ROUNDS = 8
"""Rounds that a month or a golfer needs to be judged. [judgement]"""
NEWEST_DAYS = 28
FALSE_ALARM = 0.05
"""Chance that anything is called off although nothing is, in each of the looks at months and at golfers."""
EPOCH = date(1970, 1, 1)
KEPT = "misfit"
"""Under this name the last answer is kept with a fit."""


@dataclass(frozen=True)
class Left:
    """What was left over of every round, in the order of golfers and days.

    Parameters
    ----------
    golfer : array, shape (R,)
        Number of the golfer.
    day : array, shape (R,)
        Days since 1970-01-01.
    error : array, shape (S, R)
        Differential minus its forecast, in strokes, by draw of the population.
    spread : array, shape (S, R)
        Standard deviation of that forecast.
    """

    golfer: INTS
    day: INTS
    error: FLOATS
    spread: FLOATS

    @property
    def normal(self) -> FLOATS:
        """Standard normal scores (R,): of the chance, over the draws, of a round no higher."""
        chance = ndtr(self.error / self.spread).mean(axis=0)
        return np.asarray(ndtri(np.clip(chance, 1e-9, 1.0 - 1e-9)))


@dataclass(frozen=True)
class Stretch:
    """Rounds of a month, or of the newest four weeks, beside their forecasts.

    Parameters
    ----------
    name : str
        Year and month; ``newest`` for the last four weeks.
    rounds : int
    off : float
        Mean of differential minus forecast: positive where scores were higher than foreseen.
    error : float
        Standard error of that, the population's own doubt included.
    stands_out : bool
        Whether it lies further off than chance allows, with the number of months looked at in mind.
    """

    name: str
    rounds: int
    off: float
    error: float
    stands_out: bool


@dataclass(frozen=True)
class Spread:
    """How far a golfer's rounds lie from their forecasts, as a multiple of what the fit expects of him."""

    golfer_id: str
    rounds: int
    times: float
    stands_out: bool


@dataclass(frozen=True)
class Misfit:
    """The record beside the fit.

    Parameters
    ----------
    rounds, outside : int
        Rounds, and those outside their 80 % range.
    usual : (int, int)
        Between how many the latter lies nineteen times in twenty where the fit is right.
    alike : float
        Correlation of what is left over of one round and of the golfer's next; 0 where the fit is right.
    alike_error : float
        Its standard error.
    months : tuple of Stretch
    newest : Stretch or None
        None with too few rounds.
    golfers : tuple of Spread
        Those with enough rounds, the furthest off first.
    """

    rounds: int
    outside: int
    usual: tuple[int, int]
    alike: float
    alike_error: float
    months: tuple[Stretch, ...]
    newest: Stretch | None
    golfers: tuple[Spread, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return the record of the ``health`` command."""
        return asdict(self)


def misfit(run: Posterior, tables: Tables) -> Misfit | None:
    """Hold the record against a fit.

    Parameters
    ----------
    run : Posterior
        As stored.
    tables : Tables
        The club's tables now.

    Returns
    -------
    Misfit or None
        None where the record has too few rounds to judge.
    """
    key = ("misfit", as_of_day(tables), tuple(sorted(golfer_digests(tables).items())))
    last: tuple[Any, Misfit | None] | None = run.memory.get(KEPT)
    if last is None or last[0] != key:
        last = run.memory[KEPT] = key, _misfit(run, tables)
    return last[1]


def _misfit(run: Posterior, tables: Tables) -> Misfit | None:
    data, draws = every_row(run, tables)
    if data.scored.sum() < LEAST_ROUNDS:
        return None
    total = len(draws["level_mean"])
    picked = np.unique(np.linspace(0, total - 1, min(DRAWS, total)).astype(int))
    some = draws.each(lambda values: values[picked])
    return judged(left_over(some, data), data.golfers, data.as_of)


def left_over(p: PopulationValues[FLOATS], data: Observations) -> Left:
    """Take each golfer's rounds and tests one after another, and hold each round against its forecast.

    Parameters
    ----------
    p : PopulationValues
        Draws in front, (S, ...).
    data : Observations
        Round stats and strokes by area are left out: a round is forecast from scores and tests before it.

    Returns
    -------
    Left
        Rounds in the order of golfers and days.
    """
    bare = _scores_and_tests(data)
    found = innovations(p, bare)
    kept = found.is_score & (bare.scored[found.occasion] > 0)
    occasion = found.occasion[kept]
    return Left(bare.owner[occasion], bare.days[occasion], found.error[:, kept], found.spread[:, kept])


@dataclass(frozen=True)
class Innovations:
    """What was left over of every measurement M, golfer after golfer, each one's in the order of days.

    ``occasion`` (M,) is its place among the occasions of the data, ``is_score`` (M,) whether it is a
    differential; ``error`` and ``spread`` (S, M) are in the measurement's own unit.
    """

    occasion: INTS
    is_score: npt.NDArray[np.bool_]
    error: FLOATS
    spread: FLOATS


def innovations(p: PopulationValues[FLOATS], data: Observations) -> Innovations:
    """Take each golfer's measurements one after another, and forecast each from those before it.

    A golfer's lasting mismatch in a kind of test is one more effect of his own here, of variance 1, and so is
    his form at it, which is forgotten when a spell ends.
    """
    sheet = sheet_of(data)
    found = said(p, sheet, sheet.occasions, np)
    load = directions(found, sheet)
    error, scale, apart, form = (
        np.concatenate(each, axis=-1) for each in (found.errors, found.scales, found.mismatches, found.forms)
    )
    kinds = 2 * sheet.kinds_of_test
    of_kind = sheet.alike == np.arange(sheet.kinds_of_test)[:, None]
    load = np.concatenate([load, apart[..., None, :] * of_kind, form[..., None, :] * of_kind], axis=-2)
    cover = prior_cover(p, data)
    own = cover.shape[-1]
    whole = np.zeros((*cover.shape[:-2], own + kinds, own + kinds))
    whole[..., :own, :own], whole[..., own:, own:] = cover, np.eye(kinds)
    place = sheet.rows[sheet.place]
    parts: list[tuple[INTS, FLOATS, FLOATS]] = []
    for first in range(0, sheet.golfers, AT_ONCE):
        last = min(first + AT_ONCE, sheet.golfers)
        rows = [sheet.order[sheet.bounds[one] : sheet.bounds[one + 1]] for one in range(first, last)]
        rows = [one[np.lexsort((one, data.days[place[one]]))] for one in rows]
        parts.append(_in_order(rows, load, error, whole, _ended(rows, sheet, own + sheet.kinds_of_test)))
    order, above, wide = (np.concatenate(each, axis=-1) for each in zip(*parts, strict=True))
    is_score = np.concatenate(
        [np.full(one.count, kind == SCORE) for one in sheet.groups for kind in one.kinds]
    )
    unit = 1.0 / scale[..., order]
    return Innovations(place[order], is_score[order], above * unit, wide * unit)


def _scores_and_tests(data: Observations) -> Observations:
    """The observations with nothing seen but scores and tests."""
    seen = {kind: known * (kind in (SCORE, TEST)) for kind, known in data.seen.items()}
    return replace(data, seen=seen)


def _ended(rows: list[INTS], sheet: Sheet, first: int) -> list[INTS]:
    """Effect to be forgotten before each measurement of each golfer, -1 for none: the form at a kind of test
    whose spell has ended; ``first`` is that of the first kind."""
    found = []
    for mine in rows:
        kind, spell = sheet.alike[mine], sheet.spell[sheet.place[mine]]
        out = np.full(len(mine), -1, dtype=np.int64)
        for one in np.unique(kind[kind >= 0]):
            at = np.flatnonzero(kind == one)
            out[at[1:][np.diff(spell[at]) != 0]] = first + one
        found.append(out)
    return found


def _in_order(
    rows: list[INTS], load: FLOATS, error: FLOATS, cover: FLOATS, ended: list[INTS]
) -> tuple[INTS, FLOATS, FLOATS]:
    """Kalman's recursion over the measurements of some golfers, all of them at once.

    Before a measurement the effect that ``ended`` names, if any, is as before the first one.

    Returns
    -------
    rows : array, shape (M,)
        Measurements, golfer after golfer.
    above, spread : arrays, shape (S, M)
        What was left over and its standard deviation, in units of the measurement's own error.
    """
    samples, size = cover.shape[0], cover.shape[-1]
    now = np.broadcast_to(cover[:, None], (samples, len(rows), size, size)).copy()
    mean = np.zeros((samples, len(rows), size))
    most = max((len(one) for one in rows), default=0)
    above, spread = np.zeros((2, samples, len(rows), most))
    for step in range(most):
        at = np.array([place for place, one in enumerate(rows) if step < len(one)])
        which = np.array([rows[place][step] for place in at])
        for place in at:
            if (over := ended[place][step]) >= 0:
                mean[:, place, over] = 0.0
                now[:, place, over, :], now[:, place, :, over] = 0.0, 0.0
                now[:, place, over, over] = 1.0
        along = np.moveaxis(load[..., which], -1, 1)
        moved = (now[:, at] @ along[..., None])[..., 0]
        variance = 1.0 + (along * moved).sum(axis=-1)
        rest = error[:, which] - (along * mean[:, at]).sum(axis=-1)
        above[:, at, step], spread[:, at, step] = rest, np.sqrt(variance)
        gain = moved / variance[..., None]
        mean[:, at] += gain * rest[..., None]
        now[:, at] -= gain[..., :, None] * moved[..., None, :]
    held = np.concatenate([np.full(len(one), place) for place, one in enumerate(rows)])
    steps = np.concatenate([np.arange(len(one)) for one in rows])
    return np.concatenate(rows), above[:, held, steps], spread[:, held, steps]


def judged(left: Left, golfers: tuple[str, ...], as_of: int) -> Misfit:
    """Judge what was left over: its range, months and golfers, and whether it lasts from round to round."""
    normal, rounds = left.normal, len(left.day)
    outside = int((np.abs(normal) > -ndtri((1.0 - CENTRAL) / 2.0)).sum())
    low, high = (binomial_quantile(share, rounds, 1.0 - CENTRAL) for share in (0.025, 0.975))
    same = left.golfer[1:] == left.golfer[:-1]
    pairs = int(same.sum())
    alike = float((normal[1:] * normal[:-1])[same].mean()) if pairs else 0.0
    latest = _stretch("newest", left, left.day > as_of - NEWEST_DAYS, 1)
    return Misfit(
        rounds=rounds,
        outside=outside,
        usual=(low, high),
        alike=alike,
        alike_error=float(pairs**-0.5) if pairs else float("inf"),
        months=_months(left),
        newest=latest,
        golfers=_golfers(normal, left, golfers),
    )


def binomial_quantile(share: float, count: int, chance: float) -> int:
    """Fewest of ``count`` that so many cases, at least ``share`` of all, do not exceed."""
    if not count:
        return 0
    most = int(np.ceil(bdtrik(share, count, chance)))
    return most - 1 if most and bdtr(most - 1, count, chance) >= share else most


def _months(left: Left) -> tuple[Stretch, ...]:
    names = np.array([f"{EPOCH + timedelta(days=int(day)):%Y-%m}" for day in left.day])
    found, counts = np.unique(names, return_counts=True)
    looked = found[counts >= LEAST_ROUNDS]
    months = [_stretch(str(name), left, names == name, len(looked)) for name in looked]
    return tuple(one for one in months if one is not None)


def _stretch(name: str, left: Left, which: npt.NDArray[np.bool_], looks: int) -> Stretch | None:
    count = int(which.sum())
    if count < LEAST_ROUNDS:
        return None
    off = left.error[:, which].mean(axis=1)
    luck = (left.spread[:, which] ** 2).sum(axis=1).mean() / count**2
    error = float(np.sqrt(luck + off.var()))
    limit = -ndtri(FALSE_ALARM / looks / 2.0)
    return Stretch(name, count, float(off.mean()), error, bool(abs(off.mean()) > limit * error))


def _golfers(normal: FLOATS, left: Left, golfers: tuple[str, ...]) -> tuple[Spread, ...]:
    counts = np.bincount(left.golfer, minlength=len(golfers))
    squares = np.bincount(left.golfer, weights=normal**2, minlength=len(golfers))
    looked = [place for place in range(len(golfers)) if counts[place] >= LEAST_ROUNDS]
    found = []
    for place in looked:
        chance = chdtrc(counts[place], squares[place])
        out = min(chance, 1.0 - chance) < FALSE_ALARM / len(looked) / 2.0
        times = float(np.sqrt(squares[place] / counts[place]))
        found.append(Spread(golfers[place], int(counts[place]), times, bool(out)))
    return tuple(sorted(found, key=lambda one: -abs(np.log(max(one.times, 1e-9)))))
