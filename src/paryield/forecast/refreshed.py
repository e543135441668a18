"""A stored fit brought up to the rows now on record: the population as it was, golfers as they are."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from paryield.arrays import FLOATS, INTS
from paryield.dose.diary import read_diary
from paryield.errors import InputError
from paryield.forecast.once import hand_on
from paryield.forecast.weights import smoothed
from paryield.model.conditional import Population
from paryield.model.constants import constants, kept_axis, practice_part
from paryield.model.context import Context
from paryield.model.design import Observations, as_of_day, build_observations
from paryield.model.doses import doses, settled_hours, with_phantom
from paryield.model.fresh import with_categories, with_courses, with_programmes, with_tests
from paryield.model.population import PopulationValues, of_draws
from paryield.model.spec import stored_spec
from paryield.model.terms import TERMS, VALUES
from paryield.model.terms.drift import SHORTEST_DAYS, come
from paryield.model.terms.term import Moments
from paryield.posterior import Posterior
from paryield.posterior.contents import GOLFER
from paryield.posterior.live import GolferView, LivePosterior
from paryield.tables import Tables
from paryield.tables.digest import golfer_digests

LAST = "record"
"""Under this name the last record asked for is kept with a fit."""
KEPT_GOLFERS = 512
"""Golfers whose draws are kept with a fit; 0.5 MB each with 2,000 draws."""


@dataclass(frozen=True)
class Clock:
    """The start of a golfer's record, the last day of the fit and the last day now; days since 1970-01-01."""

    start: float
    then: float
    now: float

    def drifted(self, day: float, until: float) -> float:
        """Share of the drift up to ``until`` that is there on a day."""
        return float(come(day - self.start, until - self.start))


def carried(
    own: dict[str, FLOATS],
    population: PopulationValues[FLOATS],
    clock: Clock,
    knots: tuple[FLOATS, FLOATS],
    seed: int,
    golfer_id: str,
) -> dict[str, FLOATS]:
    """Carry a golfer's draws from the last day of the fit to the last day now.

    Parameters
    ----------
    own : dict of arrays, shape (S, ...)
        As of the fit.
    population : PopulationValues
        Draws in front, (S, ...).
    clock : Clock
    knots : pair of arrays
        Days of the fit's knots of form, and of those now.
    seed : int
    golfer_id : str

    Returns
    -------
    dict of arrays
        As of now. Form that was lived through stays as it was; from the last day of the fit on it is drawn
        from its own law, the last day first, so that a day more hardly moves what was drawn for another.
    """
    rng = np.random.default_rng([seed, 21, zlib.crc32(golfer_id.encode())])
    drift = own["drift"] * clock.drifted(min(clock.now, clock.then), clock.then)
    ahead = max(clock.now - clock.then, 0.0)
    record = max(clock.then - clock.start, SHORTEST_DAYS)
    # The fit holds the first Karhunen-Loeve term of a random walk over the record (see forecast.outlook).
    walk = population["sd_drift"] * np.pi / np.sqrt(8.0) * np.sqrt(ahead / record)
    drift = drift + walk[:, None] * rng.normal(size=drift.shape)
    now = clock.drifted(clock.now, clock.now)
    return {
        **own,
        "drift": drift / now if now > 0 else drift,
        "wander": _form(own["wander"], population, clock.then, knots, rng),
    }


def _form(
    before: FLOATS,
    population: PopulationValues[FLOATS],
    then: float,
    knots: tuple[FLOATS, FLOATS],
    rng: np.random.Generator,
) -> FLOATS:
    """Form at the knots of now, shape (S, W): straight between the fit's knots, mean-reverting after them."""
    old, new = knots
    place = np.clip((new - old[0]) / (old[1] - old[0]), 0.0, len(old) - 1.0)
    left = np.minimum(place.astype(int), len(old) - 2)
    weight = place - left
    out: FLOATS = before[:, left] * (1.0 - weight) + before[:, left + 1] * weight
    right_day, right = np.inf, np.zeros(len(before))
    for knot in range(len(new) - 1, -1, -1):
        if new[knot] <= then:
            break
        mean, spread = _between(before[:, -1], new[knot] - then, right, right_day - then, population)
        right = mean + spread * rng.normal(size=len(before))
        right_day = new[knot]
        out[:, knot] = right
    return out


def _between(
    left: FLOATS, day: float, right: FLOATS, right_day: float, population: PopulationValues[FLOATS]
) -> tuple[FLOATS, FLOATS]:
    """Mean and spread of form on a day after ``left``, given ``right`` on a later day (none: infinite)."""
    rate, spread = 1.0 / population["wander_days"], population["sd_wander"]
    one = np.exp(-rate * day)
    if np.isinf(right_day):
        return one * left, spread * np.sqrt(1.0 - one**2)
    two = np.exp(-rate * (right_day - day))
    both = one * two
    whole = np.maximum(1.0 - both**2, 1e-12)
    mean = (one * (1.0 - two**2) * left + two * (1.0 - one**2) * right) / whole
    return mean, spread * np.sqrt((1.0 - one**2) * (1.0 - two**2) / whole)


def refreshed(run: Posterior, tables: Tables) -> Posterior:
    """Bring a fit up to the rows now on record.

    Population values stay as the fit drew them. A golfer of whom a row came, went or changed is drawn anew
    from his rows, exactly given each draw of the population; the draws are weighed by how much better or
    worse each foresees his rows now than those that the fit saw. Others keep their draws, carried to the
    present day. The outcome depends on the fit and the rows alone, not on the order in which they came.

    Parameters
    ----------
    run : Posterior
        As stored.
    tables : Tables
        The club's tables now.

    Returns
    -------
    Posterior
        The fit itself where nothing that it read has changed; else golfers are worked out when asked for.

    Raises
    ------
    InputError
        When the stored fit does not hold what that takes.
    """
    rows: dict[str, str] | None = run.facts.get("rows")
    if rows is None:
        raise InputError("the stored fit is not whole", remedy="run paryield fit again")
    now, as_of = golfer_digests(tables), as_of_day(tables)
    if now == rows and as_of == run.as_of:
        return run
    last: tuple[Any, Posterior] | None = run.memory.get(LAST)
    key = as_of, len(tables.rounds), tuple(sorted(now.items()))
    if last is None or last[0] != key:
        same = [golfer for golfer in run.golfers if now.get(golfer) == rows.get(golfer, "")]
        last = run.memory[LAST] = key, _Record(run, tables, as_of, same, now).posterior()
    return last[1]


class _Record:
    """The rows now on record, beside a fit."""

    def __init__(
        self, run: Posterior, tables: Tables, as_of: int, same: list[str], digests: dict[str, str]
    ) -> None:
        self.run, self.tables, self.as_of, self.same, self.digests = run, tables, as_of, same, digests
        self.changed = [golfer for golfer in digests if golfer not in set(same)]
        self.spec = stored_spec(run.facts["spec"])
        context = Context.from_dict(run.facts["context"], run.ghosts())
        done = set(tables.practice.loc[tables.practice["state"].fillna("done") == "done", "category"])
        weekly = {**dict.fromkeys(sorted(done), 0.0), **context.diary.weekly}
        self.context = replace(context, diary=replace(context.diary, weekly=weekly))
        few = golfers_only(tables, self.changed)
        self.data = build_observations(few, self.spec, as_of, self.context)
        hand_on(few, tables)
        self.programmes = sorted({*run.facts["programmes"], *self.data.programmes})
        names = list(run.facts["programmes"])
        draws = with_categories(
            of_draws(run.population()), run.categories, self.data.categories, self.data.serves, self.spec
        )
        self.draws = with_programmes(draws, names, self.programmes, self.spec)
        self.places = {golfer: place for place, golfer in enumerate(self.data.golfers)}
        self._ready: Population | None = None

    def posterior(self) -> LivePosterior:
        """Return the club; its golfers are worked out when asked for."""
        facts = {
            **self.run.facts,
            "as_of": self.as_of,
            "categories": [one.name for one in self.data.categories],
            "programmes": self.programmes,
            "fit_as_of": self.run.as_of,
            "changed": sorted(self.changed),
            "rounds_now": len(self.tables.rounds),
        }
        groups = {"/posterior": self._population(), "/constant_data": self._constants()}
        return LivePosterior(xr.DataTree.from_dict(groups), facts, self.golfer, self.run)

    def _population(self) -> xr.Dataset:
        before = self.run.tree["posterior"].to_dataset()
        shape = before.sizes["chain"], before.sizes["draw"]
        coords: dict[str, Any] = {name: before[name].values for name in ("chain", "draw", "area", "course")}
        coords |= {"programme": self.programmes, "category": [one.name for one in self.data.categories]}
        values = {
            name: (
                ("chain", "draw", *one.dims),
                self.draws[name].reshape(*shape, *self.draws[name].shape[1:]),
            )
            for name, one in VALUES.items()
            if name in self.draws
        }
        return xr.Dataset(values, coords={name: known for name, known in coords.items() if len(known)})

    def _constants(self) -> xr.Dataset:
        """Constants of all golfers, those of the fit first, in its order."""
        found = constants(self.data)
        fit = self.run.tree["constant_data"].to_dataset()
        mine = fit.isel(golfer=[self.run.golfer_number(golfer) for golfer in self.same])
        names = [one.name for one in self.data.categories]
        if self.as_of != self.run.as_of or names != self.run.categories:
            mine = mine.drop_vars([name for name, one in mine.items() if "category" in one.dims])
            mine = mine.assign(self._practice(mine["starts"].values.astype(np.int64)))
        of_programmes = [name for name, one in mine.items() if "programme" in one.dims]
        mine = mine.drop_vars(["knots", "node_half_life", "serves", *of_programmes], errors="ignore")
        both = xr.concat([mine, found.drop_vars([n for n in found.data_vars if n not in mine])], "golfer")
        seen = [golfer for golfer in self.run.golfers if golfer in self.digests]
        order = [*seen, *sorted(set(self.digests) - set(seen))]
        both = both.isel(golfer=pd.Index(both["golfer"].values).get_indexer(order))
        both = both.assign({name: found[name] for name in ("knots", "node_half_life", "serves")})
        return both.assign(self._of_programmes(order))

    def _practice(self, starts: INTS) -> dict[str, Any]:
        """Practice of the golfers of whom nothing is new, up to the last day now."""
        people = self.tables.golfers.set_index("golfer_id", drop=False)
        golfers = people.loc[self.same].reset_index(drop=True)
        practice = self.tables.practice[self.tables.practice["golfer_id"].isin(self.same)]
        diary = read_diary(practice, golfers, self.tables.categories, starts, self.as_of, self.context.diary)
        ghosts = settled_hours(diary, self.context.ghosts)
        categories, hours, habit = with_phantom(diary, starts, self.spec, ghosts)
        none = np.zeros(0, dtype=np.int64)
        found = doses(categories, hours, habit, none, none, starts, diary.first_day, self.as_of)
        part = practice_part(diary, categories, found)
        return {"drift_now": ("golfer", come(self.as_of - starts, self.as_of - starts)), **part}

    def _of_programmes(self, order: list[str]) -> dict[str, Any]:
        """What each golfer has of each programme on the last day."""
        shape = len(order)
        today = Moments(
            np.array(order, dtype=object),
            np.full(shape, self.as_of),
            np.zeros(shape),
            np.zeros(shape),
            self.as_of,
            self.spec.priors,
            tuple(self.programmes),
            self.tables,
        )
        terms = (term for term in TERMS if term.kept and kept_axis(term) == "programme")
        return {term.kept: (("golfer", "programme"), term.columns(today).T) for term in terms}

    def golfer(self, club: Posterior, golfer_id: str) -> GolferView:
        """Work one golfer out, or remember him."""
        if golfer_id not in self.places:
            return GolferView(club, golfer_id, self._carried(golfer_id))
        memory = self.run.memory
        key = ("golfer", golfer_id, self.digests[golfer_id], self.as_of, tuple(self.programmes),
               tuple(one.name for one in self.data.categories))  # fmt: skip
        if key not in memory:
            while len(memory) >= KEPT_GOLFERS:
                memory.pop(next(name for name in memory if name != LAST))
            memory[key] = self._drawn(golfer_id)
        return GolferView(club, golfer_id, *memory[key])

    def _carried(self, golfer_id: str) -> dict[str, FLOATS]:
        place = self.run.golfer_number(golfer_id)
        own = {name: self.run.drawn(name, place) for name in GOLFER}
        if self.as_of == self.run.as_of:
            return own
        start = float(self.run.constant("starts")[place])
        knots = self.run.constant("knots"), self.data.knots
        clock = Clock(start, float(self.run.as_of), float(self.as_of))
        return carried(own, self.draws, clock, knots, self.spec.seed, golfer_id)

    def _drawn(self, golfer_id: str) -> tuple[dict[str, FLOATS], INTS, float]:
        """Draw a golfer from his rows and weigh the draws by how they foresaw what is new in them."""
        if self._ready is None:
            self._ready = Population(self._for_rows(), self.spec, self.data.knots)
        own = self._ready.given(self.data, self.places[golfer_id], self.spec.seed)
        known = golfer_id in self.run.golfers
        before = self.run.evidence(golfer_id) if known else np.zeros(self._ready.samples)
        weights, k = smoothed(own.evidence - before)
        picks = placed(weights)
        return {name: values[picks].astype(np.float32) for name, values in own.values.items()}, picks, k

    def _for_rows(self) -> PopulationValues[FLOATS]:
        """Population values in the order of the courses, programmes and tests of the rows."""
        courses = [str(one) for one in self.run.facts["courses"]]
        draws = with_courses(self.draws, courses, list(self.data.courses), self.spec)
        draws = with_programmes(draws, self.programmes, list(self.data.programmes), self.spec)
        tests = [task.name for task in self.context.tests]
        return with_tests(draws, tests, self.data.tests, self.data.test_area, self.spec)


def every_row(run: Posterior, tables: Tables) -> tuple[Observations, PopulationValues[FLOATS]]:
    """Return all rows now on record as observations, and the fit's population values in their order.

    The population values (S, ...) hold what the priors fix as well.
    """
    record = _Record(run, tables, as_of_day(tables), [], golfer_digests(tables))
    return record.data, Population(record._for_rows(), record.spec, record.data.knots).draws


def placed(weights: FLOATS) -> INTS:
    """Numbers of draws, each as often as its weight says, give or take one; one that stays keeps its place.

    Systematic resampling; the places of draws that are dropped are filled with what others have too many of.
    """
    count = len(weights)
    points = (np.arange(count) + 0.5) / count
    found = np.minimum(np.searchsorted(np.cumsum(weights), points), count - 1)
    copies = np.bincount(found, minlength=count)
    out = np.arange(count)
    out[copies == 0] = np.repeat(np.arange(count), np.maximum(copies - 1, 0))
    return out


def golfers_only(tables: Tables, golfers: list[str]) -> Tables:
    """Return the tables with the rows of some golfers; programmes, plans and calendar as they are."""
    whole = ("programmes", "plans", "calendar")
    kept: dict[str, Any] = {
        name: frame[frame["golfer_id"].isin(golfers)].reset_index(drop=True)
        for name, frame in tables.items()
        if name not in whole
    }
    return replace(tables, **kept)
