"""From tables to the arrays that a fit reads."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS, INTS
from paryield.dose.diary import Diary, days_since_epoch, read_diary
from paryield.dose.exposure import enrolments
from paryield.errors import InputError
from paryield.model.context import Context, TestTask
from paryield.model.doses import Doses, doses, settled_hours, with_phantom
from paryield.model.occasions import (
    STATS,
    Scales,
    index_rows,
    interpolation,
    knots_of,
    level_guess,
    newcomers,
    newness_of,
    noise_guess,
    round_rows,
    spell_of,
    test_rows,
)
from paryield.model.spec import ModelSpec
from paryield.model.terms import EFFECTS, TERMS
from paryield.model.terms.drift import come
from paryield.model.terms.term import Moments
from paryield.tables import Tables
from paryield.tables.categories import AREAS, Category

SAME_STROKES = 0.1
"""Differentials are rounded to tenths, and areas of a round with every shot add up to its own."""


@dataclass(frozen=True)
class Observations:
    """Arrays of one club: golfer N, occasion R (sorted by golfer and day), category J, area K, knot W.

    ``bounds`` (N + 1,) says which occasions are whose; ``owner`` (R,) is the golfer of each. ``seen``,
    ``value`` and ``error`` hold, per kind of measurement that the club has at all, arrays (R,): 1.0 where
    measured, the measurement, and its known error (0 where unknown or not measured). ``documented`` (R,) is
    1.0 where any area's strokes were measured, ``scored`` where a round has a differential. ``course`` is
    one-hot (R, C), ``which_test`` (R, Q); ``newness`` (R,) is that of a test to its golfer, ``spell`` (R,)
    counts the spells of a golfer's form at tests, -1 for what is no test. ``columns`` holds what each term of
    the model weighs at occasions, (columns, R) by its name, and ``kept`` the same of each golfer on the last
    day, (N, columns), where days to come need it.
    ``scales`` holds mean and spread of tests with values, ``habit_centre`` (K,) the mean that ``habit_area``
    is centred on.
    """

    golfers: tuple[str, ...]
    categories: tuple[Category, ...]
    courses: tuple[str, ...]
    programmes: tuple[str, ...]
    tests: tuple[TestTask, ...]
    as_of: int
    starts: INTS
    bounds: INTS
    owner: INTS
    days: INTS
    seen: dict[str, FLOATS]
    value: dict[str, FLOATS]
    error: dict[str, FLOATS]
    typical: dict[str, float]
    documented: FLOATS
    scored: FLOATS
    course: FLOATS
    columns: dict[str, FLOATS]
    kept: dict[str, FLOATS]
    which_test: FLOATS
    test_area: FLOATS
    newness: FLOATS
    spell: INTS
    joined: FLOATS
    drift: FLOATS
    knots: FLOATS
    knot: INTS
    knot_weight: FLOATS
    doses: Doses
    habit: FLOATS
    habit_area: FLOATS
    level_guess: FLOATS
    noise_guess: FLOATS
    noise_df: FLOATS
    gap_guess: FLOATS
    serves: FLOATS
    floor: float
    reference_level: float
    bend_hours: float
    diary: Diary
    scales: Scales
    habit_centre: FLOATS

    @property
    def effects(self) -> int:
        """Number of linear effects of one golfer."""
        return sum(effect.size(self) for effect in EFFECTS)

    @cached_property
    def kind_of_test(self) -> INTS:
        """Place of each test's kind among the club's kinds, shape (Q,): a golfer differs by kind for good.

        What is counted in the diary is a kind apart.
        """
        kinds = list(dict.fromkeys((task.kind, task.practice) for task in self.tests))
        return np.array([kinds.index((task.kind, task.practice)) for task in self.tests], dtype=np.int64)

    @property
    def kinds_of_test(self) -> int:
        """Number of kinds of test."""
        return int(self.kind_of_test.max(initial=-1)) + 1

    @property
    def spells(self) -> int:
        """Spells of form at tests that a golfer has at most."""
        return int(self.spell.max(initial=-1)) + 1

    @property
    def latents(self) -> int:
        """What moves a golfer's tests beside his effects: a lasting mismatch by kind, then his spells."""
        return self.kinds_of_test + self.spells

    @property
    def documents(self) -> bool:
        """Whether any round of the club has measured areas."""
        return bool(self.documented.any())

    def count(self, kind: str) -> FLOATS:
        """Number of each golfer's measurements of one kind, shape (N,)."""
        seen = self.seen.get(kind, np.zeros(len(self.owner)))
        return np.bincount(self.owner, weights=seen, minlength=len(self.golfers))


def as_of_day(tables: Tables) -> int:
    """Day of the last round, practice, test or measured ball on record, in days since 1970-01-01."""
    dated = (
        tables.rounds["played_on"],
        tables.practice["practised_on"],
        tables.assessments["assessed_on"],
        tables.strikes["struck_on"],
    )
    dates = pd.concat(dated).dropna()
    if dates.empty:
        raise InputError("the club holds no rounds and no practice", remedy="import a rounds table first")
    return int(days_since_epoch(dates).max())


def _starts(golfers: pd.DataFrame, dated: list[pd.Series], as_of: int) -> INTS:
    by_golfer = pd.concat(dated).groupby(level=0).min()
    starts = pd.to_datetime(golfers["golfer_id"].astype(object).map(by_golfer.to_dict()))
    known = starts.notna().to_numpy(bool)
    out = np.full(len(golfers), as_of, dtype=np.int64)
    out[known] = days_since_epoch(starts[known])
    return out


def build_observations(
    tables: Tables, spec: ModelSpec, as_of: int | None = None, settled: Context | None = None
) -> Observations:
    """Build the arrays of a fit.

    Parameters
    ----------
    tables : Tables
    spec : ModelSpec
    as_of : int, optional
        Last day that may be read, in days since 1970-01-01; later rows are left out.
    settled : Context, optional
        What an earlier fit of the club has settled: the tables may then hold some of its golfers only.

    Raises
    ------
    InputError
        When there is nothing to fit.
    """
    day = as_of_day(tables) if as_of is None else as_of
    cut = pd.Timestamp(np.datetime64(day, "D"))
    golfers = tables.golfers.sort_values("golfer_id", ignore_index=True)
    rounds = round_rows(tables, cut)
    if settled is None and rounds["differential"].notna().sum() == 0:
        raise InputError("there is not one round with a differential", remedy="import rounds before fitting")
    order = pd.Index(golfers["golfer_id"])
    rounds = pd.concat([rounds, index_rows(golfers, rounds, day)], ignore_index=True)
    scored = rounds[rounds["differential"].notna()].sort_values(["golfer_id", "on", "round_no"])
    owner = order.get_indexer(scored["golfer_id"])
    level = level_guess(scored["differential"], owner, len(golfers), spec)
    noise = noise_guess(scored["differential"], scored["differential_error"], owner, level, spec)
    scales = None if settled is None else dict(settled.scales)
    tests, scales = test_rows(tables, cut, _area_priors(list(order), level, spec), scales)
    practice = tables.practice[tables.practice["practised_on"] <= cut]
    dated = [frame.groupby("golfer_id")["on"].min() for frame in (rounds, tests) if len(frame)]
    dated.append(practice.groupby("golfer_id")["practised_on"].min())
    starts = _starts(golfers, dated, day)
    diary = read_diary(
        practice, golfers, tables.categories, starts, day, None if settled is None else settled.diary
    )
    rows = (
        pd.concat([rounds, tests], ignore_index=True)
        if len(tests)
        else rounds.assign(test=pd.Series(pd.NA, index=rounds.index, dtype="string"))
    )
    rows = rows.sort_values(["golfer_id", "on", "round_no"], ignore_index=True, na_position="last")
    programmes = tables.programmes
    if settled is None:
        programmes = programmes[programmes["golfer_id"].isin(order)]
    own = replace(tables, programmes=programmes)
    return _arrays(rows, golfers, own, diary, starts, day, level, noise, spec, scales, settled)


def _area_priors(
    golfers: list[str], level: FLOATS, spec: ModelSpec
) -> dict[tuple[str, str], tuple[float, float]]:
    """Strokes lost by area to be expected at a golfer's mean differential, for reading test counts."""
    share = np.array(spec.priors.share) / sum(spec.priors.share)
    return {
        (golfer, area): (float(share[place] * level[number]), spec.priors.test_reading_sd)
        for number, golfer in enumerate(golfers)
        for place, area in enumerate(AREAS)
    }


def _measurements(rows: pd.DataFrame, kinds: tuple[str, ...] | None) -> tuple[dict[str, FLOATS], ...]:
    """What was measured, the measurements and their errors, by kind; ``kinds`` where they are settled."""
    seen: dict[str, FLOATS] = {}
    value: dict[str, FLOATS] = {}
    error: dict[str, FLOATS] = {}
    columns = {**{name: name for name in (*AREAS, *STATS, "differential")}, "test": "value"}
    for kind, column in columns.items():
        none = column not in rows or rows[column].notna().sum() == 0
        if none if kinds is None and kind != "differential" else kinds is not None and kind not in kinds:
            continue
        if column not in rows:
            seen[kind], value[kind], error[kind] = (
                np.zeros(len(rows)),
                np.zeros(len(rows)),
                np.ones(len(rows)),
            )
            continue
        here: Any = rows[column].astype("float64").to_numpy(dtype=float)
        if kind == "differential":
            here = np.where(_summed(rows, here), np.nan, here)
        seen[kind] = (~np.isnan(here)).astype(float)
        value[kind] = np.nan_to_num(here)
        sd = rows[f"{kind}_error"].astype("float64").to_numpy()
        # Where nothing was measured the typical error stands, so that no division fails there.
        known = sd[~np.isnan(here)]
        error[kind] = np.where(np.isnan(here), np.sqrt(np.mean(known**2)) if len(known) else 1.0, sd)
    return seen, value, error


def _summed(rows: pd.DataFrame, differential: Any) -> npt.NDArray[np.bool_]:
    """Rounds whose measured areas add up to the differential: it says nothing beside them; shape (R,)."""
    areas = rows[list(AREAS)].astype("float64").to_numpy().sum(axis=1)
    return np.asarray(np.abs(areas - differential) < SAME_STROKES)


def _habit_by_area(
    diary: Diary, habit: FLOATS, serves: FLOATS, settled: Context | None
) -> tuple[FLOATS, FLOATS]:
    """Weekly hours that serve each area, beyond the mean of those with a diary, (N, K), and that mean."""
    real = len(diary.categories)
    by_area: FLOATS = habit[:, :real] @ serves[:real]
    writers = diary.has_diary
    if settled is not None:
        centre = np.array(settled.habit_area)
    else:
        centre = by_area[writers].mean(axis=0) if writers.any() else np.zeros(len(AREAS))
    return (by_area - centre) * writers[:, None], centre


def _tests_of(rows: pd.DataFrame, settled: Context | None) -> tuple[tuple[TestTask, ...], FLOATS, FLOATS]:
    """The club's tests, one-hot (R, Q), and the area of each (Q, K)."""
    known = rows[rows["test"].notna()].drop_duplicates("test").sort_values("test")
    found = {} if settled is None else dict(zip(settled.tests, settled.areas, strict=True))
    for row in known.to_dict("records"):
        task = TestTask(str(row["test"]), str(row["kind"]), str(row["scale"]), row["source"] == "practice")
        found.setdefault(task, str(row["area"]))
    which = np.zeros((len(rows), len(found)))
    area = np.zeros((len(found), len(AREAS)))
    for place, (task, where) in enumerate(found.items()):
        mine = (rows["test"] == task.name).fillna(False).to_numpy(bool)
        which[mine, place] = 1.0
        area[place, AREAS.index(where)] = 1.0
    return tuple(found), which, area


def _arrays(
    rows: pd.DataFrame,
    golfers: pd.DataFrame,
    tables: Tables,
    diary: Diary,
    starts: INTS,
    as_of: int,
    level: FLOATS,
    noise: tuple[FLOATS, FLOATS],
    spec: ModelSpec,
    scales: Scales,
    settled: Context | None,
) -> Observations:
    owner = np.asarray(pd.Index(golfers["golfer_id"]).get_indexer(rows["golfer_id"]), dtype=np.int64)
    bounds = np.searchsorted(owner, np.arange(len(golfers) + 1)).astype(np.int64)
    day = days_since_epoch(rows["on"]).astype(np.int64)
    kinds = None if settled is None else (*settled.kinds, "test")
    seen, value, error = _measurements(rows, kinds)
    typical = {kind: _typical(seen[kind], error[kind]) for kind in seen}
    courses = tuple(sorted(set(rows["course"].dropna())))
    elapsed = day - starts[owner]
    joined = newcomers(golfers, starts)
    knots = knots_of(int(starts.min()) if settled is None else settled.first_day, as_of, spec)
    knot, knot_weight = interpolation(day, knots)
    ghosts = None if settled is None else settled_hours(diary, settled.ghosts)
    categories, hours, habit = with_phantom(diary, starts, spec, ghosts)
    serves = np.array([[c.serves.get(area, 0.0) for area in AREAS] for c in categories])
    serves = serves.reshape(-1, len(AREAS))
    share = np.array(spec.priors.share) / sum(spec.priors.share)
    habit_area, centre = _habit_by_area(diary, habit, serves, settled)
    tests, which, test_area = _tests_of(rows, settled)
    names = tuple(sorted({one.programme for one in enrolments(tables.programmes, as_of)}))
    known: dict[str, Any] = {"as_of": as_of, "priors": spec.priors, "programmes": names, "tables": tables}
    ids = rows["golfer_id"].to_numpy(object)
    played = Moments(ids, day, starts[owner], joined[owner], rounds=rows, fitted=True, **known)
    everyone = golfers["golfer_id"].to_numpy(object)
    today = Moments(everyone, np.full(len(golfers), as_of), starts, joined, **known)
    tested = rows["test"].notna().to_numpy(bool)
    documented = sum((seen[area] for area in AREAS if area in seen), np.zeros(len(rows)))
    return Observations(
        golfers=diary.golfers,
        categories=categories,
        courses=courses or ("",),
        programmes=names,
        tests=tests,
        as_of=as_of,
        starts=starts,
        bounds=bounds,
        owner=owner,
        days=day,
        seen=seen,
        value=value,
        error=error,
        typical=typical if settled is None else {**typical, **settled.typical},
        documented=(documented > 0).astype(float),
        scored=np.asarray(rows["differential"].notna() & (rows["round_no"] > 0).fillna(False), dtype=float),
        course=_one_hot(rows["course"], courses),
        columns={term.name: term.columns(played) * (term.at_tests | ~tested) for term in TERMS},
        kept={term.kept: term.now(today, played).T for term in TERMS if term.kept},
        which_test=which,
        test_area=test_area,
        newness=newness_of(rows, spec.priors),
        spell=spell_of(rows, day),
        joined=joined,
        drift=come(elapsed, (as_of - starts)[owner]),
        knots=knots,
        knot=knot,
        knot_weight=knot_weight,
        doses=doses(categories, hours, habit, day, owner, starts, diary.first_day, as_of),
        habit=habit,
        habit_area=habit_area,
        level_guess=level,
        noise_guess=noise[0],
        noise_df=noise[1],
        gap_guess=share[None, :] * level[:, None] - spec.floor,
        serves=serves,
        floor=spec.floor,
        reference_level=spec.reference_level,
        bend_hours=spec.bend_hours,
        diary=diary,
        scales=scales,
        habit_centre=centre,
    )


def _typical(seen: FLOATS, error: FLOATS) -> float:
    """Root mean square of the known errors of one kind of measurement."""
    return float(np.sqrt(np.mean(error[seen > 0] ** 2))) if seen.any() else 1.0


def _one_hot(names: Any, known: tuple[str, ...]) -> FLOATS:
    """1.0 at the course of each round, shape (R, C); a round without a course, and a test, has none."""
    number = pd.Index(known or ("",)).get_indexer(names.fillna("").to_numpy(object))
    out: FLOATS = (number[:, None] == np.arange(max(len(known), 1))).astype(float)
    return out * (names.notna().to_numpy(float)[:, None])
