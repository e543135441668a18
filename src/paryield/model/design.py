"""From tables to the arrays that a fit reads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.diary import DAYS_PER_WEEK, Diary, days_since_epoch, read_diary
from paryield.dose.stock import HALF_LIFE_NODES, steady_stock, stock
from paryield.errors import InputError
from paryield.model.spec import ModelSpec
from paryield.scoring import differentials
from paryield.tables import Tables
from paryield.tables.categories import AREAS, Category
from paryield.units import DAYS_PER_YEAR

FLOATS = npt.NDArray[np.float64]
INTS = npt.NDArray[np.int64]
NEWCOMER_DAYS = 60
STRIP = 16
"""Rounds in a strip: short enough to waste little, long enough for large matrix products."""
SHORTEST_DRIFT_DAYS = 180.0
SCRATCH_GAP = 5.0


@dataclass(frozen=True)
class Observations:
    """Padded arrays of one club: golfer N, strip M, round R in a strip, category J, area K, knot W.

    ``belongs`` (M, N) is 1.0 where a strip is a golfer's; ``*_strip`` repeat a golfer's values by strip.
    ``course`` is one-hot (M, R, C). ``has_*`` are 1.0 where the round says something and 0.0 elsewhere,
    padding included. ``stock``, ``decay`` and ``steady`` hold one array per tabulated half-life.
    """

    golfers: tuple[str, ...]
    categories: tuple[Category, ...]
    courses: tuple[str, ...]
    as_of: int
    starts: INTS
    belongs: FLOATS
    days: INTS
    differential: FLOATS
    greens: FLOATS
    putts: FLOATS
    has_diff: FLOATS
    has_greens: FLOATS
    has_putts: FLOATS
    course: FLOATS
    competition: FLOATS
    years: FLOATS
    joining: FLOATS
    joined: FLOATS
    cos: FLOATS
    sin: FLOATS
    drift: FLOATS
    interpolate: FLOATS
    knots: FLOATS
    knot_gap: FLOATS
    lower: FLOATS
    first_knot: FLOATS
    stock: tuple[FLOATS, ...]
    decay: tuple[FLOATS, ...]
    steady: tuple[FLOATS, ...]
    steady_strip: tuple[FLOATS, ...]
    stock_now: tuple[FLOATS, ...]
    decay_now: tuple[FLOATS, ...]
    habit_area: FLOATS
    habit_strip: FLOATS
    level_guess: FLOATS
    noise_guess: FLOATS
    noise_df: FLOATS
    gap_guess: FLOATS
    gap_strip: FLOATS
    serves: FLOATS
    floor: float
    reference_level: float
    bend_hours: float
    diary: Diary

    @property
    def effects(self) -> int:
        """Number of linear effects of one golfer."""
        return 2 * len(AREAS) + 2 + len(self.knots)


def category_nodes(categories: tuple[Category, ...]) -> list[FLOATS]:
    """Half-lives at which stocks are tabulated, one array (category,) per node."""
    base = np.array([category.half_life_days for category in categories])
    return [base * multiple for multiple in HALF_LIFE_NODES]


def phantom_category(categories: tuple[Category, ...]) -> Category:
    """A category that nobody practised: it serves the areas that the real ones serve on average."""
    serves = {area: float(np.mean([c.serves.get(area, 0.0) for c in categories])) for area in AREAS}
    half_life = float(np.median([category.half_life_days for category in categories]))
    return Category("phantom", serves, None, "none", half_life)


def _phantom_hours(diary: Diary, starts: INTS) -> FLOATS:
    """Hours of the phantom: another golfer's mean category, moved to the golfer's own start."""
    golfers, days, _ = diary.hours.shape
    mean = diary.hours.mean(axis=2)
    out = np.zeros((golfers, days))
    writers = np.flatnonzero(diary.has_diary)
    for place, golfer in enumerate(writers):
        other = writers[(place + max(1, len(writers) // 2)) % len(writers)]
        source = mean[other, max(int(starts[other]) - diary.first_day, 0) :]
        begin = max(int(starts[golfer]) - diary.first_day, 0)
        if other == golfer:
            source = source[::-1]
        room = days - begin
        out[golfer, begin:] = np.resize(source, room)
    return out


def as_of_day(tables: Tables) -> int:
    """Latest played_on or practised_on in the club, in days since 1970-01-01."""
    dates = pd.concat([tables.rounds["played_on"], tables.practice["practised_on"]]).dropna()
    if dates.empty:
        raise InputError("the club holds no rounds and no practice", remedy="import a rounds table first")
    return int(days_since_epoch(dates).max())


def _starts(golfers: pd.DataFrame, rounds: pd.DataFrame, practice: pd.DataFrame, as_of: int) -> INTS:
    first = pd.concat(
        [rounds.groupby("golfer_id")["played_on"].min(), practice.groupby("golfer_id")["practised_on"].min()]
    )
    by_golfer = first.groupby(level=0).min()
    starts = golfers["golfer_id"].map(by_golfer)
    known = starts.notna().to_numpy(bool)
    out = np.full(len(golfers), as_of, dtype=np.int64)
    out[known] = days_since_epoch(starts[known])
    return out


def build_observations(tables: Tables, spec: ModelSpec, as_of: int | None = None) -> Observations:
    """Build the arrays of a fit.

    Parameters
    ----------
    tables : Tables
    spec : ModelSpec
    as_of : int, optional
        Last day that may be read, in days since 1970-01-01; later rows are left out.

    Raises
    ------
    InputError
        When there is nothing to fit.
    """
    day = as_of_day(tables) if as_of is None else as_of
    cut = pd.Timestamp(np.datetime64(day, "D"))
    rounds = differentials(tables)
    rounds = rounds[rounds["played_on"] <= cut]
    if rounds.empty:
        raise InputError("there is not one round with a differential", remedy="import rounds before fitting")
    stats = tables.rounds[["golfer_id", "played_on", "round_no", "greens_hit", "putts", "competition"]]
    rounds = rounds.merge(stats, on=["golfer_id", "played_on", "round_no"], how="left")
    practice = tables.practice[tables.practice["practised_on"] <= cut]
    golfers = tables.golfers.sort_values("golfer_id", ignore_index=True)
    starts = _starts(golfers, rounds, practice, day)
    diary = read_diary(practice, golfers, tables.categories, starts, day)
    return _arrays(rounds, golfers, diary, starts, day, spec)


def _strips(rounds: pd.DataFrame, golfers: pd.DataFrame) -> tuple[INTS, INTS, INTS, INTS]:
    """Golfer, strip and place in the strip of each round (sorted by golfer and day); owner of each strip."""
    order = {golfer: number for number, golfer in enumerate(golfers["golfer_id"])}
    golfer = rounds["golfer_id"].map(order).to_numpy(int)
    number = rounds.groupby("golfer_id").cumcount().to_numpy(int)
    starts_strip = number % STRIP == 0
    strip = np.cumsum(starts_strip) - 1
    parts = (golfer, strip, number % STRIP, golfer[starts_strip])
    first, second, third, fourth = (np.asarray(part, dtype=np.int64) for part in parts)
    return first, second, third, fourth


def _arrays(
    rounds: pd.DataFrame,
    golfers: pd.DataFrame,
    diary: Diary,
    starts: INTS,
    as_of: int,
    spec: ModelSpec,
) -> Observations:
    rounds = rounds.sort_values(["golfer_id", "played_on", "round_no"], ignore_index=True)
    golfer, row, column, owner = _strips(rounds, golfers)
    shape = (len(owner), min(STRIP, int(column.max()) + 1))

    def padded(values: Any, empty: float = 0.0) -> FLOATS:
        out = np.full(shape, empty, dtype=float)
        out[row, column] = np.nan_to_num(np.asarray(values, dtype=float), nan=empty)
        return out

    full = (rounds["holes"].astype("float64") == 18).to_numpy()
    greens = rounds["greens_hit"].astype("float64").to_numpy()
    putts = rounds["putts"].astype("float64").to_numpy()
    has_g, has_p = full & ~np.isnan(greens), full & ~np.isnan(putts)
    day = np.full(shape, as_of, dtype=np.int64)
    day[row, column] = days_since_epoch(rounds["played_on"])
    courses = tuple(sorted(set(rounds["course"].dropna())))
    number = rounds["course"].map({name: place for place, name in enumerate(courses)}).astype("float64")
    elapsed = day - starts[owner, None]
    joined = _newcomers(golfers, starts)
    span = np.maximum(as_of - starts, SHORTEST_DRIFT_DAYS)[owner, None]
    knots = _knots(int(starts.min()), as_of, spec)
    categories, hours, habit = _with_phantom(diary, starts, spec)
    level = _level_guess(rounds, golfer, len(golfers), spec)
    noise, noise_df = _noise_guess(rounds, golfer, level, spec)
    serves = np.array([[c.serves.get(area, 0.0) for area in AREAS] for c in categories]).reshape(
        -1, len(AREAS)
    )
    real = len(diary.categories)
    share = np.array(spec.priors.share) / sum(spec.priors.share)
    habit_area = habit[:, :real] @ serves[:real]
    habit_area = (
        (habit_area - habit_area[diary.has_diary].mean(axis=0)) * diary.has_diary[:, None]
        if (diary.has_diary.any())
        else habit_area
    )
    gap_guess = share[None, :] * level[:, None] - spec.floor
    angle = 2 * np.pi * day / DAYS_PER_YEAR
    gap = np.arange(len(knots))[:, None] - np.arange(len(knots))[None, :]
    doses = _doses(categories, hours, habit, day, owner, starts, diary.first_day, as_of)
    return Observations(
        golfers=diary.golfers,
        categories=categories,
        courses=courses or ("",),
        as_of=as_of,
        starts=starts,
        belongs=(owner[:, None] == np.arange(len(golfers))).astype(float),
        days=day,
        differential=padded(rounds["differential"]),
        greens=padded(np.sqrt(np.where(has_g, greens, 0.0) + 0.375)),
        putts=padded(np.where(has_p, putts, 0.0)),
        has_diff=padded(np.ones(len(rounds))),
        has_greens=padded(has_g),
        has_putts=padded(has_p),
        course=_one_hot(padded(number, -1.0), len(courses)),
        competition=padded(rounds["competition"].fillna(False).astype(float)),
        years=elapsed / DAYS_PER_YEAR,
        joining=np.exp(-elapsed / spec.priors.start_shift_days) * joined[owner, None],
        joined=joined,
        cos=np.cos(angle),
        sin=np.sin(angle),
        drift=np.sin(np.pi / 2 * np.clip(elapsed / span, 0.0, 1.0)),
        interpolate=_interpolate(day, knots),
        knots=knots,
        knot_gap=np.maximum(gap, 0).astype(float),
        lower=(gap >= 0).astype(float),
        first_knot=(np.arange(len(knots)) == 0).astype(float),
        stock=doses[0],
        decay=doses[1],
        steady=doses[2],
        steady_strip=tuple(steady[owner] for steady in doses[2]),
        stock_now=doses[3],
        decay_now=doses[4],
        habit_area=habit_area,
        habit_strip=habit_area[owner],
        level_guess=level,
        noise_guess=noise,
        noise_df=noise_df,
        gap_guess=gap_guess,
        gap_strip=gap_guess[owner],
        serves=serves,
        floor=spec.floor,
        reference_level=spec.reference_level,
        bend_hours=spec.bend_hours,
        diary=diary,
    )


def _one_hot(number: FLOATS, count: int) -> FLOATS:
    """1.0 at the course of each round, shape (M, R, course); a round without a course has none."""
    hot: FLOATS = (number[:, :, None] == np.arange(max(count, 1))).astype(float)
    return hot


def _newcomers(golfers: pd.DataFrame, starts: INTS) -> FLOATS:
    joined = golfers["joined_on"]
    known = joined.notna().to_numpy(bool)
    out = np.zeros(len(golfers))
    if known.any():
        out[known] = (starts[known] - days_since_epoch(joined[known])) <= NEWCOMER_DAYS
    return out


def _level_guess(rounds: pd.DataFrame, golfer: INTS, golfers: int, spec: ModelSpec) -> FLOATS:
    """Mean differential of each golfer, shrunk by two rounds' worth towards the reference golfer."""
    total = np.bincount(golfer, weights=rounds["differential"].to_numpy(float), minlength=golfers)
    count = np.bincount(golfer, minlength=golfers)
    guess: FLOATS = (total + 2.0 * spec.reference_level) / (count + 2.0)
    return guess


def _noise_guess(rounds: pd.DataFrame, golfer: INTS, level: FLOATS, spec: ModelSpec) -> tuple[FLOATS, FLOATS]:
    """Spread of each golfer's rounds about his own mean, and the degrees of freedom it is known with.

    Half the mean squared difference of successive rounds (von Neumann) estimates the variance without the
    slow changes of level; it is shrunk towards the published spread at the golfer's level with the weight
    that a log-sd of 0.2 stands for (a scaled inverse chi-square with 1 / (2 x 0.2^2) = 12.5 degrees).
    """
    priors = spec.priors
    base = priors.noise_base + priors.noise_slope * np.maximum(level - 3.0, -3.0)
    step = np.diff(rounds["differential"].to_numpy(float))
    same = golfer[1:] == golfer[:-1]
    squares = np.bincount(golfer[1:][same], weights=0.5 * step[same] ** 2, minlength=len(level))
    # Successive differences overlap: n - 1 of them carry about 2 (n - 1) / 3 degrees of freedom.
    pairs = np.bincount(golfer[1:][same], minlength=len(level))
    known = pairs * 2.0 / 3.0
    prior_df = 1.0 / (2.0 * priors.noise_golfer_log**2)
    mean_square = np.divide(squares, pairs, out=base**2, where=pairs > 0)
    variance = (prior_df * base**2 + known * mean_square) / (prior_df + known)
    return np.asarray(np.sqrt(variance), dtype=float), np.asarray(prior_df + known, dtype=float)


def _knots(first: int, as_of: int, spec: ModelSpec) -> FLOATS:
    span = max(as_of - first, 1)
    count = int(np.clip(np.ceil(span / spec.knot_days) + 1, 2, spec.most_knots))
    gap = max(span / (count - 1), spec.knot_days)
    knots: FLOATS = as_of - gap * np.arange(count - 1, -1, -1, dtype=float)
    return knots


def _interpolate(day: INTS, knots: FLOATS) -> FLOATS:
    gap = knots[1] - knots[0]
    distance = np.abs(day[:, :, None] - knots[None, None, :]) / gap
    weights: FLOATS = np.clip(1.0 - distance, 0.0, None)
    return weights


def _with_phantom(diary: Diary, starts: INTS, spec: ModelSpec) -> tuple[tuple[Category, ...], FLOATS, FLOATS]:
    if not spec.phantom or not diary.categories:
        return diary.categories, diary.hours, diary.habit
    ghost = _phantom_hours(diary, starts)
    record = np.maximum(diary.last_day - starts + 1, 1) / DAYS_PER_WEEK
    habit = ghost.sum(axis=1) / record
    hours = np.concatenate([diary.hours, ghost[:, :, None]], axis=2)
    everyone = (*diary.categories, phantom_category(diary.categories))
    return everyone, hours, np.concatenate([diary.habit, habit[:, None]], axis=1)


def _doses(
    categories: tuple[Category, ...],
    hours: FLOATS,
    habit: FLOATS,
    day: INTS,
    owner: INTS,
    starts: INTS,
    first_day: int,
    as_of: int,
) -> tuple[tuple[FLOATS, ...], ...]:
    stocks, decays, steadies, nows, decay_nows = [], [], [], [], []
    elapsed = (day - starts[owner, None]).astype(float)
    record = (as_of + 1 - starts).astype(float)
    for half_lives in category_nodes(categories):
        by_day = np.empty((hours.shape[0], hours.shape[1] + 1, hours.shape[2]))
        for place, half_life in enumerate(half_lives):
            longer = np.concatenate([hours[:, :, place], np.zeros((hours.shape[0], 1))], axis=1)
            by_day[:, :, place] = stock(longer, float(half_life))
        stocks.append(by_day[owner[:, None], day - first_day])
        nows.append(by_day[:, -1])
        decays.append(2.0 ** (-elapsed[:, :, None] / half_lives))
        decay_nows.append(2.0 ** (-record[:, None] / half_lives))
        steadies.append(steady_stock(habit, half_lives))
    return tuple(stocks), tuple(decays), tuple(steadies), tuple(nows), tuple(decay_nows)
