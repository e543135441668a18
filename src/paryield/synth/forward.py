"""Rounds of one made-up golfer beyond the record, many times over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.synth.golfers import FORM_SD, FORM_WEEKS, Roster
from paryield.synth.rounds import Courses, Ints, month_weight, round_noise

WEEKLY_KEPT = float(np.exp(-1.0 / FORM_WEEKS))


@dataclass(frozen=True)
class Forward:
    """Rounds of one golfer simulated beyond the record.

    Parameters
    ----------
    dates : DatetimeIndex, length rounds
        Dates at his own rate, the same in every simulation.
    differentials : array, shape (simulations, rounds)
        Score differentials to a tenth.
    mean : array, shape (rounds,)
        Expected differential given his form on the last day of the record.
    """

    dates: pd.DatetimeIndex
    differentials: FLOATS
    mean: FLOATS


def future_days(roster: Roster, rate: float, weeks: int) -> Ints:
    """Return days of rounds in the weeks after the record, from the start of the record, evenly spread.

    Parameters
    ----------
    rate : float
        Rounds a month, averaged over the year.
    """
    now = roster.now
    weekly = rate * 12.0 / 52.18 * month_weight(roster)[now : now + weeks]
    reached = np.concatenate([[0.0], np.cumsum(weekly)])
    wanted = np.arange(0.5, reached[-1])
    days = np.interp(wanted, reached, 7.0 * np.arange(weeks + 1)).astype(np.intp)
    return np.asarray(7 * roster.spec.weeks + days)


def play_on(
    roster: Roster,
    courses: Courses,
    who: int,
    days: npt.NDArray[np.intp],
    settled: FLOATS,
    n_sims: int,
    rng: np.random.Generator,
) -> Forward:
    """Simulate rounds on given days: form goes on at random, any course of the club, fresh noise.

    Parameters
    ----------
    who : int
        Golfer.
    days : int array, shape (rounds,)
        Days from the start of the record.
    settled : array, shape (rounds,)
        Expected differential on those days without form.
    n_sims : int
        Number of simulations.
    """
    ahead = roster.week_of(days) - roster.now
    form = np.empty((n_sims, int(ahead.max(initial=0)) + 1))
    form[:, 0] = roster.form[who, :, roster.now].sum()
    for step in range(1, form.shape[1]):
        fresh = FORM_SD * roster.spec.traits.form * np.sqrt(1.0 - WEEKLY_KEPT**2) * rng.normal(size=n_sims)
        form[:, step] = WEEKLY_KEPT * form[:, step - 1] + fresh
    noise = round_noise(rng, n_sims * len(days)).sum(axis=1).reshape(n_sims, len(days))
    course = rng.choice(courses.harder, (n_sims, len(days)))
    rounds = settled + form[:, ahead] + noise * roster.noise_sd[who] + course
    dates = pd.DatetimeIndex(pd.Timestamp(roster.spec.starts_on) + pd.to_timedelta(days, unit="D"))
    mean = settled + form[0, 0] * WEEKLY_KEPT**ahead
    return Forward(dates, np.floor(10.0 * rounds + 0.5) / 10.0, mean)
