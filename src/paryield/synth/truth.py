"""The truth of a made-up club: what its golfers lose, also under another plan and beyond the record.

Every answer comes from running the club's own dynamics forward; a difference runs them twice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.synth.golfers import FORM_SD, FORM_WEEKS, Roster
from paryield.synth.life import Life
from paryield.synth.rounds import Courses, Ints, month_weight, round_noise
from paryield.synth.skills import AREA_SHARES

WEEKLY_KEPT = float(np.exp(-1.0 / FORM_WEEKS))

Plan = Mapping[str, float]
Day = date | str
Dates = Sequence[Day] | pd.DatetimeIndex


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


@dataclass(frozen=True)
class Truth:
    """What is really so in a made-up club.

    Parameters
    ----------
    roster, life, courses
        The club as drawn and lived.
    ids : tuple of str
        Golfers, in the order of the arrays.
    rate : array, shape (golfers,)
        Rounds a month, averaged over the year.
    """

    roster: Roster
    life: Life
    courses: Courses
    ids: tuple[str, ...]
    rate: FLOATS

    def areas(self, golfer_id: str, on: Day, plan: Plan | None = None) -> FLOATS:
        """Return strokes lost by area on a date, shape (areas,); they sum to the mean differential."""
        return self.areas_on(golfer_id, [on], plan)[0]

    def areas_on(self, golfer_id: str, dates: Dates, plan: Plan | None = None) -> FLOATS:
        """Return strokes lost by area on dates, shape (dates, areas)."""
        return self._lost(self._golfer(golfer_id), self._days(dates), self.hours(golfer_id, plan))

    def mean_differential(self, golfer_id: str, dates: Dates, plan: Plan | None = None) -> FLOATS:
        """Return the expected score differential on dates: average over courses, conditions 0.

        Parameters
        ----------
        golfer_id : str
            Golfer.
        dates : sequence of dates
            From the start of the record to the end of the weeks lived.
        plan : mapping of category to hours a week, optional
            Practised in every week after the record instead of what the golfer went on to do;
            categories not named get 0 hours.

        Returns
        -------
        array, shape (dates,)
            Strokes; form and season of the day included.

        Raises
        ------
        InputError
            When the golfer, a category or a date is not of this club.
        """
        return np.asarray(self.areas_on(golfer_id, dates, plan).sum(axis=1))

    def hours(self, golfer_id: str, plan: Plan | None = None) -> FLOATS:
        """Return hours by category and week lived, shape (categories, weeks)."""
        hours = self.life.hours[self._golfer(golfer_id)].copy()
        if plan is not None:
            hours[:, self.roster.now :] = 0.0
            for category, weekly in plan.items():
                hours[self._category(category), self.roster.now :] = weekly
        return hours

    def habit(self, golfer_id: str) -> dict[str, float]:
        """Return the mean weekly hours by category in the last 26 weeks of the record."""
        now = self.roster.now
        recent = self.life.hours[self._golfer(golfer_id), :, max(self.roster.first, now - 26) : now]
        return dict(zip(self.roster.spec.categories, map(float, recent.mean(axis=1)), strict=True))

    def gain(
        self,
        golfer_id: str,
        category: str,
        weeks: int = 12,
        extra_hours_per_week: float = 1.0,
        plan: Plan | None = None,
    ) -> float:
        """Return strokes gained after ``weeks`` of extra hours: forward twice, with and without."""
        self._within(weeks)
        base = self.hours(golfer_id, plan)
        more = base.copy()
        more[self._category(category), self.roster.now : self.roster.now + weeks] += extra_hours_per_week
        on = self._days([self.roster.spec.ends_on + timedelta(days=7 * weeks)])
        who = self._golfer(golfer_id)
        return float((self._lost(who, on, base) - self._lost(who, on, more)).sum())

    def population_gain(self, category: str, hours: float = 20.0, weeks: int = 10) -> float:
        """Return the club's mean gain, in strokes, of ``hours`` spread over the next ``weeks``."""
        gains = [self.gain(golfer_id, category, weeks, hours / weeks) for golfer_id in self.ids]
        return float(np.mean(gains))

    def causes(self, golfer_id: str, dates: Dates) -> dict[str, FLOATS]:
        """Return what the mean differential is made of on dates; the entries sum to it."""
        who, days = self._golfer(golfer_id), self._days(dates)
        week = self.roster.week_of(days)
        drift = self.roster.drift(np.full(len(days), who), days.astype(float)).sum(axis=1)
        programme = np.array([self.life.enrolments.gained(int(number))[who].sum() for number in week])
        return {
            "practice": self.life.practice_strokes[who][:, week].sum(axis=0),
            "form": self.roster.form[who][:, week].sum(axis=0),
            "season_and_background": drift,
            "programme": -programme,
        }

    def forward(
        self, golfer_id: str, weeks: int, plan: Plan | None = None, n_sims: int = 1000, seed: int = 0
    ) -> Forward:
        """Simulate the golfer's rounds in the weeks after the record.

        Form goes on at random from its true value on the last day; a round is on any course of the club.
        """
        self._within(weeks)
        who = self._golfer(golfer_id)
        days = future_days(self.roster, float(self.rate[who]), weeks)
        settled = self._lost(who, days, self.hours(golfer_id, plan)).sum(axis=1)
        settled -= self.roster.form[who][:, self.roster.week_of(days)].sum(axis=0)
        return play_on(self.roster, self.courses, who, days, settled, n_sims, np.random.default_rng(seed))

    def programme_gain(self, golfer_id: str) -> float:
        """Return strokes that the programme itself gave by the end of the record."""
        return float(self.life.enrolments.gained(self.roster.now)[self._golfer(golfer_id)].sum())

    def _lost(self, who: int, days: npt.NDArray[np.intp], hours: FLOATS) -> FLOATS:
        roster, first = self.roster, self.roster.first
        effort = roster.learning.effort(hours[None], slice(who, who + 1))
        practice = roster.learning.strokes(effort, who, first)
        week = roster.week_of(days)
        programme = np.array([self.life.enrolments.gained(int(number))[who] for number in week])
        lost = (
            practice[week - first]
            + roster.form[who][:, week].T
            - programme.reshape(len(days), len(AREA_SHARES))
        )
        return lost + roster.drift(np.full(len(days), who), days.astype(float))

    def _days(self, dates: Dates) -> npt.NDArray[np.intp]:
        since = pd.DatetimeIndex([pd.Timestamp(day) for day in dates]) - pd.Timestamp(
            self.roster.spec.starts_on
        )
        days = np.asarray(since.days, dtype=np.intp)
        last = 7 * (self.roster.weeks - self.roster.first) - 2
        if len(days) and (days.min() < 0 or days.max() > last):
            spec = self.roster.spec
            raise InputError(
                f"dates must lie from {spec.starts_on} to {spec.starts_on + timedelta(days=last)}",
                where="truth of the made-up club",
                remedy="make the club with more future_weeks",
            )
        return days

    def _within(self, weeks: int) -> None:
        if not 0 < weeks < self.roster.spec.future_weeks:
            raise InputError(
                f"weeks must lie from 1 to {self.roster.spec.future_weeks - 1}, found {weeks}",
                where="truth of the made-up club",
                remedy="make the club with more future_weeks",
            )

    def _golfer(self, golfer_id: str) -> int:
        if golfer_id not in self.ids:
            raise InputError(
                f"no golfer {golfer_id!r}", where="truth of the made-up club", remedy="use an id of its table"
            )
        return self.ids.index(golfer_id)

    def _category(self, category: str) -> int:
        categories = self.roster.spec.categories
        if category not in categories:
            raise InputError(
                f"no category {category!r}",
                where="truth of the made-up club",
                remedy=f"use {', '.join(categories)}",
            )
        return categories.index(category)
