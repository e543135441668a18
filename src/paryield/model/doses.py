"""Practice by day to the stocks at which a fit looks, and the phantom beside the real categories."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from paryield.arrays import FLOATS, INTS
from paryield.dose.diary import DAYS_PER_WEEK, Diary, habit_at_start
from paryield.dose.stock import HALF_LIFE_NODES, steady_stock, stocks_by_day
from paryield.model.spec import ModelSpec
from paryield.tables.categories import AREAS, Category


def phantom_hours(diary: Diary, starts: INTS) -> FLOATS:
    """Hours of the phantom: another golfer's mean category, moved to the golfer's own start.

    Parameters
    ----------
    diary : Diary
    starts : int array, shape (golfer,)
        First day of each golfer's record, in days since 1970-01-01.

    Returns
    -------
    array, shape (golfer, day)
        Hours a day; zero before the golfer's start and for golfers without a diary.
    """
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
        out[golfer, begin:] = np.resize(source, days - begin)
    return out


def settled_hours(diary: Diary, known: Mapping[str, tuple[int, FLOATS]]) -> FLOATS:
    """Hours of the phantom as an earlier fit had them, begun again where they end, shape (golfer, day).

    Parameters
    ----------
    diary : Diary
    known : mapping
        By golfer: a day since 1970-01-01 and hours a day from it on. Another golfer's phantom is his own mean
        category, last day first.
    """
    golfers, days, _ = diary.hours.shape
    out = np.zeros((golfers, days))
    for place, golfer in enumerate(diary.golfers):
        if golfer in known:
            first, hours = known[golfer]
            begin = first - diary.first_day
            if len(hours):
                out[place, max(begin, 0) :] = np.resize(hours, max(days - begin, 0))[max(-begin, 0) :]
        elif diary.has_diary[place]:
            out[place] = diary.hours[place].mean(axis=1)[::-1]
    return out


def category_nodes(categories: tuple[Category, ...]) -> list[FLOATS]:
    """Half-lives at which stocks are tabulated, one array (category,) per node."""
    base = np.array([category.half_life_days for category in categories])
    return [base * multiple for multiple in HALF_LIFE_NODES]


def phantom_category(categories: tuple[Category, ...]) -> Category:
    """A category that nobody practised: it serves the areas that the real ones serve on average."""
    serves = {area: float(np.mean([c.serves.get(area, 0.0) for c in categories])) for area in AREAS}
    half_life = float(np.median([category.half_life_days for category in categories]))
    return Category("phantom", serves, None, "none", half_life)


def with_phantom(
    diary: Diary, starts: INTS, spec: ModelSpec, ghosts: FLOATS | None = None
) -> tuple[tuple[Category, ...], FLOATS, FLOATS]:
    """Categories, hours by day (N, D, J) and weekly hours before the record (N, J), the phantom's last.

    ``ghosts`` are the phantom's hours a day (N, D) where an earlier fit has settled them.
    """
    if not spec.phantom or not diary.categories:
        return diary.categories, diary.hours, diary.start
    ghost = (phantom_hours(diary, starts) if ghosts is None else ghosts)[:, :, None]
    recorded = diary.first_day + np.arange(ghost.shape[1])[None, :] >= starts[:, None]
    weeks = np.maximum(diary.last_day - starts + 1, 1) / DAYS_PER_WEEK
    category = phantom_category(diary.categories)
    usual = ghost.sum(axis=1) / weeks[:, None]
    hours = np.concatenate([diary.hours, ghost], axis=2)
    everyone = (*diary.categories, category)
    return everyone, hours, np.concatenate([diary.start, habit_at_start(ghost, recorded, usual)], axis=1)


@dataclass(frozen=True)
class Doses:
    """One array per tabulated half-life: at occasions (R, J), on the last day and of the habit (N, J).

    ``held`` is what is left of the steady stock, had it been there at the start of the record, ``decay_now``
    the share of it on the last day; ``steady`` is the stock of the habit kept up for ever,
    ``steady_factor`` (J,) that of one hour a week.
    """

    stock: tuple[FLOATS, ...]
    held: tuple[FLOATS, ...]
    steady_factor: tuple[FLOATS, ...]
    steady: tuple[FLOATS, ...]
    stock_now: tuple[FLOATS, ...]
    decay_now: tuple[FLOATS, ...]

    def of(self, occasions: slice, golfers: slice) -> Doses:
        """Return those of some occasions and golfers."""
        cut = {name: tuple(one[occasions] for one in getattr(self, name)) for name in ("stock", "held")}
        for name in ("steady", "stock_now", "decay_now"):
            cut[name] = tuple(one[golfers] for one in getattr(self, name))
        return replace(self, **cut)


def doses(
    categories: tuple[Category, ...],
    hours: FLOATS,
    habit: FLOATS,
    day: INTS,
    owner: INTS,
    starts: INTS,
    first_day: int,
    as_of: int,
) -> Doses:
    """Tabulate stocks for occasions on ``day`` (R,) of golfers ``owner`` (R,)."""
    stocks, helds, steadies, nows, decay_nows = [], [], [], [], []
    elapsed = (day - starts[owner]).astype(float)
    record = (as_of + 1 - starts).astype(float)
    longer = np.concatenate([hours, np.zeros((hours.shape[0], 1, hours.shape[2]))], axis=1)
    for half_lives in category_nodes(categories):
        by_day = stocks_by_day(longer, half_lives)
        stocks.append(by_day[owner, day - first_day])
        nows.append(by_day[:, -1])
        decay_nows.append(2.0 ** (-record[:, None] / half_lives))
        steadies.append(steady_stock(habit, half_lives))
        helds.append(steadies[-1][owner] * 2.0 ** (-elapsed[:, None] / half_lives))
    factors = tuple(np.asarray(steady_stock(1.0, half_lives)) for half_lives in category_nodes(categories))
    return Doses(tuple(stocks), tuple(helds), factors, tuple(steadies), tuple(nows), tuple(decay_nows))
