"""A made-up year: a club with months of habits follows the season laid out for it, or goes on."""

from __future__ import annotations

import hashlib
import os
import pickle
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any
from unittest.mock import patch

import numpy as np
import numpy.typing as npt
import pandas as pd
from contrasts_found import Contrast, contrasts_found
from long_fits import KEPT, made_by
from tested_years import tested_weekly

from paryield.evaluate.known import known_tables
from paryield.evaluate.plans import plan_regret, thrown_away
from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec
from paryield.plan.options import club_question
from paryield.plan.season.layout import Asked, Season, season_fit
from paryield.posterior import Posterior
from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.synth.habits import Blocks, Habits

FLOATS = npt.NDArray[np.float64]
SEEDS = (7221, 7222, 7223, 7224, 7225, 7226, 7227, 7228, 7229, 7230)
"""Clubs of the evidence; written down before the first of them was made. 7101 to 7106 are used up: on them it
was seen that tests were given the season of rounds. On 7201 to 7210 plans were held against splits of more
hours than some golfers have. On 7211 to 7220 it was seen that drawing weeks toward an even split does not
help, and that categories wear out at hours of their own: the model that knows it was tried on three of
them."""
HABIT_WEEKS, SEASON_WEEKS, BLOCK_WEEKS = 39, 52, 12
KEPT_SHARE, KEPT_SPREAD = 0.7, 0.1
"""Members do 60 to 80 % of a plan (common practice, no source)."""
SEASON, HABIT, SCORES = "season and tests", "habits and tests", "season, scores alone"
WAYS = (SEASON, HABIT, SCORES)


@dataclass(frozen=True)
class Year:
    """What a club knew and had given up after a year, one way of living it."""

    seed: int
    way: str
    promised: float
    told: float
    thrown_away: dict[str, float]
    best_named: float
    given_up: float
    verdicts: dict[str, int]
    contrasts: list[Contrast]


def spec_of(seed: int, golfers: int = 60, tests: bool = True) -> ClubSpec:
    """The club at the end of the year."""
    return ClubSpec(
        golfers=golfers,
        seed=seed,
        weeks=HABIT_WEEKS + SEASON_WEEKS,
        future_weeks=26,
        rounds_per_month=4.0,
        assessments=tests,
        strikes=tests,
        late_share=0.0,
    )


@contextmanager
def lived(season: Season | None, seed: int, tests: bool) -> Iterator[None]:
    """Let the club that is made now follow a season from its first week, and test all four areas weekly."""

    def blocks(roster: Any, rng: np.random.Generator) -> Blocks:
        everybody = np.full(roster.spec.golfers, tests)
        return Blocks(everybody, np.full((roster.spec.golfers, roster.weeks), -1, dtype=np.intp))

    def follow(habits: Habits, _: Blocks) -> Habits:
        return habits if season is None else followed(habits, season, seed)

    with (
        patch("paryield.synth.club.draw_blocks", blocks),
        patch("paryield.synth.club.emphasise", follow),
        tested_weekly(),
    ):
        yield


def followed(habits: Habits, season: Season, seed: int) -> Habits:
    """Habits in which members do their share of the season's hours; the rest they do as before."""
    rng = np.random.default_rng([seed, 41])
    intended = habits.intended.copy()
    weeks = intended.shape[2]
    now = weeks - 26  # the season ends with the record; the weeks after it are those of the plans
    for member, laid in zip(season.members, season.laid, strict=True):
        who = int(member.golfer_id.lstrip("G")) - 1
        share = float(np.clip(rng.normal(KEPT_SHARE, KEPT_SPREAD), 0.3, 1.0))
        names = [name for name in member.week.names if name != "phantom"]
        for week in range(min(len(laid.hours), SEASON_WEEKS)):
            hours = np.array([laid.hours[week][member.week.names.index(name)] for name in names])
            at = now - SEASON_WEEKS + week
            intended[who, :, at] = share * hours + (1.0 - share) * intended[who, :, at]
    return replace(habits, intended=intended)


def fit_kept(made: MadeUpClub, key: str, as_of: date, spec: ModelSpec) -> Posterior:
    """Fit what was known on a day, or take the fit that was kept under this key."""
    name = hashlib.sha256(made_by() + repr((made.spec, key, as_of, spec)).encode()).hexdigest()[:24]
    path = KEPT / f"year-{name}.pickle"
    if path.exists():
        found: Posterior = pickle.loads(path.read_bytes())
        return found
    tables = known_tables(made.tables, pd.Timestamp(as_of))
    fit = fit_tables(tables, spec, as_of=(as_of - date(1970, 1, 1)).days, cores=1)
    KEPT.mkdir(parents=True, exist_ok=True)
    path.with_suffix(f".{os.getpid()}").write_bytes(pickle.dumps(fit))
    path.with_suffix(f".{os.getpid()}").replace(path)
    return fit


def live_a_year(seed: int, way: str, spec: ModelSpec, golfers: int = 60) -> Year:
    """One club, one way of living the year: habits, a season laid out from them, the year, and a new fit."""
    tests = way != SCORES
    asked = spec_of(seed, golfers, tests)
    before_day = asked.ends_on - timedelta(days=7 * SEASON_WEEKS)
    with lived(None, seed, tests):
        usual = make_club(asked)
    before = fit_kept(usual, "before", before_day, spec)
    known = known_tables(usual.tables, pd.Timestamp(before_day))
    season = season_fit(before, known, Asked(weeks=BLOCK_WEEKS, seed=seed))
    assert season is not None
    with lived(None if way == HABIT else season, seed, tests):
        club = make_club(asked)
    after = fit_kept(club, way, asked.ends_on, spec)
    table = plan_regret(club, after)
    lost = thrown_away(table).set_index("rule")["thrown_away"]
    advised = table[table["rule"] == "advised"]
    return Year(
        seed,
        way,
        promised=season.told[0].promise.told if way != HABIT else season.present.told,
        told=bits(before) - bits(after),
        thrown_away={str(rule): float(value) for rule, value in lost.items()},
        best_named=named_best(club, after),
        given_up=strokes_given_up(usual, club),
        verdicts={str(word): int(number) for word, number in advised["verdict"].value_counts().items()},
        contrasts=contrasts_found(club, after),
    )


def bits(posterior: Posterior) -> float:
    """Bits open about which category is best."""
    chance = club_question(posterior).chance_best
    some = chance[chance > 0]
    return float(-np.sum(some * np.log2(some)))


def named_best(club: MadeUpClub, posterior: Posterior) -> float:
    """True gain of the category that looks best, over that of the truly best one."""
    question = club_question(posterior)
    gains = {name: club.truth.population_gain(name) for name in question.names}
    return gains[question.names[int(question.returns.mean(axis=0).argmax())]] / max(gains.values())


def strokes_given_up(usual: MadeUpClub, club: MadeUpClub) -> float:
    """Strokes a round lost in the season by practising otherwise, the mean over golfers and weeks."""
    now = usual.truth.roster.now
    weeks = slice(now - SEASON_WEEKS, now)
    before, then = (one.truth.life.practice_strokes[:, :, weeks].sum(axis=1) for one in (usual, club))
    return float((then - before).mean())
