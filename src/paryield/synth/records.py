"""Tables of a made-up club other than its rounds: golfers, their diary, plans, limits and events."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.synth.golfers import Roster
from paryield.synth.life import NEVER, Life
from paryield.synth.people import COACHES, make_groups, make_people
from paryield.synth.rounds import Ints
from paryield.tables.categories import BY_NAME

LESSON_SHARE = 0.35
EVENT_COLUMNS = ["golfer_id", "happened_on", "kind", "until", "area", "note"]

COMPLETE_SHARE = 0.3
COUNTING_SHARE = 0.4


def golfers_table(roster: Roster, life: Life, ids: list[str], rng: np.random.Generator) -> pd.DataFrame:
    """Write the golfers table; many cells are blank, as they are in life."""
    n, spec = roster.spec.golfers, roster.spec
    index = _index_at(np.maximum(roster.joined, roster.first), roster, life, rng)
    aim = _index_at(np.full(n, roster.now - 1), roster, life, rng) - rng.uniform(0.5, 3.5, n)
    names, sexes = make_people(n, rng)
    born = rng.integers(1948, 2013, n)
    born = np.where(roster.stress.junior, 2009 + born % 4, born)
    since = [roster.week_start(int(week)) for week in roster.joined]
    known = np.array([day < spec.starts_on for day in since])
    low = known & (rng.random(n) < 0.4)
    goal = rng.random(n) < 0.5
    stated = np.round(2.0 * roster.hours * np.exp(rng.normal(0.1, 0.2, n))) / 2.0
    left = life.enrolments.left
    frame = pd.DataFrame(
        {
            "golfer_id": ids,
            "display_name": names,
            "birth_year": born,
            "sex": sexes,
            "joined_on": _blank(since, rng.random(n) < 0.08),
            "left_on": _blank([roster.week_start(int(week)) for week in left], left == NEVER),
            "start_index": np.where(rng.random(n) < 0.85, index, np.nan),
            "low_index": np.where(low, np.round(index - np.abs(rng.normal(0.0, 0.8, n)), 1), np.nan),
            "low_index_on": _blank(
                [spec.starts_on - timedelta(days=int(days)) for days in rng.integers(10, 300, n)], ~low
            ),
            "weekly_hours": np.where(rng.random(n) < 0.8, stated, np.nan),
            "most_weekly_hours": np.where(rng.random(n) < 0.3, np.ceil(1.5 * stated), np.nan),
            "goal_index": np.where(goal, np.round(aim, 1), np.nan),
            "goal_on": _blank(
                [spec.ends_on + timedelta(days=int(days)) for days in rng.integers(60, 300, n)], ~goal
            ),
            "coach": rng.choice(COACHES, n),
            "group": make_groups(born, rng),
        }
    )
    return frame


def _blank(days: list[date], blank: np.ndarray) -> pd.Series:
    return pd.Series(pd.to_datetime(days)).where(~blank)


def _index_at(week: Ints, roster: Roster, life: Life, rng: np.random.Generator) -> FLOATS:
    """Mean of the lowest 8 of 20 rounds at the level of a week, to a tenth."""
    who = np.arange(roster.spec.golfers)
    level = (life.practice_strokes + roster.form)[who, :, week].sum(axis=1)
    rounds = level[:, None] + roster.noise_sd[:, None] * rng.normal(size=(len(who), 20))
    return np.clip(np.round(np.sort(rounds, axis=1)[:, :8].mean(axis=1), 1), -5.0, 54.0)


def programmes_table(roster: Roster, life: Life, ids: list[str]) -> pd.DataFrame:
    """Write who was in the programme during the record."""
    enrolments, rows = life.enrolments, []
    for who in np.flatnonzero(enrolments.started != NEVER):
        ended = enrolments.ended[who]
        running = ended == NEVER or ended > roster.now
        outcome = "running" if running else ("left" if enrolments.dropped[who] else "completed")
        rows.append(
            {
                "golfer_id": ids[who],
                "programme": "short season" if roster.spec.traits.enrol else "winter",
                "started_on": pd.Timestamp(roster.week_start(int(enrolments.started[who]))),
                "ended_on": pd.NaT if running else pd.Timestamp(roster.week_start(int(ended))),
                "outcome": outcome,
            }
        )
    return pd.DataFrame(rows, columns=["golfer_id", "programme", "started_on", "ended_on", "outcome"])


def limits_table(roster: Roster, limits: list[tuple[int, int, int, int]], ids: list[str]) -> pd.DataFrame:
    """Write limits given as (golfer, category, first week, weeks)."""
    rows = [
        {
            "golfer_id": ids[golfer],
            "category": roster.spec.categories[category],
            "starts_on": pd.Timestamp(roster.week_start(first)),
            "ends_on": pd.Timestamp(roster.week_start(first + weeks) - timedelta(days=1)),
            "most_minutes_per_week": 0.0,
            "set_by": "physical therapist",
        }
        for golfer, category, first, weeks in limits
    ]
    return pd.DataFrame(rows)


def plans_table(roster: Roster, ids: list[str], rng: np.random.Generator) -> pd.DataFrame:
    """Write a plan for the next 12 weeks for a few golfers: usual hours, split by a draw."""
    starts = roster.spec.ends_on + timedelta(days=1)
    rows = []
    for who in sorted(rng.choice(len(ids), min(4, len(ids)), replace=False)):
        share = rng.dirichlet(np.full(len(roster.spec.categories), 3.0))
        for category, part in zip(roster.spec.categories, share, strict=True):
            minutes = 15.0 * round(60.0 * roster.hours[who] * part / 15.0)
            rows.append({"golfer_id": ids[who], "category": category, "minutes_per_week": minutes})
    frame = pd.DataFrame(rows).assign(plan="next 12 weeks")
    frame["starts_on"] = pd.Timestamp(starts)
    frame["ends_on"] = pd.Timestamp(starts + timedelta(days=83))
    return frame[frame["minutes_per_week"] > 0.0]


def calendar_table(roster: Roster) -> pd.DataFrame:
    """Write the phases of the year for the whole club, with two competitions in season."""
    first, last = roster.spec.starts_on, roster.spec.ends_on + timedelta(days=364)
    rows = []
    for year in range(first.year - 1, last.year + 1):
        rows += [
            (date(year, 3, 1), date(year, 3, 31), "pre_season", None),
            (date(year, 4, 1), date(year, 7, 15), "in_season", date(year, 6, 14)),
            (date(year, 7, 16), date(year, 10, 31), "in_season", date(year, 9, 13)),
            (date(year, 11, 1), date(year + 1, 3, 1) - timedelta(days=1), "off_season", None),
        ]
    inside = [row for row in rows if row[1] >= first and row[0] <= last]
    frame = pd.DataFrame(inside, columns=["starts_on", "ends_on", "phase", "competition_on"])
    for column in ("starts_on", "ends_on", "competition_on"):
        frame[column] = pd.to_datetime(frame[column])
    return frame


def events_table(
    roster: Roster, limits: list[tuple[int, int, int, int]], ids: list[str], rng: np.random.Generator
) -> pd.DataFrame:
    """Write lessons, which teach nothing beyond the practice, and an injury behind every limit."""
    rows: list[tuple[object, ...]] = []
    for limited, _, week, weeks in limits:
        begun = roster.week_start(week)
        rows.append((ids[limited], begun, "injury", begun + timedelta(days=7 * weeks - 1), None, "made-up"))
    spec = roster.spec
    for who in np.flatnonzero(rng.random(len(ids)) < LESSON_SHARE):
        weeks_of = rng.choice(spec.weeks, min(int(rng.integers(1, 4)), spec.weeks), replace=False)
        for start in sorted((roster.first + weeks_of).tolist()):
            if start >= roster.joined[who]:
                area = ("approach", "short_game", "putting")[int(rng.integers(3))]
                rows.append((ids[who], roster.week_start(start), "lesson", None, area, None))
    frame = pd.DataFrame(rows, columns=EVENT_COLUMNS)
    for name in ("happened_on", "until"):
        frame[name] = pd.to_datetime(frame[name])
    return frame


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
