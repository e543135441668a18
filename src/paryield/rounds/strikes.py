"""Balls measured on a range or in a bay, as measurements of a scoring area: how far they scatter.

A set of balls of one day, kind and distance is read by a Student t likelihood, so that a shank or a top
widens the spread by little: amateur and professional shot patterns are t distributions and mixtures of
them, plain normals do not fit (Ko, thesis, Columbia 2012, with Broadie; abstract verified at
sportdocbox.com/Golf/94461565, its parameters by level were not read). No open data set of single golfers'
approach or tee shots with carry and side was found, so the figures below rest on the strokes-gained
baseline and on an assumed course, and say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import lgamma

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.rounds.assessments import as_normal
from paryield.tables import Tables
from paryield.units import METRES_PER_UNIT, YARDS_PER_UNIT

Prior = Mapping[tuple[str, str], tuple[float, float]]

TAIL_DF = 4.0
"""Degrees of freedom of the scatter of balls (our choice within what the thesis above says)."""

FEWEST_BALLS = 4
"""Fewer balls of a kind on a day say too little of a spread to be kept (our choice)."""

BANDS_YD = (0.0, 80.0, 130.0, 180.0, 600.0)
"""Approaches are tasks of their own by distance: up to 80 yd, to 130, to 180, and beyond (our choice)."""

SPREAD = {"approach": 0.085, "pitch": 0.17, "tee": 5.2}
"""Scale of the scatter at the fallback mean: share of the target for approach and pitch, degrees for the
tee. Those at which the baseline loses what such a golfer loses (computed with a green of 14 yd radius, a
pitch green of 12, a fairway of 32 yd between 16 yd of rough, half a stroke for half of what lies beyond
45 yd off the line; course assumed, baseline from memory)."""

LOG_PER_STROKE = {"approach": 0.11, "pitch": 0.2, "tee": 0.15}
"""Rise of the log of the scale by stroke lost a round in the area. Computed as above for 18 approaches (0.10
to 0.14), 14 drives (0.14 to 0.34; less here, because length is measured apart) and 7 pitches (0.26 to
0.35; less, because other shots share the area)."""

SPREAD_SD = 0.4
"""Spread of the log of the scale between tasks, bays and golfers of one level (judgement)."""

AREA = {"approach": "approach", "pitch": "short_game", "tee": "off_the_tee"}
LOG_POINTS: FLOATS = np.linspace(np.log(0.2), np.log(6.0), 121)
"""Grid of the scale about the middle of its prior, log."""

CENTRES: FLOATS = np.linspace(-3.0, 3.0, 61)
"""Grid of where a golfer's drives start from, in robust spreads about their median."""

COLUMNS = ("golfer_id", "on", "test", "kind", "area", "source", "scale", "distance_ft", "value", "error_sd")
COUNTS = ("tried", "made", "distances")


@dataclass(frozen=True)
class Scatter:
    """What a set of balls says of its spread.

    Parameters
    ----------
    log_scale, error_sd : float
        Log of the scale of a t distribution, and its standard error.
    balls : int
    """

    log_scale: float
    error_sd: float
    balls: int


def log_density_about(relative: FLOATS, log_scale: FLOATS) -> FLOATS:
    """Log likelihood of balls about their target, shape (G,); ``relative`` (n, p) of the target.

    One scale for carry and side: a p-dimensional t about 0 with :data:`TAIL_DF`.
    """
    dims = relative.shape[1]
    square = (relative**2).sum(axis=1)
    scaled = square[None, :] * np.exp(-2.0 * log_scale)[:, None]
    constant = lgamma((TAIL_DF + dims) / 2) - lgamma(TAIL_DF / 2) - dims / 2 * np.log(TAIL_DF * np.pi)
    each = constant - dims * log_scale[:, None] - (TAIL_DF + dims) / 2 * np.log1p(scaled / TAIL_DF)
    found: FLOATS = each.sum(axis=1)
    return found


def log_density_own(values: FLOATS, log_scale: FLOATS) -> FLOATS:
    """Log likelihood of values about a middle of their own, shape (G,), the middle integrated out."""
    middle = float(np.median(values))
    width = max(1.4826 * float(np.median(np.abs(values - middle))), 1e-3 * (abs(middle) + 1e-6))
    step = (CENTRES[1] - CENTRES[0]) * width
    moved = values[None, :] - (middle + width * CENTRES)[:, None]
    all_centres = np.stack([log_density_about(row[:, None], log_scale) for row in moved])
    peak = all_centres.max(axis=0)
    found: FLOATS = peak + np.log(np.exp(all_centres - peak).sum(axis=0) * step)
    return found


def scatter_about_target(carry: FLOATS, side: FLOATS, target: FLOATS, middle: float, sd: float) -> Scatter:
    """Spread of balls about their target, as a share of it.

    Parameters
    ----------
    carry, side, target : array, shape (n,)
        In one unit.
    middle, sd : float
        Of the log of the scale beforehand.
    """
    relative = np.column_stack([carry / target - 1.0, side / target])
    points = middle + LOG_POINTS
    value, error = as_normal(points, log_density_about(relative, points)[:, None], middle, sd)
    return Scatter(float(value[0]), float(error[0]), len(carry))


def scatter_of_direction(carry: FLOATS, side: FLOATS, middle: float, sd: float) -> Scatter:
    """Spread of direction about the golfer's own line, degrees: a curve that always comes is aimed off."""
    flown = carry > 0
    degrees = np.degrees(np.arctan2(side[flown], carry[flown]))
    points = middle + LOG_POINTS
    value, error = as_normal(points, log_density_own(degrees, points)[:, None], middle, sd)
    return Scatter(float(value[0]), float(error[0]), int(flown.sum()))


def middle_carry(carry: FLOATS) -> tuple[float, float]:
    """Carry of a golfer's full drives and its standard error, by the t likelihood (Lange et al. 1989).

    Maximum over the middle and the scale by reweighting (from memory); the error is that of the expected
    information, ``scale**2 (df + 3) / (df + 1) / n``.
    """
    middle = float(np.median(carry))
    scale = max(1.4826 * float(np.median(np.abs(carry - middle))), 0.005 * middle, 1e-6)
    for _ in range(200):
        weight = (TAIL_DF + 1.0) / (TAIL_DF + ((carry - middle) / scale) ** 2)
        new = float(np.sum(weight * carry) / np.sum(weight))
        wide = max(float(np.sqrt(np.mean(weight * (carry - new) ** 2))), 0.005 * new, 1e-6)
        done = abs(new - middle) + abs(wide - scale) < 1e-9 * max(middle, 1.0)
        middle, scale = new, wide
        if done:
            break
    error = scale * np.sqrt((TAIL_DF + 3.0) / (TAIL_DF + 1.0) / len(carry))
    return middle, float(error)


def expected_error(balls: int, dims: int) -> float:
    """Standard error of the log of a t's scale to be expected of so many balls (closed form).

    The information of a ball is ``2 p df / (df + p + 2)`` in p dimensions (Lange et al. 1989, from memory;
    ``2 p`` for a normal).
    """
    return float(np.sqrt((TAIL_DF + dims + 2.0) / (2.0 * dims * TAIL_DF * balls)))


def task_of(kind: str, target_yd: float) -> str:
    """Return the name of the task that a ball belongs to: its kind, and its distance for an approach."""
    if kind != "approach":
        return {"pitch": "pitch balls", "tee": "drives"}[kind]
    low = max(edge for edge in BANDS_YD[:-1] if edge < target_yd)
    high = BANDS_YD[BANDS_YD.index(low) + 1]
    if low == 0.0:
        return f"approach up to {high:.0f} yd"
    return f"approach beyond {low:.0f} yd" if high == BANDS_YD[-1] else f"approach {low:.0f} to {high:.0f} yd"


def strike_rows(tables: Tables, prior: Prior, fallback: Mapping[str, tuple[float, float]]) -> pd.DataFrame:
    """Return what the measured balls of each golfer, day and task say.

    Parameters
    ----------
    tables : Tables
    prior, fallback : mapping
        Strokes lost a round beforehand, (mean, sd), by golfer and area, and by area.

    Returns
    -------
    DataFrame
        In the columns of :func:`paryield.rounds.test_measurements`. By kind: ``approach`` and ``pitch``,
        scale ``log``: log of the spread about the target as a share of it; ``tee``, scale ``log``: log of the
        spread of direction in degrees; and for each day of drives ``carry``, scale ``m``.
    """
    rows = [row for sets in _sets(tables) for row in _read(*sets, prior, fallback)]
    found = pd.DataFrame(rows, columns=[*COLUMNS, "tried"])
    for name in COUNTS:
        balls = [(float(count),) for count in found["tried"]] if name == "tried" else [()] * len(found)
        found[name] = pd.Series(balls, found.index, dtype=object)
    return found[[*COLUMNS, *COUNTS]]


def sets_left_out(tables: Tables) -> pd.DataFrame:
    """Return sets of balls too small to be used: golfer_id, on, task, balls."""
    small = [
        (golfer, on, task, len(balls))
        for (golfer, on, task), balls in _grouped(tables)
        if len(balls) < FEWEST_BALLS
    ]
    return pd.DataFrame(small, columns=["golfer_id", "on", "task", "balls"])


def _grouped(tables: Tables) -> Iterator[tuple[tuple[str, pd.Timestamp, str], pd.DataFrame]]:
    strikes = tables.strikes
    if strikes.empty:
        return
    factor = strikes["unit"].map(YARDS_PER_UNIT).to_numpy(dtype=float)
    balls = strikes.assign(**{name: strikes[name] * factor for name in ("target", "carry", "side")})
    target = balls["target"].to_numpy(dtype=float)
    names = [task_of(str(kind), yards) for kind, yards in zip(balls["kind"], target, strict=True)]
    for key, group in balls.assign(task=names).groupby(["golfer_id", "struck_on", "task"], sort=True):
        golfer, on, task = key
        yield (str(golfer), pd.Timestamp(str(on)), str(task)), group


def _sets(tables: Tables) -> Iterator[tuple[str, pd.Timestamp, str, pd.DataFrame]]:
    for (golfer, on, task), balls in _grouped(tables):
        if len(balls) >= FEWEST_BALLS:
            yield golfer, on, task, balls


def _read(
    golfer: str,
    on: pd.Timestamp,
    task: str,
    balls: pd.DataFrame,
    prior: Prior,
    fallback: Mapping[str, tuple[float, float]],
) -> list[tuple[object, ...]]:
    kind = str(balls["kind"].iloc[0])
    area, slope = AREA[kind], LOG_PER_STROKE[kind]
    mean, sd = prior.get((golfer, area), fallback[area])
    middle = float(np.log(SPREAD[kind]) + slope * (mean - fallback[area][0]))
    width = float(np.hypot(slope * sd, SPREAD_SD))
    carry, side, target = (balls[name].to_numpy(dtype=float) for name in ("carry", "side", "target"))
    if kind != "tee":
        found = scatter_about_target(carry, side, target, middle, width)
        return [_row(golfer, on, task, kind, area, "log", found.log_scale, found.error_sd, found.balls)]
    if (carry > 0).sum() < FEWEST_BALLS:
        return []
    found = scatter_of_direction(carry, side, middle, width)
    metres, error = (METRES_PER_UNIT["yd"] * one for one in middle_carry(carry[carry > 0]))
    return [
        _row(golfer, on, task, kind, area, "log", found.log_scale, found.error_sd, found.balls),
        _row(golfer, on, "carry of drives", "carry", area, "m", metres, error, found.balls),
    ]


def _row(
    golfer: str,
    on: pd.Timestamp,
    task: str,
    kind: str,
    area: str,
    scale: str,
    value: float,
    error: float,
    balls: int,
) -> tuple[object, ...]:
    return (golfer, on, task, kind, area, "test", scale, np.nan, value, error, balls)
