"""Make a club: tables as a coach would hand them in, the rounds played later, and the truth.

The index that a golfer will really have comes from true rounds ahead, pushed through the exact rules.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.scoring import handicap_records, index_paths
from paryield.synth.assessments import assessments_table, strikes_table
from paryield.synth.details import add_details
from paryield.synth.golfers import Roster, draw_roster
from paryield.synth.habits import (
    Blocks,
    draw_blocks,
    draw_habits,
    draw_plans,
    emphasise,
    follow,
    followed_table,
    forbid,
)
from paryield.synth.life import live
from paryield.synth.people import COURSES, make_ids
from paryield.synth.records import (
    COMPLETE_SHARE,
    calendar_table,
    events_table,
    golfers_table,
    limits_table,
    plans_table,
    practice_table,
    programmes_table,
)
from paryield.synth.rounds import draw_courses, draw_fixtures, round_rate
from paryield.synth.scores import rounds_table, typed
from paryield.synth.spec import ClubSpec
from paryield.synth.stress import lesson_events, posted
from paryield.synth.truth import Plan, Truth
from paryield.tables import Settings, Tables, make_tables

LIMIT_WEEKS = 6
STREAMS = (
    "roster",
    "habits",
    "rate",
    "courses",
    "fixtures",
    "life",
    "scores",
    "records",
    "logbook",
    "tests",
    "play",
    "plans",
    "stress",
    "bay",
    "events",
    "blocks",
)


@dataclass(frozen=True, eq=False)
class MadeUpClub:
    """A made-up club.

    Parameters
    ----------
    spec : ClubSpec
        What was asked for.
    tables : Tables
        The record, as a coach would hand it in.
    future : DataFrame
        Rounds played after the record: columns of the rounds table, each with its score differential.
    truth : Truth
        What is really so.
    area_strokes : DataFrame
        One row per round of the record and after: its key, strokes lost by area as played, and the
        expected differential on its course.
    """

    spec: ClubSpec
    tables: Tables
    future: pd.DataFrame
    truth: Truth
    area_strokes: pd.DataFrame


def make_club(spec: ClubSpec) -> MadeUpClub:
    """Make the club of a spec; one spec gives one club.

    Parameters
    ----------
    spec : ClubSpec
        Size, seed, case and factors.
    """
    streams = np.random.SeedSequence(spec.seed).spawn(len(STREAMS))
    draw = {name: np.random.default_rng(stream) for name, stream in zip(STREAMS, streams, strict=True)}
    ids = make_ids(spec.golfers)
    roster = draw_roster(spec, draw["roster"], draw["stress"])
    habits = draw_habits(roster, draw["habits"])
    blocks = draw_blocks(roster, draw["blocks"])
    habits = emphasise(habits, blocks)
    limits = _limits(roster, draw["records"])
    for limit in limits:
        habits = forbid(habits, *limit)
    given = draw_plans(roster, draw["plans"]) if spec.plan_weeks else None
    if given is not None:
        habits = follow(habits, roster, given, draw["plans"])
    rate = round_rate(roster, draw["rate"])
    courses = draw_courses(draw["courses"], COURSES)
    fixtures = draw_fixtures(roster, rate, courses, draw["fixtures"])
    life = live(roster, habits, fixtures, courses, draw["life"])
    truth = Truth(roster, life, courses, tuple(ids), rate)
    cards, strokes, stats = rounds_table(roster, life, courses, ids, draw["scores"])
    cards, detail = add_details(cards, strokes, stats, spec, draw["play"])
    frames = _other_tables(truth, limits, blocks, draw)
    if given is not None:
        frames["plans"] = followed_table(roster, given, ids)
    last = pd.Timestamp(spec.ends_on)
    if spec.traits.unposted:
        excess = (life.strokes - life.expected).sum(axis=1) / roster.noise_sd[life.rounds.golfer]
        keep = posted(cards, excess[cards["round"].to_numpy()], spec, draw["stress"])
        cards = cards[keep | (cards["played_on"] > last)]
    past, later = cards[cards["played_on"] <= last], cards[cards["played_on"] > last]
    later = later.assign(score_differential=later["differential"].where(later["holes"] == 18))
    tables = make_tables({"rounds": typed(past), **frames, **detail}, settings=Settings(club_name=spec.name))
    return MadeUpClub(spec, tables, typed(later), truth, _area_strokes(cards, truth))


def _limits(roster: Roster, rng: np.random.Generator) -> list[tuple[int, int, int, int]]:
    """Two golfers may not hit a driver for six weeks of the record."""
    spec = roster.spec
    if "driver" not in spec.categories or spec.golfers < 6 or spec.weeks <= 2 * LIMIT_WEEKS:
        return []
    driver = spec.categories.index("driver")
    golfers = rng.choice(spec.golfers, 2, replace=False)
    first = roster.first + rng.integers(LIMIT_WEEKS, spec.weeks - LIMIT_WEEKS, 2)
    return [(int(who), driver, int(week), LIMIT_WEEKS) for who, week in zip(golfers, first, strict=True)]


def _other_tables(
    truth: Truth,
    limits: list[tuple[int, int, int, int]],
    blocks: Blocks,
    draw: dict[str, np.random.Generator],
) -> dict[str, pd.DataFrame]:
    roster, life, ids = truth.roster, truth.life, list(truth.ids)
    complete = draw["logbook"].random(len(ids)) < COMPLETE_SHARE
    golfers = golfers_table(roster, life, ids, draw["records"])
    golfers["diary_complete"] = pd.Series(complete, dtype="boolean").where(complete)
    frames = {
        "golfers": golfers,
        "practice": practice_table(roster, life, ids, complete, draw["logbook"]),
        "programmes": programmes_table(roster, life, ids),
        "limits": limits_table(roster, limits, ids),
        "plans": plans_table(roster, ids, draw["records"]),
        "calendar": calendar_table(roster),
    }
    if roster.spec.assessments:
        frames["assessments"] = assessments_table(roster, life, ids, blocks.members, draw["tests"])
    if roster.spec.strikes:
        frames["strikes"] = strikes_table(roster, life, ids, draw["bay"])
    if roster.spec.events:
        frames["events"] = events_table(roster, limits, ids, draw["events"])
    if roster.spec.traits.lessons:
        taught = lesson_events(roster.stress, roster.first, roster.now, roster.spec.starts_on, ids)
        frames["events"] = pd.concat([*([frames["events"]] if "events" in frames else []), taught])
    if "events" in frames:
        frames["events"] = _while_members(frames["events"], golfers)
    return frames


def _while_members(events: pd.DataFrame, golfers: pd.DataFrame) -> pd.DataFrame:
    """Events of the time in which their golfers were members."""
    people = golfers.set_index("golfer_id").loc[events["golfer_id"], ["joined_on", "left_on"]]
    joined, left = (pd.to_datetime(people[name]).to_numpy() for name in ("joined_on", "left_on"))
    day = pd.to_datetime(events["happened_on"]).to_numpy()
    outside = (day < joined) | (day > left)
    return events[~outside].reset_index(drop=True)


def _area_strokes(cards: pd.DataFrame, truth: Truth) -> pd.DataFrame:
    key = cards[["golfer_id", "played_on", "round_no", "holes"]].reset_index(drop=True)
    at = cards["round"].to_numpy()
    strokes = pd.DataFrame(
        truth.life.strokes[at], columns=["off_the_tee", "approach", "short_game", "putting"]
    )
    expected = pd.Series(truth.life.expected[at].sum(axis=1), name="expected_differential")
    return pd.concat([key, strokes, expected], axis=1)


def index_ahead(
    club: MadeUpClub,
    golfer_id: str,
    weeks: int = 12,
    plan: Plan | None = None,
    n_sims: int = 1000,
    seed: int = 0,
) -> FLOATS:
    """Return draws of the Handicap Index in force after ``weeks``, from the golfer's real record on.

    Parameters
    ----------
    club : MadeUpClub
        The club.
    golfer_id : str
        A golfer with rounds in the record.
    weeks, plan, n_sims, seed
        As :meth:`paryield.synth.Truth.forward`.

    Returns
    -------
    array, shape (simulations,)
        Strokes; NaN while there are too few rounds.

    Raises
    ------
    InputError
        When the golfer has no rounds, or as :meth:`paryield.synth.Truth.forward`.
    """
    rounds = club.tables.rounds
    own = rounds[rounds["golfer_id"] == golfer_id]
    if own.empty:
        raise InputError("there are no rounds", where=f"golfer {golfer_id}", remedy="choose another golfer")
    golfers = club.tables.golfers[club.tables.golfers["golfer_id"] == golfer_id]
    record = handicap_records(replace(club.tables, rounds=own, golfers=golfers))[golfer_id]
    ahead = club.truth.forward(golfer_id, weeks, plan, n_sims, seed)
    if not len(ahead.dates):
        index = record.end.index
        return np.full(n_sims, np.nan if index is None else index / 10.0)
    days = np.array([day.toordinal() for day in ahead.dates])
    return np.asarray(index_paths(record.end, days, ahead.differentials)[:, -1])
