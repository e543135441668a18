"""Looks at a club's data before the fit: what moves together, and practice that cannot have helped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.special import stdtrit

from paryield.arrays import FLOATS, INTS
from paryield.dose.diary import Diary, days_since_epoch, read_diary
from paryield.dose.stock import HOURS_UNIT, stock
from paryield.model.design import as_of_day
from paryield.scoring import differentials
from paryield.tables import Tables
from paryield.units import DAYS_PER_YEAR

STEP_DAYS = 28
LEAST_CHANGES = 20
TIED = 0.95
"""Correlation from which two categories are one to the data: telling them apart then takes at least ten times
the rounds (1 / (1 - r^2)). [judgement]"""

SHIFT_DAYS = 182
SHIFTS = {"earlier": -SHIFT_DAYS, "later": SHIFT_DAYS}
ERROR_RATE = 0.05
LEAST_ROUNDS, LEAST_GOLFERS = 20, 3
BLUNT = 1.0
"""Strokes per 20 hours: a check whose 95 % interval is wider than twice this says nothing. [judgement]"""


@dataclass(frozen=True)
class Movement:
    """Correlations of four-week changes in stock, shape (J, J), NaN where nothing moved, and ties."""

    categories: tuple[str, ...]
    correlation: FLOATS
    changes: int
    tied: tuple[tuple[str, ...], ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain record: categories, correlation (None where nothing moved), changes, tied."""
        table = [
            [None if np.isnan(value) else round(float(value), 3) for value in row] for row in self.correlation
        ]
        return {
            "categories": list(self.categories),
            "correlation": table,
            "changes": self.changes,
            "tied": [list(group) for group in self.tied],
        }


def co_movement(diary: Diary, starts: INTS) -> Movement:
    """Map of categories that move together within golfers.

    Parameters
    ----------
    diary : Diary
    starts : array, shape (golfer,)
        First day of each golfer's record.
    """
    names = tuple(category.name for category in diary.categories)
    moved = stock_changes(diary, starts)
    spread = np.sqrt((moved**2).sum(axis=0))
    with np.errstate(invalid="ignore", divide="ignore"):
        correlation = (moved.T @ moved) / np.outer(spread, spread)
    tied = groups(names, correlation) if len(moved) >= LEAST_CHANGES else ()
    return Movement(names, correlation, len(moved), tied)


def stock_changes(diary: Diary, starts: INTS) -> FLOATS:
    """Changes of each category's stock over four weeks less the golfer's own mean change, shape (M, J)."""
    if not diary.categories:
        return np.zeros((0, 0))
    levels = np.stack(
        [stock(diary.hours[:, :, place], c.half_life_days) for place, c in enumerate(diary.categories)],
        axis=2,
    )
    parts = []
    for row in np.flatnonzero(diary.has_diary):
        begin = max(int(starts[row]) - diary.first_day, 0)
        change = np.diff(levels[row, begin::STEP_DAYS], axis=0)
        if len(change) >= 2:
            parts.append(change - change.mean(axis=0))
    return np.concatenate(parts) if parts else np.zeros((0, levels.shape[2]))


def groups(names: tuple[str, ...], correlation: FLOATS) -> tuple[tuple[str, ...], ...]:
    """Sets of categories of which every two are tied, largest correlation joined first."""
    sets = [[place] for place in range(len(names))]
    while True:
        best, pair = TIED, None
        for one in range(len(sets)):
            for other in range(one):
                least = min(correlation[a, b] for a in sets[one] for b in sets[other])
                if least >= best:
                    best, pair = least, (other, one)
        if pair is None:
            return tuple(tuple(names[place] for place in sorted(each)) for each in sets if len(each) > 1)
        sets[pair[0]] += sets.pop(pair[1])


@dataclass(frozen=True)
class Columns:
    """Rounds of golfers with a diary, one row each: golfer, day, strokes, and what explains them."""

    golfer: npt.NDArray[np.int64]
    day: npt.NDArray[np.int64]
    strokes: FLOATS
    shared: FLOATS


def before_fit(tables: Tables) -> dict[str, Any]:
    """Return the record that a fit stores: ``co_movement`` and ``time_shift``."""
    diary, starts = club_diary(tables)
    return {
        "co_movement": co_movement(diary, starts).to_dict(),
        "time_shift": time_shift(diary, starts, differentials(tables)),
    }


def club_diary(tables: Tables) -> tuple[Diary, npt.NDArray[np.int64]]:
    """Diary of all golfers up to the club's last day, and the first day of each golfer's record."""
    golfers = tables.golfers.sort_values("golfer_id", ignore_index=True)
    rows = pd.concat(
        [
            tables.rounds[["golfer_id", "played_on"]].rename(columns={"played_on": "day"}),
            tables.practice[["golfer_id", "practised_on"]].rename(columns={"practised_on": "day"}),
        ]
    )
    last = as_of_day(tables)
    first = rows.groupby("golfer_id")["day"].min()
    begun = golfers["golfer_id"].map(first)
    starts = np.full(len(golfers), last, dtype=np.int64)
    known = begun.notna().to_numpy(bool)
    starts[known] = days_since_epoch(begun[known])
    return read_diary(tables.practice, golfers, tables.categories, starts, last), starts


def time_shift(diary: Diary, starts: npt.NDArray[np.int64], rounds: pd.DataFrame) -> list[dict[str, Any]]:
    """Credit that copies of each category, moved by 26 weeks, would earn: there should be none.

    Strokes are regressed within golfers on season, courses, time, the stock of every category and the one
    moved copy; the error comes from leaving golfers out in turn. A copy that earns something says that a
    season, a trend or practising what is weak stands behind the practice that goes with it.

    Parameters
    ----------
    diary : Diary
    starts : array, shape (golfer,)
    rounds : DataFrame
        golfer_id, played_on, differential, course.

    Returns
    -------
    list of dict
        category, moved (earlier or later), rounds, strokes_per_20_hours (positive when scores fall), error,
        low, high (an interval that holds for all copies together 19 times in 20) and verdict.
    """
    rows = _columns(diary, rounds)
    if rows is None:
        return []
    freedom = len(np.unique(rows.golfer)) - 1
    if freedom < LEAST_GOLFERS - 1:
        return []
    least = -float(stdtrit(freedom, ERROR_RATE / 2 / (2 * len(diary.categories))))
    found = []
    for place, category in enumerate(diary.categories):
        for word, shift in SHIFTS.items():
            saved, error, count = _credit(diary, starts, rows, place, shift)
            low, high = saved - least * error, saved + least * error
            record = {"category": category.name, "moved": word, "rounds": count}
            record |= {"strokes_per_20_hours": saved, "error": error, "low": low, "high": high}
            found.append(record | {"verdict": _verdict(low, high)})
    return [{key: _plain(value) for key, value in one.items()} for one in found]


def _plain(value: Any) -> Any:
    return None if isinstance(value, float) and not np.isfinite(value) else value


def _verdict(low: float, high: float) -> str:
    if not np.isfinite(high - low):
        return "cannot tell"
    if low > 0 or high < 0:
        return "earns something"
    return "cannot tell" if high - low > 2 * BLUNT else "earns nothing"


def _columns(diary: Diary, rounds: pd.DataFrame) -> Columns | None:
    """Rounds to regress; None where there is no diary or there are too few rounds."""
    order = {golfer: place for place, golfer in enumerate(diary.golfers) if diary.has_diary[place]}
    table = rounds[rounds["golfer_id"].isin(list(order)) & rounds["differential"].notna()]
    if len(table) < LEAST_ROUNDS or not diary.categories:
        return None
    day = days_since_epoch(table["played_on"])
    angle = 2 * np.pi * day / DAYS_PER_YEAR
    courses = pd.get_dummies(table["course"].fillna("")).to_numpy(float)
    shared = np.column_stack([np.cos(angle), np.sin(angle), day / DAYS_PER_YEAR, courses[:, 1:]])
    golfer = np.array([order[str(one)] for one in table["golfer_id"]], dtype=np.int64)
    return Columns(golfer, day, table["differential"].to_numpy(float), shared)


def _stock_on(diary: Diary, place: int, golfer: npt.NDArray[np.int64], day: FLOATS) -> FLOATS:
    by_day = stock(diary.hours[:, :, place], diary.categories[place].half_life_days)
    inside = np.clip(day - diary.first_day, 0, by_day.shape[1] - 1).astype(int)
    return np.asarray(by_day[golfer, inside], dtype=float)


def _credit(
    diary: Diary, starts: npt.NDArray[np.int64], rows: Columns, place: int, shift: int
) -> tuple[float, float, int]:
    """Strokes per 20 hours that the moved copy earns, clustered error, rounds read."""
    source = rows.day - shift
    kept = (source >= starts[rows.golfer]) & (source <= diary.last_day)
    golfer, day = rows.golfer[kept], rows.day[kept].astype(float)
    own = [_stock_on(diary, other, golfer, day) for other in range(len(diary.categories))]
    copy = _stock_on(diary, place, golfer, source[kept].astype(float)) / HOURS_UNIT
    design = np.column_stack([copy, *own, rows.shared[kept]])
    saved, error = jackknife_slope(design, -rows.strokes[kept], golfer)
    return saved, error, int(kept.sum())


def jackknife_slope(design: FLOATS, outcome: FLOATS, cluster: npt.NDArray[np.int64]) -> tuple[float, float]:
    """Slope of the first column within clusters, and its error from leaving each cluster out in turn.

    ``sqrt((g - 1) / g sum (b_without - mean)^2)``: with few clusters the usual sandwich is far too small, the
    jackknife errs to the wide side. Where the other columns say all that the first does, both are NaN.
    """
    names = np.unique(cluster)
    if len(names) < LEAST_GOLFERS or len(outcome) <= design.shape[1] + len(names):
        return float("nan"), float("nan")
    within = _centred(np.column_stack([design, outcome]), np.searchsorted(names, cluster))
    scale = np.sqrt((within**2).mean(axis=0))
    kept = scale[:-1] > 1e-9 * max(float(scale[:-1].max()), 1e-300)
    if not kept[0]:
        return float("nan"), float("nan")
    columns = np.flatnonzero(np.append(kept, True))
    table = within[:, columns] / np.append(scale[columns[:-1]], 1.0)
    products = np.stack([table[cluster == name].T @ table[cluster == name] for name in names])
    whole = products.sum(axis=0)
    slopes = np.array([_first(whole - one) for one in products])
    error = np.sqrt((len(names) - 1) / len(names) * ((slopes - slopes.mean()) ** 2).sum())
    return _first(whole) / float(scale[0]), float(error) / float(scale[0])


def _first(products: FLOATS) -> float:
    """First coefficient of a regression from cross products, the outcome last; NaN if not to be told."""
    inside = products[:-1, :-1]
    rest = np.linalg.pinv(inside[1:, 1:], rcond=1e-10, hermitian=True) @ inside[1:, 0]
    clear = float(inside[0, 0] - inside[0, 1:] @ rest)
    if clear <= 1e-8 * float(inside[0, 0]):
        return float("nan")
    return float(products[0, -1] - rest @ products[1:-1, -1]) / clear


def _centred(table: FLOATS, cluster: npt.NDArray[np.int64]) -> FLOATS:
    count = np.maximum(np.bincount(cluster), 1)
    means = np.stack([np.bincount(cluster, weights=column) / count for column in table.T], axis=1)
    centred: FLOATS = table - means[cluster]
    return centred
