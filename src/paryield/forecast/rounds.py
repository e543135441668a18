"""Rounds to come: when they are played and how far one strays from its mean."""

from __future__ import annotations

from math import lgamma

import numpy as np
import numpy.typing as npt

from paryield.units import DAYS_PER_MONTH

FLOATS = npt.NDArray[np.float64]
CHUNK_DAYS = 182
SLOTS_PER_ROUND = 4.0
"""Possible days for each expected round: the number played is then nearly Poisson."""
TAIL_DF = 10.0
"""Good scores are a little more frequent than normal: t with about 10 degrees of freedom fits the odds
table of the USGA Handicap System Manual, Appendix E (computed from the verified table)."""
SKEW_LEAN = 0.10
"""Lean that gives a skewness near 0.25: amateur scores are mildly right-skewed, 0.2-0.6 (from memory,
no readable source)."""


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
