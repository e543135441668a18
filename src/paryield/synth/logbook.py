"""The diary of a made-up club as it is handed in: sessions, gaps, minutes or counted reps."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.synth.golfers import Roster
from paryield.synth.life import Life
from paryield.tables.categories import BY_NAME

COMPLETE_SHARE = 0.3
COUNTING_SHARE = 0.4


def practice_table(
    roster: Roster, life: Life, ids: list[str], complete: np.ndarray, rng: np.random.Generator
) -> pd.DataFrame:
    """Write the practice table.

    Parameters
    ----------
    complete : bool array, shape (golfers,)
        Who writes down every session; for the others some weeks are missing.
    """
    week = np.arange(roster.weeks)
    member = (week >= roster.first) & (week < roster.now) & (week >= roster.joined[:, None])
    present = np.stack([life.enrolments.present(int(number)) for number in week], axis=1)
    missing = roster.spec.traits.missing / (1.0 - COMPLETE_SHARE)
    lost = (rng.random(member.shape) < missing) & ~complete[:, None]
    noted = member & present & ~lost
    noted &= week < roster.stress.quits[:, None]
    rows = _sessions(life.hours * noted[:, None, :], roster, rng)
    rows = _count(rows, roster, rng)
    empty = noted & (life.hours.sum(axis=1) == 0.0) & ~complete[:, None]
    admitted = member & present & lost & (rng.random(member.shape) < 0.1)
    if roster.spec.traits.unwritten:
        empty &= rng.random(member.shape) >= roster.spec.traits.unwritten
    rows = pd.concat([rows, _states(empty, "none"), _states(admitted, "unknown")], ignore_index=True)
    days = 7 * (rows["week"] - roster.first) + rows["weekday"]
    rows["practised_on"] = pd.Timestamp(roster.spec.starts_on) + pd.to_timedelta(days, unit="D")
    rows["golfer_id"] = np.array(ids, dtype=object)[rows["golfer"].to_numpy(dtype=int)]
    rows["entry_no"] = rows.groupby(["golfer_id", "practised_on", "category"], dropna=False).cumcount() + 1
    rows = rows.sort_values(["golfer_id", "practised_on", "category", "entry_no"])
    return rows.drop(columns=["golfer", "week", "weekday"])


def _sessions(hours: np.ndarray, roster: Roster, rng: np.random.Generator) -> pd.DataFrame:
    """One to three visits per week and category, in steps of 5 minutes."""
    golfer, category, week = np.nonzero(hours)
    fives = np.rint(12.0 * hours[golfer, category, week]).astype(int)
    visits = 1 + (fives > 10).astype(int) + (fives > 24).astype(int)
    cell = np.repeat(np.arange(len(golfer)), visits)
    number = np.arange(len(cell)) - np.repeat(np.cumsum(visits) - visits, visits)
    share = fives[cell] // visits[cell] + (number < fives[cell] % visits[cell])
    first_day = rng.integers(0, 7, len(golfer))
    return pd.DataFrame(
        {
            "golfer": golfer[cell],
            "week": week[cell],
            "weekday": (first_day[cell] + 2 * number) % 7,
            "category": np.array(roster.spec.categories, dtype=object)[category[cell]],
            "minutes": 5.0 * share,
            "state": "done",
        }
    )


def _count(rows: pd.DataFrame, roster: Roster, rng: np.random.Generator) -> pd.DataFrame:
    """Some golfers count reps, at a pace of their own near that of the category."""
    counting = (rng.random(roster.spec.golfers) < COUNTING_SHARE)[rows["golfer"].to_numpy(int)]
    paces = {name: category.minutes_per_100_reps for name, category in BY_NAME.items()}
    pace = rows["category"].map(paces).astype(float)
    own = np.exp(rng.normal(0.0, 0.1, roster.spec.golfers))[rows["golfer"]]
    reps = 10.0 * (10.0 * rows["minutes"] / pace * own).round().clip(lower=1.0)
    counted = counting & pace.notna().to_numpy() & (rng.random(len(rows)) < 0.7)
    both = rng.random(len(rows)) < 0.3
    return rows.assign(reps=reps.where(counted), minutes=rows["minutes"].where(~counted | both))


def _states(cells: np.ndarray, state: str) -> pd.DataFrame:
    golfer, week = np.nonzero(cells)
    return pd.DataFrame({"golfer": golfer, "week": week, "weekday": 6, "category": None, "state": state})
