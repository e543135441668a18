"""Rounds to come: how often a golfer plays, on which days, and how far a round strays from its mean."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import lgamma

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.tables.frames import once
from paryield.units import DAYS_PER_MONTH, DAYS_PER_YEAR

CHUNK_DAYS = 182
SLOTS_PER_ROUND = 4.0
"""Possible days for each expected round: the number played is then nearly Poisson."""
TAIL_DF = 10.0
"""Good scores are a little more frequent than normal: t with about 10 degrees of freedom fits the odds
table of the USGA Handicap System Manual, Appendix E (computed from the verified table)."""
SKEW_LEAN = 0.10
"""Lean that gives a skewness near 0.25: amateur scores are mildly right-skewed, 0.2-0.6 (from memory,
no readable source)."""

WINDOW_DAYS = 365
SILENT_DAYS = 182
"""Without a counting round for this long a golfer counts as no longer playing."""
LIKE_ROUNDS = 10.0
"""Rounds' worth of weight of the club's pace: golfers of one club spread by about a third. [judgement]"""
PRIOR_PACE, PRIOR_ROUNDS = 2.0, 8.0
"""Rounds a month before anything is known of a club, and how many rounds' worth that is. [judgement]"""
LEAST_MONTHS, LEAST_ROUNDS = 6.0, 10
"""Months of golfers' records, and rounds in them, below which the pace of a club is assumed. [judgement]"""
SEASON_ROUNDS = 15.0
"""Rounds' worth of weight of an even year in each month's share. [judgement]"""

LEAST_DIARY_WEEKS = 8
"""Weeks of golfers' diaries below which hours of practice as now are assumed. [judgement]"""


def chunks(last: float) -> int:
    """Half years needed to reach a day ahead, at least one."""
    return max(int(np.ceil(last / CHUNK_DAYS)), 1)


def chunk_days(rate: float, chunk: int) -> FLOATS:
    """Days of one half year ahead on which a round may be played: several for each expected, and weekly."""
    begin = chunk * CHUNK_DAYS
    count = int(min(np.ceil(SLOTS_PER_ROUND * rate * CHUNK_DAYS / DAYS_PER_MONTH), CHUNK_DAYS))
    slots = np.ceil(np.arange(1, count + 1) * CHUNK_DAYS / max(count, 1))
    weekly = np.arange(7, CHUNK_DAYS + 1, 7)
    days: FLOATS = begin + np.unique(np.concatenate([slots, weekly])).astype(float)
    return days


def played_on(days: FLOATS, rates: FLOATS, season: FLOATS, rng: np.random.Generator) -> npt.NDArray[np.bool_]:
    """Which of the possible days of a half year each draw plays, shape (S, T).

    Parameters
    ----------
    days : array, shape (T,)
        Possible days of one half year.
    rates : array, shape (S,)
        Rounds in a month of average season.
    season : array, shape (T,)
        Pace of each day over the average.
    rng : Generator
    """
    even = CHUNK_DAYS / DAYS_PER_MONTH / len(days)
    chance = np.minimum(rates[:, None] * season * even, 1.0)
    played: npt.NDArray[np.bool_] = rng.random(chance.shape) < chance
    return played


def round_noise(shape: tuple[int, ...], rng: np.random.Generator) -> FLOATS:
    """Draws with mean 0 and variance 1, a little heavy in the tails and right-skewed."""
    heavy = rng.standard_t(TAIL_DF, size=shape) * np.sqrt((TAIL_DF - 2.0) / TAIL_DF)
    # E|z| of the standardised t, exact: 2 sqrt(df) G((df+1)/2) / (sqrt(pi) (df-1) G(df/2)).
    mean_abs = _mean_absolute()
    leaning = heavy + SKEW_LEAN * (np.abs(heavy) - mean_abs)
    noise: FLOATS = leaning / np.sqrt(1.0 + SKEW_LEAN**2 * (1.0 - mean_abs**2))
    return noise


def _mean_absolute() -> float:
    log_ratio = lgamma((TAIL_DF + 1) / 2) - lgamma(TAIL_DF / 2)
    plain = 2 * np.sqrt(TAIL_DF) * np.exp(log_ratio) / (np.sqrt(np.pi) * (TAIL_DF - 1))
    return float(plain * np.sqrt((TAIL_DF - 2.0) / TAIL_DF))


@dataclass(frozen=True)
class Pace:
    """A golfer's pace ahead.

    Parameters
    ----------
    mean : float
        Expected counting rounds in a month of average season; 0 when the golfer no longer plays.
    shape : float or None
        Rounds' worth of knowledge behind the mean; None when the pace was given.
    season : array, shape (12,)
        Pace of each calendar month over the average.
    assumed : bool
        The club's record is too short to tell: the pace is mostly :data:`PRIOR_PACE`.
    """

    mean: float
    shape: float | None
    season: FLOATS
    assumed: bool = False

    def draws(self, samples: int, rng: np.random.Generator) -> FLOATS:
        """Draw the pace in an average month: gamma, as for a Poisson count."""
        if self.shape is None or self.mean <= 0:
            return np.full(samples, self.mean)
        drawn: FLOATS = self.mean * rng.gamma(self.shape, 1.0 / self.shape, size=samples)
        return drawn

    def expected(self, as_of: int, days: float) -> float:
        """Expected rounds a month over the next ``days`` days."""
        ahead = season_on(self.season, as_of + np.arange(1, max(int(days), 1) + 1))
        return float(self.mean * ahead.mean())


def season_on(season: FLOATS, days: npt.NDArray[np.int64]) -> FLOATS:
    """Season of each day (days since 1970-01-01), shape (T,)."""
    months = days.astype("datetime64[D]").astype("datetime64[M]").astype(int) % 12
    picked: FLOATS = season[months]
    return picked


def club_paces(tables: Tables, golfers: list[str], as_of: int) -> dict[str, Pace]:
    """Pace of each golfer from the counting rounds of the last year.

    Parameters
    ----------
    tables : Tables
    golfers : list of str
    as_of : int
        Days since 1970-01-01.
    """
    playing, usual = once(tables, ("paces", as_of), lambda: _everybody(tables, as_of))
    new = once(tables, ("newcomers", as_of), lambda: _newcomers(tables, as_of))
    silent = Pace(0.0, None, usual.season)
    return {golfer: playing.get(golfer, usual if golfer in new else silent) for golfer in golfers}


def _newcomers(tables: Tables, as_of: int) -> frozenset[str]:
    """Who has no counting round yet and has not been silent for long: he is taken to play as others do."""
    rounds = tables.rounds
    played = set(rounds.loc[rounds["counts_for_index"].fillna(True), "golfer_id"])
    people = tables.golfers[~tables.golfers["golfer_id"].isin(list(played))]
    day = pd.Timestamp(np.datetime64(as_of, "D"))
    recent = people["joined_on"].isna() | (people["joined_on"] > day - pd.Timedelta(days=SILENT_DAYS))
    here = people["left_on"].isna() | (people["left_on"] > day)
    return frozenset(str(golfer) for golfer in people.loc[recent & here, "golfer_id"])


def _everybody(tables: Tables, as_of: int) -> tuple[dict[str, Pace], Pace]:
    """Pace of each golfer who plays, and that of a golfer of whom nothing is known yet."""
    rounds = tables.rounds[tables.rounds["counts_for_index"].fillna(True)]
    day = rounds["played_on"].to_numpy().astype("datetime64[D]").astype(np.int64)
    known = pd.DataFrame({"golfer_id": rounds["golfer_id"].to_numpy(), "day": day})
    known = known[known["day"] <= as_of]
    first = known.groupby("golfer_id")["day"].min()
    last = known.groupby("golfer_id")["day"].max()
    season = _season(known, first, last, as_of)
    recent = known[known["day"] > as_of - WINDOW_DAYS].groupby("golfer_id").size()
    window = season_on(season, np.arange(as_of - WINDOW_DAYS + 1, as_of + 1)) / DAYS_PER_MONTH
    months = {
        golfer: float(window[max(int(first[golfer]) - (as_of - WINDOW_DAYS) - 1, 0) :].sum())
        for golfer in first.index
    }
    playing = [golfer for golfer in first.index if as_of - int(last[golfer]) < SILENT_DAYS]
    counted = {
        golfer: _beyond_first(int(recent.get(golfer, 0)), int(first[golfer]), as_of) for golfer in playing
    }
    total, watched = sum(counted.values()), sum(months[golfer] for golfer in playing)
    club = (PRIOR_ROUNDS + total) / (PRIOR_ROUNDS / PRIOR_PACE + watched)
    assumed = watched < LEAST_MONTHS or total < LEAST_ROUNDS
    out = {}
    for golfer in playing:
        shape = LIKE_ROUNDS + counted[golfer]
        out[golfer] = Pace(shape / (LIKE_ROUNDS / club + months[golfer]), shape, season, assumed)
    return out, Pace(club, LIKE_ROUNDS, season, assumed=True)


def _beyond_first(rounds: int, first: int, as_of: int) -> int:
    """Rounds that tell a pace: the one with which the watch begins is no event of the time watched."""
    return max(rounds - (first > as_of - WINDOW_DAYS), 0)


def _season(known: pd.DataFrame, first: pd.Series, last: pd.Series, as_of: int) -> FLOATS:
    """Rounds of each calendar month over those expected from an even pace, shrunk towards 1."""
    begin = as_of - int(2 * DAYS_PER_YEAR)
    exposure = np.zeros(12)
    for golfer in first.index:
        days = np.arange(max(int(first[golfer]), begin), min(int(last[golfer]) + 30, as_of) + 1)
        months = days.astype("datetime64[D]").astype("datetime64[M]").astype(int) % 12
        exposure += np.bincount(months, minlength=12)
    inside = known.loc[known["day"] >= begin, "day"].to_numpy()
    counts = np.bincount(
        inside.astype("datetime64[D]").astype("datetime64[M]").astype(int) % 12, minlength=12
    )
    expected = exposure * counts.sum() / max(exposure.sum(), 1.0)
    ratio = (counts + SEASON_ROUNDS) / (expected + SEASON_ROUNDS)
    season: FLOATS = ratio / ratio.mean()
    return season


def early_notes(posterior: Posterior, paces: Iterable[Pace]) -> list[str]:
    """Return what is assumed because the club's record is too short; nothing for one that is long enough.

    Parameters
    ----------
    posterior : Posterior
        Its constant ``weeks_known`` counts the weeks of each golfer's diary.
    paces : iterable of Pace
        Of the golfers who are answered.
    """
    notes = []
    if any(pace.assumed for pace in paces):
        notes.append(
            "the record is too short to tell how often people play: "
            f"about {PRIOR_PACE:g} rounds a month are assumed"
        )
    weeks = int(posterior.constant("weeks_known").sum())
    if weeks < LEAST_DIARY_WEEKS:
        noun = "week" if weeks == 1 else "weeks"
        notes.append(
            f"the diaries hold {weeks} {noun} of practice in all, fewer than {LEAST_DIARY_WEEKS}: "
            "hours as now are assumed, not measured"
        )
    return notes
