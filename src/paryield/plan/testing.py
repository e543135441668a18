"""What a golfer should be tested on: what each test would tell a minute, the routine, and who is due.

Two questions are weighed: the golfer's own areas, and which category of practice is best for him. Both are
put in bits, by the exact update of a linear and Gaussian model over the draws of the fit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast import habit_hours
from paryield.forecast.rounds import club_paces
from paryield.plan.learning import Information, signal_of, told_by
from paryield.plan.options import Question, golfer_question
from paryield.plan.trial import Schedule, Trial, make_trial
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.rounds.coach_tests import FALLBACK
from paryield.rounds.tasks import TASKS, Task, strokes_error
from paryield.tables import AREAS, Tables
from paryield.tables.kinds_of_test import name_of_kind

EVERY_DAYS = 14
"""A routine comes round every other week (our choice)."""
MINUTES_A_WEEK = 10.0
WEEKS = 12
SEARCH_DRAWS, DATA_SETS = 500, 200

MISMATCH = {"putting": 0.5}
OTHER_MISMATCH = 1.1
"""How far a golfer's test may lie from his course for good, strokes a round: the model's priors over what a
stroke is worth on each scale (judgement there)."""

LEVEL_SD, KNOWN_LEVEL_SD, OWN_SD = 6.0, 2.0, 1.6
"""Before any record: spread of golfers' levels, of the level of one whose index is known, and of an area of
one beyond what his level says; strokes (the first and last of the model's priors, the second our choice)."""

SHARE: FLOATS = np.array([FALLBACK[area][0] for area in AREAS]) / sum(FALLBACK[area][0] for area in AREAS)
NOTHING, INDEX, FIT = "golfers in general", "the index", "the fit"


@dataclass(frozen=True)
class Known:
    """Strokes lost by area as known now: mean (K,), covariance (K, K), and what that rests on."""

    mean: FLOATS
    cover: FLOATS
    rests_on: str

    def after(self, place: int, variance: float) -> Known:
        """What is known after one area was measured with an error of this variance (exact)."""
        column = self.cover[:, place]
        cover = self.cover - np.outer(column, column) / (self.cover[place, place] + variance)
        return replace(self, cover=cover)


@dataclass(frozen=True)
class Worth:
    """What one whole test would tell.

    Parameters
    ----------
    task : Task
    error : float
        Of the test about strokes lost in its area, by sampling.
    sd_now, sd_after : float
        Doubt about the area now and after the test, strokes a round.
    bits_areas : float
        Told of the golfer's four areas together.
    best : Information or None
        Which category is best, after twelve weeks of the present practice with this test every other week
        against the same weeks without; None without a fit. ``before`` is after the weeks without.
    """

    task: Task
    error: float
    sd_now: float
    sd_after: float
    bits_areas: float
    best: Information | None

    @property
    def variance(self) -> float:
        """Variance about the area: sampling, and what lies between test and course."""
        return self.error**2 + MISMATCH.get(self.task.kind, OTHER_MISMATCH) ** 2

    @property
    def bits_best(self) -> float | None:
        """Bits told of which category is best, at least 0."""
        return None if self.best is None else max(self.best.gain, 0.0)


@dataclass(frozen=True)
class Slot:
    """One test of a golfer: when it was last done, and when it is due; ``chosen`` in the routine."""

    worth: Worth
    chosen: bool
    last_on: date | None
    due_on: date

    def is_due(self, day: date) -> bool:
        """Whether it belongs to the routine and is due by a day."""
        return self.chosen and self.due_on <= day


@dataclass(frozen=True)
class Routine:
    """A golfer's tests, most telling a minute first."""

    golfer_id: str
    on: date
    minutes_a_week: float
    rests_on: str
    slots: tuple[Slot, ...]

    @property
    def chosen(self) -> tuple[Slot, ...]:
        """Those of the routine."""
        return tuple(slot for slot in self.slots if slot.chosen)

    @property
    def due(self) -> tuple[Slot, ...]:
        """Those of the routine that are due."""
        return tuple(slot for slot in self.slots if slot.is_due(self.on))

    def records(self) -> list[dict[str, Any]]:
        """One record a test, as the command writes them."""
        return [_record(self, slot) for slot in self.slots]


def _record(routine: Routine, slot: Slot) -> dict[str, Any]:
    worth, task = slot.worth, slot.worth.task
    return {
        "golfer_id": routine.golfer_id,
        "on": routine.on,
        "test": task.name,
        "kind": task.kind,
        "area": task.area,
        "minutes": task.minutes,
        "chosen": slot.chosen,
        "due": slot.is_due(routine.on),
        "last_on": slot.last_on,
        "due_on": slot.due_on,
        "error": worth.error,
        "doubt_now": worth.sd_now,
        "doubt_after": worth.sd_after,
        "bits_areas": worth.bits_areas,
        "bits_best": worth.bits_best,
        "bits_best_error": None if worth.best is None else worth.best.error,
        "rests_on": routine.rests_on,
    }


def sound_fit(club: Any) -> Posterior | None:
    """Return the newest fit where there is one and it is sound; what to test needs none."""
    from paryield.posterior.current import stored_fit

    if club.latest_run() is None:
        return None
    _, posterior = stored_fit(club)
    return posterior if posterior.facts["health"]["ok"] else None


def routines(
    tables: Tables,
    posterior: Posterior | None,
    *,
    golfer: str | None = None,
    minutes: float = MINUTES_A_WEEK,
    on: date | None = None,
) -> list[Routine]:
    """Return the routine of one golfer or of every golfer who is in the club.

    Parameters
    ----------
    tables : Tables
    posterior : Posterior or None
        A sound fit, if there is one; golfers that it does not hold are weighed by their index.
    golfer : str, optional
    minutes : float
        Of testing a week.
    on : date, optional
        Day whose due tests are asked for; today when None.

    Raises
    ------
    InputError
        For an unknown golfer, or minutes that hold no test.
    """
    day = on or date.today()
    least = min(task.minutes for task in TASKS) * 7.0 / EVERY_DAYS
    if minutes < least:
        raise InputError(
            f"{minutes:g} minutes a week hold no whole test every other week",
            where="--minutes",
            remedy=f"give at least {least:g}",
        )
    ids = [str(one) for one in tables.golfers["golfer_id"]]
    if golfer is not None and golfer not in ids:
        raise InputError(f"there is no golfer {golfer!r}", remedy="use an id of the golfers table")
    left = tables.golfers.set_index("golfer_id")["left_on"]
    here = [one for one in ids if pd.isna(left[one]) or left[one] > pd.Timestamp(day)]
    few = None if posterior is None else thinned(posterior, SEARCH_DRAWS)
    done = last_tests(tables, day)
    return [
        _routine(tables, few, one, minutes, day, done.get(one, {}))
        for one in ([golfer] if golfer is not None else here)
    ]


def _routine(
    tables: Tables,
    posterior: Posterior | None,
    golfer: str,
    minutes: float,
    day: date,
    done: Mapping[str, date],
) -> Routine:
    if posterior is None or golfer not in posterior.golfers:
        known = known_before(tables, golfer)
        for task in TASKS:
            if task.kind in done:
                known = known.after(AREAS.index(task.area), variance_of(task, known))
        worths = [worth_of(task, known, None) for task in TASKS]
    else:
        hours = habit_hours(posterior, golfer)
        trial = make_trial(
            posterior, golfer, WEEKS, club_paces(tables, posterior.golfers, posterior.as_of)[golfer]
        )
        known = known_by(trial, hours)
        question = golfer_question(posterior, golfer)
        best = best_told(trial, question, hours, known, int(posterior.facts["seed"]))
        worths = [worth_of(task, known, best[task.name]) for task in TASKS]
    order, chosen = chosen_first(known, worths, minutes * EVERY_DAYS / 7.0)
    slots = []
    for worth in order:
        last = done.get(worth.task.kind)
        due = day if last is None else last + timedelta(days=EVERY_DAYS)
        slots.append(Slot(worth, worth.task.name in chosen, last, due))
    return Routine(golfer, day, minutes, known.rests_on, tuple(slots))


def known_before(tables: Tables, golfer: str) -> Known:
    """What is known of a golfer's areas before any record: his index, if that."""
    index = float(tables.golfers.set_index("golfer_id")["start_index"].to_dict()[golfer])
    told = not np.isnan(index)
    # Mean differential at an index: computed from the unofficial expected score of nine holes.
    level = 1.04 * index + 2.4 if told else sum(FALLBACK[area][0] for area in AREAS)
    sd = KNOWN_LEVEL_SD if told else LEVEL_SD
    cover = sd**2 * np.outer(SHARE, SHARE) + OWN_SD**2 * np.diag(SHARE)
    return Known(level * SHARE, cover, INDEX if told else NOTHING)


def known_by(trial: Trial, hours: FLOATS) -> Known:
    """What the draws of a fit say of a golfer's areas now."""
    now = trial.lost(Schedule(("",), hours[None, :]), np.zeros(1))[:, 0, :] + trial.beside[:, 0, :]
    return Known(now.mean(axis=0), np.atleast_2d(np.cov(now.T)), FIT)


def variance_of(task: Task, known: Known) -> float:
    """Variance of a test as a measurement of its area: sampling, and what lies between test and course."""
    error = strokes_error(task, float(known.mean[AREAS.index(task.area)]))
    return error**2 + MISMATCH.get(task.kind, OTHER_MISMATCH) ** 2


def worth_of(task: Task, known: Known, best: Information | None) -> Worth:
    """What one test would tell of what is known."""
    place, variance = AREAS.index(task.area), variance_of(task, known)
    before = float(known.cover[place, place])
    after = float(known.after(place, variance).cover[place, place])
    error = strokes_error(task, float(known.mean[place]))
    # Half the log of a determinant's ratio: for one measurement that of its own variance.
    bits = 0.5 * np.log2(1.0 + before / variance)
    return Worth(task, error, float(np.sqrt(before)), float(np.sqrt(after)), float(bits), best)


def repeated(task: Task, known: Known, weeks: int) -> FLOATS:
    """Root (T K, R) of what a test every other week says of the areas week by week.

    All its results share the golfer's own mismatch between test and course, so that only their change tells
    of practice.
    """
    days = np.arange(1, weeks, EVERY_DAYS // 7)
    place = AREAS.index(task.area)
    error = strokes_error(task, float(known.mean[place]))
    noise = error**2 * np.eye(len(days)) + MISMATCH.get(task.kind, OTHER_MISMATCH) ** 2
    reads = np.zeros((len(days), weeks * len(AREAS)))
    reads[np.arange(len(days)), days * len(AREAS) + place] = 1.0
    root: FLOATS = reads.T @ np.linalg.cholesky(np.linalg.inv(noise))
    return root


def best_told(
    trial: Trial, question: Question, hours: FLOATS, known: Known, seed: int
) -> dict[str, Information]:
    """What each test adds to which category is best, over weeks of the present practice."""
    weeks = len(trial.days)
    seen = trial.lost(Schedule(("",), hours[None, :]), trial.days) + trial.beside
    flat = seen.reshape(len(seen), -1)

    def told(root: FLOATS) -> Information:
        signal = signal_of(flat, trial.wander, root)
        return told_by(question.returns, signal, outer=DATA_SETS, seed=seed)

    without = told(trial.root)
    found = {}
    for task in TASKS:
        with_test = told(np.hstack([trial.root, repeated(task, known, weeks)]))
        found[task.name] = Information(without.after, with_test.after, with_test.error)
    return found


def chosen_first(known: Known, worths: Sequence[Worth], minutes: float) -> tuple[list[Worth], set[str]]:
    """Order tests by what they tell a minute after those before them, and fill the minutes with whole ones.

    Both questions count alike, each as a share of what the most telling test says of it (our choice); what a
    test says of the areas is worked out anew after every one that was chosen.
    """
    most_best = max((worth.bits_best or 0.0 for worth in worths), default=0.0)
    most_areas = max(worth.bits_areas for worth in worths)
    left, order, chosen = list(worths), [], set[str]()
    now = known
    while left:

        def value(worth: Worth, now: Known = now) -> float:
            place = AREAS.index(worth.task.area)
            bits = 0.5 * np.log2(1.0 + now.cover[place, place] / worth.variance)
            best = (worth.bits_best or 0.0) / most_best if most_best > 0 else 0.0
            return float(bits / most_areas + best) / worth.task.minutes

        fits = [worth for worth in left if worth.task.minutes <= minutes + 1e-9]
        first = max(fits or left, key=value)
        order.append(first)
        left.remove(first)
        if fits:
            minutes -= first.task.minutes
            chosen.add(first.task.name)
            now = now.after(AREAS.index(first.task.area), first.variance)
    return order, chosen


def last_tests(tables: Tables, day: date) -> dict[str, dict[str, date]]:
    """The last day of each kind of test by golfer, up to a day."""
    tests = tables.assessments[["golfer_id", "assessed_on", "test"]].dropna()
    kinds = {name: name_of_kind(str(name)) for name in tests["test"].unique()}
    counted = tests.assign(kind=tests["test"].map(kinds), on=tests["assessed_on"])
    balls = tables.strikes.assign(on=tables.strikes["struck_on"])
    both = pd.concat([frame[["golfer_id", "kind", "on"]] for frame in (counted, balls)], ignore_index=True)
    both = both[both["kind"].notna() & (both["on"] <= pd.Timestamp(day))]
    found: dict[str, dict[str, date]] = {}
    latest = both.groupby(["golfer_id", "kind"])["on"].max().reset_index()
    for row in latest.to_dict("records"):
        found.setdefault(str(row["golfer_id"]), {})[str(row["kind"])] = row["on"].date()
    return found
