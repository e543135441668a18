"""Scorecards of a made-up club: the rounds table as golfers write it down, with each round's stats.

The curves pass through the published and working values: putts a round 31.3 at scratch and 36.4 at
40 (Soley 1977, quoted in a blog post, verified as quoted), 33 for a 90-golfer (golfsciencejournal.org 7732,
verified); greens 10, 7.5, 5, 3, 1.5 at an index of 0, 5, 10, 18, 28, fairways 55 to 43 %, up-and-downs
45 to 12 %, penalty strokes 0.5 to 3 (from memory, weak), with area shares 0.26, 0.37, 0.21, 0.16 and a mean
differential 2.4 + 1.04 x index; fitted by eye to those points (computed).
"""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS, INTS
from paryield.synth.golfers import Roster
from paryield.synth.life import Life
from paryield.synth.rounds import Courses
from paryield.tables import AREAS, as_table

Counts = INTS

PUTTS_BASE = 29.3
PUTTS_PER_GREEN = 0.163
PUTTS_SD = 1.2

OFTEN = ("greens_hit", "putts")
SELDOM = (
    "three_putts",
    "fairways_possible",
    "fairways_hit",
    "up_and_downs_tried",
    "up_and_downs_made",
    "penalty_strokes",
)
RARELY = ("sand_saves_tried", "sand_saves_made")

AREA_ERROR_SD = 0.5
"""Error of strokes gained per area as noted, a round (made up)."""

UNTOLD = ("round", "differential", "score", "rating", "slope", "rating_18")
"""Columns of the cards that no golfer writes down."""

PCC = np.array([-1.0, 0.0, 1.0, 2.0])
PCC_SHARES = (0.02, 0.93, 0.04, 0.01)


def greens_chance(strokes: FLOATS) -> FLOATS:
    """Return the chance of a green in regulation, shape (rounds,), from strokes lost by area."""
    return np.clip(np.exp(-0.44 - 0.131 * strokes[:, 1] - 0.062 * strokes[:, 0]), 0.02, 0.92)


def fairway_chance(strokes: FLOATS) -> FLOATS:
    """Return the chance of a fairway hit."""
    return np.asarray(1.0 / (1.0 + np.exp(-(0.225 - 0.0627 * strokes[:, 0]))))


def up_and_down_chance(strokes: FLOATS) -> FLOATS:
    """Return the chance of an up-and-down."""
    return np.clip(np.exp(-0.69 - 0.139 * strokes[:, 2] - 0.0982 * strokes[:, 3]), 0.02, 0.85)


def penalties_mean(strokes: FLOATS) -> FLOATS:
    """Return the expected penalty strokes of 18 holes."""
    return np.maximum(0.2 + 0.234 * strokes[:, 0] + 0.0705 * strokes[:, 1], 0.1)


def three_putts_mean(strokes: FLOATS) -> FLOATS:
    """Return the expected three-putts of 18 holes: 0.9 at scratch, 3.6 at 40 (Soley 1977, as above)."""
    return np.maximum(0.7 + 0.42 * strokes[:, 3], 0.1)


def draw_stats(strokes: FLOATS, holes: Counts, rng: np.random.Generator) -> dict[str, Counts]:
    """Draw the stats of rounds.

    Parameters
    ----------
    strokes : array, shape (rounds, areas)
        Strokes lost to scratch in the round, scaled to 18 holes.
    holes : int array, shape (rounds,)
        Holes played, 9 or 18.

    Returns
    -------
    dict of str to int array
        One array per column of the rounds table.
    """
    part = holes / 18.0
    greens = rng.binomial(holes, greens_chance(strokes))
    putts = PUTTS_BASE * part + strokes[:, 3] * part + PUTTS_PER_GREEN * greens
    putts = np.rint(putts + rng.normal(0.0, PUTTS_SD, len(holes)) * np.sqrt(part)).astype(np.int64)
    putts = np.maximum(putts, holes - 3)
    possible = np.where(holes == 18, rng.integers(13, 15, len(holes)), 7)
    tried = rng.binomial(holes - greens, 0.85)
    sand = rng.binomial(tried, 0.16)
    chance = up_and_down_chance(strokes)
    return {
        "greens_hit": greens,
        "putts": putts,
        "three_putts": np.minimum(
            rng.poisson(three_putts_mean(strokes) * part), np.maximum(putts - holes, 0)
        ),
        "fairways_possible": possible,
        "fairways_hit": rng.binomial(possible, fairway_chance(strokes)),
        "up_and_downs_tried": tried,
        "up_and_downs_made": rng.binomial(tried, chance),
        "sand_saves_tried": sand,
        "sand_saves_made": rng.binomial(sand, 0.8 * chance),
        "penalty_strokes": rng.poisson(penalties_mean(strokes) * part),
    }


def rounds_table(
    roster: Roster, life: Life, courses: Courses, ids: list[str], rng: np.random.Generator
) -> tuple[pd.DataFrame, FLOATS, dict[str, Counts]]:
    """Write the scorecards of all rounds played, future ones included.

    Returns
    -------
    cards : DataFrame
        Columns of the rounds table plus those of :data:`UNTOLD`: ``round`` (position in ``life``),
        ``differential`` (as the card gives it, to a tenth for 18 holes), ``score``, ``rating`` and
        ``slope`` as played, and ``rating_18`` of the whole course.
    strokes : array, shape (rounds, areas)
        Strokes lost as played, those of nine holes counted double.
    stats : dict of arrays, shape (rounds,)
        Stats of every round, noted or not.
    """
    rounds, spec = life.rounds, roster.spec
    size = len(rounds.golfer)
    holes = np.where(rng.random(size) < spec.nine_hole_share, 9, 18)
    halving = rng.normal(0.0, 1.0, (size, 4)) * np.std(life.strokes - life.expected, axis=0)
    strokes = life.strokes + np.where(holes == 9, 1.0, 0.0)[:, None] * halving
    frame = _cards(roster, life, courses, ids, rng, holes, strokes)
    stats = draw_stats(strokes, holes, rng)
    noted = {name: values.astype(float) for name, values in stats.items()}
    for name, present in _noted(roster, life, rng).items():
        frame[name] = np.where(present, noted[name], np.nan)
    gained = -strokes * (holes / 18.0)[:, None] + rng.normal(0.0, AREA_ERROR_SD, (size, 4))
    given = rng.random(size) < spec.area_strokes_share
    for index, area in enumerate(AREAS):
        frame[area] = np.where(given, np.round(gained[:, index], 2), np.nan)
    frame["baseline"] = pd.Series("scratch", frame.index).where(given)
    return frame, strokes, stats


def _cards(
    roster: Roster,
    life: Life,
    courses: Courses,
    ids: list[str],
    rng: np.random.Generator,
    holes: Counts,
    strokes: FLOATS,
) -> pd.DataFrame:
    rounds, n = life.rounds, roster.spec.golfers
    size = len(rounds.golfer)
    tee = (rng.random(n) < 0.3).astype(int)[rounds.golfer]
    part = holes / 18.0
    rating = np.round(courses.rating[rounds.course, tee] * part, 1)
    slope = courses.slope[rounds.course, tee]
    days = int(rounds.day.max()) + 1 if size else 0
    pcc = rng.choice(PCC, days, p=PCC_SHARES)[rounds.day]
    conditions = pcc * part
    score = np.rint(rating + conditions + slope / 113.0 * strokes.sum(axis=1) * part)
    exact = 113.0 / slope * (score - rating - conditions)
    differential = np.where(holes == 18, np.floor(np.round(10.0 * exact, 6) + 0.5) / 10.0, exact)
    card = (rng.random(n) < 0.7)[rounds.golfer] | (holes == 9) | (rng.random(size) < 0.2)
    frame = pd.DataFrame(
        {
            "golfer_id": np.array(ids, dtype=object)[rounds.golfer],
            "played_on": pd.to_datetime(
                [roster.spec.starts_on + timedelta(days=int(day)) for day in rounds.day]
            ),
            "score_differential": np.where(card, np.nan, differential),
            "adjusted_gross_score": np.where(card, score, np.nan),
            "course_rating": np.where(card, rating, np.nan),
            "slope_rating": np.where(card, slope, np.nan),
            "holes": holes,
            "course": np.array(courses.names, dtype=object)[rounds.course],
            "tee": np.array(["white", "yellow"], dtype=object)[tee],
            "par": np.where(holes == 18, 72, 36),
            "pcc": pcc,
            "counts_for_index": rng.random(size) >= 0.03,
            "competition": rng.random(size) < 0.06,
            "round": np.arange(size),
            "differential": differential,
            "score": score,
            "rating": rating,
            "slope": slope,
            "rating_18": courses.rating[rounds.course, tee],
        }
    )
    frame["round_no"] = frame.groupby(["golfer_id", "played_on"]).cumcount() + 1
    return frame


def _noted(roster: Roster, life: Life, rng: np.random.Generator) -> dict[str, np.ndarray]:
    """Which stats stand on which card; some golfers note more than others."""
    golfer, detail = life.rounds.golfer, life.rounds.detail
    n, share = roster.spec.golfers, roster.spec.stats_share
    lift = rng.beta(2.0, 2.0, n) * 2.0 * share
    often = detail[:, 0] < np.minimum(lift, 1.0)[golfer]
    seldom = often & (detail[:, 1] < 0.4) & (rng.random(n) < 0.7)[golfer]
    rarely = seldom & (detail[:, 2] < 0.5)
    present = dict.fromkeys(OFTEN, often)
    present["greens_hit"] = often & (detail[:, 3] > 0.08)
    return present | dict.fromkeys(SELDOM, seldom) | dict.fromkeys(RARELY, rarely)


def typed(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the columns of the rounds table, typed, sorted by golfer and date."""
    own = frame.drop(columns=list(UNTOLD))
    return as_table("rounds", own.sort_values(["golfer_id", "played_on", "round_no"]))
