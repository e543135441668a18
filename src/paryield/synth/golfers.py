"""The golfers of a made-up club: level, learning, form, season and spread of their rounds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.synth.skills import AREA_SHARES, EARLIER_WEEKS, Learning, make_learning
from paryield.synth.spec import ClubSpec
from paryield.synth.stress import Stress, draw_stress

FORM_SD = 0.8
FORM_WEEKS = 10.0
SEASON_STROKES = 0.7
BEST_DAY_OF_YEAR = 205


@dataclass(frozen=True)
class Roster:
    """Everything about the golfers that is drawn before the first week is lived.

    Weeks are counted from ``EARLIER_WEEKS`` before the record on; the club lives ``weeks`` of them.

    Parameters
    ----------
    learning : Learning
        What practice does.
    hours : array, shape (golfers,)
        Usual practice hours a week.
    began, joined : int array, shape (golfers,)
        Week of the first practice and of joining the club.
    background : array, shape (golfers,)
        Strokes a year gained without practice, at the start of the record.
    season : array, shape (golfers,)
        Half the difference between the worst and the best time of the year, strokes.
    form : array, shape (golfers, areas, weeks)
        Slow ups and downs, strokes lost.
    noise_sd : array, shape (golfers,)
        Spread of one round, strokes.
    stress : Stress
        What only some kinds of club have.
    """

    spec: ClubSpec
    learning: Learning
    hours: FLOATS
    began: npt.NDArray[np.intp]
    joined: npt.NDArray[np.intp]
    background: FLOATS
    season: FLOATS
    form: FLOATS
    noise_sd: FLOATS
    stress: Stress

    @property
    def first(self) -> int:
        """First week of the record."""
        return EARLIER_WEEKS

    @property
    def now(self) -> int:
        """First week after the record."""
        return EARLIER_WEEKS + self.spec.weeks

    @property
    def weeks(self) -> int:
        """Weeks lived: earlier, recorded and future."""
        return self.now + self.spec.future_weeks

    def week_start(self, week: int) -> date:
        """Return the first day of a week."""
        return self.spec.starts_on + timedelta(days=7 * (week - EARLIER_WEEKS))

    def week_of(self, day: npt.NDArray[np.intp]) -> npt.NDArray[np.intp]:
        """Return the week whose start is the state on a day: the last day sees all practice of its week."""
        return np.asarray((day + 1) // 7 + EARLIER_WEEKS)

    def drift(self, golfer: npt.NDArray[np.intp], day: FLOATS) -> FLOATS:
        """Return background and season by area, strokes lost, shape (rounds, areas).

        Parameters
        ----------
        golfer : int array, shape (rounds,)
            Golfers.
        day : array, shape (rounds,)
            Days since the start of the record.
        """
        years = np.maximum(day, 0.0) / 365.25
        gained = self.background[golfer] * 1.5 * (1.0 - np.exp(-years / 1.5))
        lost = self.season[golfer] * season_shape(day, self.spec.starts_on) - gained
        week = np.clip(self.week_of(np.asarray(day, dtype=np.intp)), 0, self.weeks - 1)
        lost = lost - self.stress.beside[golfer, week]
        return lost[:, None] * self.spec.shares


def season_shape(day: FLOATS, starts_on: date) -> FLOATS:
    """Return the time of the year from -1 (best) to about 1 (worst); a year averages 0."""
    angle = 2.0 * np.pi * (day + starts_on.timetuple().tm_yday - BEST_DAY_OF_YEAR) / 365.25
    return -(np.cos(angle) - 0.15 * np.cos(2.0 * angle)) / 0.85 * 0.85


def draw_roster(spec: ClubSpec, rng: np.random.Generator, stress: np.random.Generator) -> Roster:
    """Draw the golfers of a club; ``stress`` decides what only some kinds of club have."""
    n, weeks = spec.golfers, EARLIER_WEEKS + spec.weeks + spec.future_weeks
    z_hours = rng.normal(size=n)
    z_level = rng.normal(size=n)
    hours = np.clip(2.6 * np.exp(0.5 * z_hours), 0.5, 9.0)
    level = 21.5 + 7.5 * z_level - (3.0 * z_hours if spec.traits.busy else 0.0)
    shares = rng.dirichlet(2.5 * 19.0 * spec.shares, size=n)
    began, joined = _joined(rng, _first_weeks(rng, n), spec)
    background = rng.normal(0.25, 0.5, n)
    season = SEASON_STROKES * np.exp(rng.normal(0.0, 0.2) + rng.normal(0.0, 0.25, n))
    form = _form(rng, n, weeks) * spec.traits.form
    spread = np.exp(rng.normal(0.0, 0.2, n) - 0.2**2 / 2)
    total = np.clip(level, 4.0, 42.0)
    learning = make_learning(
        rng, total, shares, weeks, spec.categories, spec.effect * spec.traits.effect, spec.traits.half_life
    )
    noise_sd = _round_sd(np.maximum(0.9 * total - 2.5, 0.0) / 1.04) * spread * spec.noise
    return Roster(
        spec,
        learning,
        hours,
        began,
        joined,
        background,
        season,
        form,
        noise_sd,
        draw_stress(spec, stress, EARLIER_WEEKS, weeks),
    )


def _round_sd(index: FLOATS) -> FLOATS:
    """Spread of a round: 2.6 + 0.043 x index, less what form and courses add in a record.

    The line is computed from the USGA odds table (Rules of Handicapping, Appendix E, verified), which is
    about whole records; the variance of form and courses in one record is about 0.8 (computed).
    """
    return np.sqrt((2.6 + 0.043 * index) ** 2 - 0.8)


def _first_weeks(rng: np.random.Generator, n: int) -> npt.NDArray[np.intp]:
    """A third are newcomers, a third have practised for years, the rest lie between."""
    kind = rng.random(n)
    new = EARLIER_WEEKS - rng.integers(0, 9, n)
    between = rng.integers(0, EARLIER_WEEKS - 8, n)
    return np.where(kind < 0.35, new, np.where(kind < 0.70, 0, between)).astype(np.intp)


def _joined(
    rng: np.random.Generator, began: npt.NDArray[np.intp], spec: ClubSpec
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Some join during the record, half of them to practise for the first time."""
    n = len(began)
    late = (rng.random(n) < spec.late_share) & (spec.weeks > 2)
    week = EARLIER_WEEKS + rng.integers(1, max(2, int(0.4 * spec.weeks)), n)
    elsewhere = rng.random(n) < 0.3
    first_time = late & (rng.random(n) < 0.5)
    before = np.where(elsewhere, (began + EARLIER_WEEKS) // 2, began)
    joined = np.where(late, week, before).astype(np.intp)
    return np.where(first_time, week, began).astype(np.intp), joined


def _form(rng: np.random.Generator, n: int, weeks: int) -> FLOATS:
    """A stationary first-order autoregression for each area, 0.8 strokes in sum."""
    keep = np.exp(-1.0 / FORM_WEEKS)
    steps = rng.normal(size=(weeks, n, 4)) * FORM_SD * np.sqrt(AREA_SHARES)
    form = np.empty((weeks, n, 4))
    form[0] = steps[0]
    for week in range(1, weeks):
        form[week] = keep * form[week - 1] + np.sqrt(1.0 - keep**2) * steps[week]
    return np.moveaxis(form, 0, 2)
