"""The coach's tests, and what is counted in practice, as measurements of a scoring area."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from paryield.arrays import BOOLS, FLOATS
from paryield.rounds.assessments import as_normal, assessment_rows, practice_rows, value_rows
from paryield.rounds.putting import log_likelihood
from paryield.rounds.putting_skill import angle_to_strokes
from paryield.rounds.strikes import strike_rows
from paryield.tables import AREAS, Tables

Prior = Mapping[tuple[str, str], tuple[float, float]]
"""Mean and sd of strokes lost a round, by golfer and area."""

FALLBACK: dict[str, tuple[float, float]] = dict(
    zip(AREAS, ((4.5, 3.0), (6.6, 3.0), (3.8, 2.0), (2.8, 1.5)), strict=True)
)
"""Prior of a golfer who is not named: a mean differential of 18 split 5:7:4:3 (shares of score gaps, Broadie
2008-2014, computed), wide enough for any index (our choice)."""

FARTHEST_FEET = 20.0
"""Putts from beyond are left out of putting: their misses are as much of length as of direction."""

PRACTICE_WEIGHT = 0.25
"""Share of its weight that a success counted in practice keeps (assumed, no source): the same putt again and
again, at the golfer's own count, is not a test."""

STROKES_ERROR_SD = 0.9
"""Error, in strokes a round, that all putting tests share: how far apart published ways from chances to
strokes lie (5 ft alone or the whole curve, shares of score gaps or putts a round; computed, 0.5 to 0.9)."""

PROBIT_PER_STROKE = 0.17
"""Fall of the probit of a success by stroke lost in the area: working up-and-down shares of 45 % at scratch
to 12 % at an index of 28 (from memory, weak), 21 % of the differential in the short game (computed)."""

EASE = {"lag": 0.3, "bunker": -0.9, "up_and_down": -0.65, "chip": 0.0, "pitch": -0.2}
EASE_SD = 0.8
"""Probit of a success at the fallback mean, by kind, and its sd between tasks: up-and-downs as above, the
rest assumed (no source); a task's ease is to be learnt, since circles and lies differ."""

PROBITS: FLOATS = np.linspace(-6.0, 6.0, 961)
STROKE_POINTS, REACH_SDS = 641, 8.0

COLUMNS = ("golfer_id", "on", "test", "kind", "area", "source", "scale", "distance_ft", "value", "error_sd")
COUNTS = ("tried", "made", "distances")
TASK = ["golfer_id", "on", "source", "test"]


def test_measurements(tables: Tables, prior: Prior) -> pd.DataFrame:
    """Return what each test of a day measures, as a value and its error on a scale that is linear in skill.

    Parameters
    ----------
    tables : Tables
        The club's tables: assessments, measured balls, and successes counted in practice with a quarter of
        their weight.
    prior : mapping of (golfer_id, area) to (mean, sd)
        Strokes lost a round before the test, about which the counts are put as a normal measurement (see
        :func:`paryield.rounds.assessments.as_normal`); :data:`FALLBACK` for who is not in it.

    Returns
    -------
    DataFrame
        One row per golfer, day, test and source, and per distance but for putting: golfer_id, on, test, kind
        (putting, lag, chip, pitch, bunker, up_and_down, speed, carry, approach, tee), area, source
        (``test``, ``practice``), scale, distance_ft (NaN for putting), value, error_sd (sampling alone), and
        the counts: tried, made, distances (tuples, feet). By scale:

        - ``strokes``: strokes lost a round in putting, by the geometry of the putt within 20 ft; all tests
          share an error of :data:`STROKES_ERROR_SD` beside;
        - ``probit``: of the chance of a success; an ease of the task, to be learnt, less about
          :data:`PROBIT_PER_STROKE` a stroke lost;
        - ``log``: of the spread of measured balls, see :mod:`paryield.rounds.strikes`;
        - ``m/s`` and ``m``: speed and carry as measured.
    """
    counted = pd.concat([assessment_rows(tables), practice_rows(tables)], ignore_index=True)
    putts = (counted["kind"] == "putting").to_numpy(dtype=bool)
    near = putts & (counted["distance_ft"].to_numpy(dtype=float) <= FARTHEST_FEET)
    parts = [_putting(counted[near], prior), _successes(counted[~putts], prior)]
    parts += [value_rows(tables), strike_rows(tables, prior, FALLBACK)]
    found = pd.concat([part for part in parts if not part.empty] or parts[:1], ignore_index=True)
    found = found.sort_values(["golfer_id", "on", "source", "test", "distance_ft"], ignore_index=True)
    return found[[*COLUMNS, *COUNTS]]


def _prior(prior: Prior, golfer: str, area: str) -> tuple[float, float]:
    return prior.get((golfer, area), FALLBACK[area])


def _weight(source: pd.Series[str]) -> FLOATS:
    return np.where(source == "practice", PRACTICE_WEIGHT, 1.0)


def _putting(rows: pd.DataFrame, prior: Prior) -> pd.DataFrame:
    """One row per golfer, day, test and source; its distances together."""
    if rows.empty:
        return _none()
    rows = rows.sort_values([*TASK, "distance_ft"], ignore_index=True)
    first = ~rows.duplicated(TASK).to_numpy()
    head = rows.loc[first, [*TASK, "kind", "area"]].reset_index(drop=True)
    starts = np.flatnonzero(first)
    for name, column in (("tried", "tried"), ("made", "made"), ("distances", "distance_ft")):
        pieces = np.split(rows[column].to_numpy(dtype=float), starts[1:])
        head[name] = pd.Series([tuple(piece.tolist()) for piece in pieces], dtype=object)
    place = np.cumsum(first) - 1
    value, error = np.empty(len(head)), np.empty(len(head))
    for golfer, own in rows.groupby("golfer_id", sort=False):
        here = np.unique(place[own.index])
        member = place[own.index][:, None] == here
        value[here], error[here] = _strokes(own, member, *_prior(prior, str(golfer), "putting"))
    return head.assign(scale="strokes", distance_ft=np.nan, value=value, error_sd=error)


def _strokes(own: pd.DataFrame, member: BOOLS, mean: float, sd: float) -> tuple[FLOATS, FLOATS]:
    """Strokes lost in putting and their error for one golfer's tests; ``member`` (rows, tests)."""
    spreads, lost = angle_to_strokes()
    high = min(mean + REACH_SDS * sd, lost[-1])
    low = max(min(mean - REACH_SDS * sd, high - sd), lost[0])
    points = np.linspace(low, high, STROKE_POINTS)
    angles = np.exp(np.interp(points, lost, np.log(spreads)))
    feet, tried, made = (own[name].to_numpy(dtype=float) for name in ("distance_ft", "tried", "made"))
    each = log_likelihood(feet, tried, made, angles[:, None]) * _weight(own["source"])
    return as_normal(points, each @ member.astype(float), mean, sd)


def _successes(rows: pd.DataFrame, prior: Prior) -> pd.DataFrame:
    """One row per counted row, on the probit scale."""
    from scipy.special import log_ndtr

    parts = []
    for (golfer, kind), own in rows.groupby(["golfer_id", "kind"], sort=True):
        area = str(own["area"].iloc[0])
        mean, sd = _prior(prior, str(golfer), area)
        middle = EASE[str(kind)] - PROBIT_PER_STROKE * (mean - FALLBACK[area][0])
        spread = float(np.hypot(PROBIT_PER_STROKE * sd, EASE_SD))
        tried, made = own["tried"].to_numpy(dtype=float), own["made"].to_numpy(dtype=float)
        hit, miss = log_ndtr(PROBITS)[:, None], log_ndtr(-PROBITS)[:, None]
        weighted = (made * hit + (tried - made) * miss) * _weight(own["source"])
        value, error = as_normal(PROBITS, weighted, middle, spread)
        own = own.assign(scale="probit", value=value, error_sd=error)
        for name in ("tried", "made"):
            own[name] = pd.Series([(number,) for number in own[name]], own.index, dtype=object)
        own["distances"] = pd.Series([(feet,) for feet in own["distance_ft"]], own.index, dtype=object)
        parts.append(own)
    return pd.concat(parts, ignore_index=True) if parts else _none()


def _none() -> pd.DataFrame:
    return pd.DataFrame({name: pd.Series(dtype=object) for name in (*COLUMNS, *COUNTS)})
