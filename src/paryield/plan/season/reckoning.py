"""What a season tells about the gains of its categories: exact for a straight line with normal errors.

The strokes that a golfer loses by area in a week are ``- sum_j gain_j exposure_tj slope_jk`` plus what is his
own (level, drift by area, slow form, what was at work at the start) and what all share (trend, season).
His own values are normal with known spread and are integrated out; the information about what is shared
adds up over golfers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.model.terms.coach_tests import SPELL_DAYS
from paryield.plan.learning import entropy
from paryield.units import DAYS_PER_YEAR

FLOATS = npt.NDArray[np.float64]
SHARED = 3
"""Trend, and cosine and sine of the season, in strokes a round."""
OUTER, INNER = 200, 400


@dataclass(frozen=True)
class Own:
    """Spread of what is a golfer's own; K areas, strokes.

    Parameters
    ----------
    level : array, shape (K, K)
        Covariance of his strokes lost by area before the season.
    form, form_days : float
        Spread and time constant of slow form, split over areas by ``share``.
    drift : float
        Spread of his drift in one area over a year.
    spell : float
        Spread of his form in one area, which stays for :data:`SPELL_DAYS`.
    share : array, shape (K,)
        Share of each area in a change of the whole score.
    """

    level: FLOATS
    form: float
    form_days: float
    drift: float
    share: FLOATS
    spell: float = 0.0

    def cover(self, days: FLOATS) -> FLOATS:
        """Covariance of strokes by week and area, shape (T K, T K)."""
        gap = np.abs(days[:, None] - days[None, :])
        years = days / DAYS_PER_YEAR
        one = np.outer(self.share, self.share)
        whole = np.kron(np.ones_like(gap), self.level)
        whole += np.kron(self.form**2 * np.exp(-gap / self.form_days), one)
        whole += np.kron(self.drift**2 * np.outer(years, years), np.eye(len(self.share)))
        number = days // SPELL_DAYS
        whole += np.kron(self.spell**2 * (number[:, None] == number), np.eye(len(self.share)))
        return np.asarray(whole)


@dataclass(frozen=True)
class Sitting:
    """One golfer's season as it enters the reckoning; T weeks, J categories, K areas.

    Parameters
    ----------
    days : array, shape (T,)
        Days since 1970-01-01, the middle of each week.
    exposure : array, shape (T, J)
        Bent hours at work over 20, less those on the day before the season.
    slope : array, shape (J, K)
        Strokes of each area for a gain of 1 stroke per 20 hours.
    fading : array, shape (T, K)
        Strokes by area that one more standard deviation of what was at work at the start would save.
    information : array, shape (T, K, K)
        Information of the week's rounds and tests about strokes lost by area.
    """

    days: FLOATS
    exposure: FLOATS
    slope: FLOATS
    fading: FLOATS
    information: FLOATS


def told_about_shared(sitting: Sitting, own: Own) -> FLOATS:
    """Information of one golfer's weeks about the gains, then trend and season, shape (J + 3, J + 3)."""
    weeks, areas = sitting.fading.shape
    root = _root(sitting.information)
    cover = own.cover(sitting.days - sitting.days[0] + 3.5)
    start = sitting.fading.reshape(-1)
    cover = cover + np.outer(start, start)
    effect = -np.einsum("tj,jk->tkj", sitting.exposure, sitting.slope).reshape(weeks * areas, -1)
    angle = 2.0 * np.pi * sitting.days / DAYS_PER_YEAR
    time = np.column_stack([(sitting.days - sitting.days[0]) / DAYS_PER_YEAR, np.cos(angle), np.sin(angle)])
    common = np.einsum("tc,k->tkc", time, own.share).reshape(weeks * areas, -1)
    seen = root.T @ np.hstack([effect, common])
    spread = np.eye(root.shape[1]) + root.T @ cover @ root
    found: FLOATS = seen.T @ np.linalg.solve(spread, seen)
    return found


def _root(information: FLOATS) -> FLOATS:
    """Block-diagonal root of the weekly information, shape (T K, R)."""
    weeks, areas, _ = information.shape
    columns = []
    for week, each in enumerate(information):
        values, vectors = np.linalg.eigh(each)
        for value, vector in zip(values, vectors.T, strict=True):
            if value > 1e-9:
                column = np.zeros(weeks * areas)
                column[week * areas : (week + 1) * areas] = np.sqrt(value) * vector
                columns.append(column)
    return np.array(columns).T if columns else np.zeros((weeks * areas, 0))


@dataclass(frozen=True)
class Beliefs:
    """What is believed of the gains: mean (J,) and covariance (J, J), strokes per 20 hours."""

    mean: FLOATS
    cover: FLOATS

    def after(self, information: FLOATS, shared_sd: Sequence[float]) -> Beliefs:
        """Beliefs after data that were worth this much, with the mean left where it is.

        Parameters
        ----------
        information : array, shape (J + 3, J + 3)
        shared_sd : sequence of float
            Spread of trend (strokes a year), cosine and sine of the season (strokes) before the data.
        """
        count = len(self.mean)
        whole = information.copy()
        whole[:count, :count] += np.linalg.inv(self.cover)
        whole[count:, count:] += np.diag(1.0 / np.array(shared_sd) ** 2)
        return Beliefs(self.mean, np.linalg.inv(whole)[:count, :count])


@dataclass(frozen=True)
class Promise:
    """What a season is expected to tell.

    Parameters
    ----------
    before, after : float
        Entropy of which category is best, bits.
    lost_before, lost_after : float
        Strokes per 20 hours given up on average by taking the category that looks best.
    error : tuple of float
        Standard error of each gain from the season's data alone, strokes per 20 hours.
    """

    before: float
    after: float
    lost_before: float
    lost_after: float
    error: tuple[float, ...]

    @property
    def told(self) -> float:
        """Bits that the season is expected to tell."""
        return self.before - self.after


def promise(before: Beliefs, information: FLOATS, shared_sd: Sequence[float], seed: int = 0) -> Promise:
    """Reckon what data of this information tell, averaged over what they may turn out to be.

    The same standard normal numbers serve every call with one seed, so that promises compare.
    """
    after = before.after(information, shared_sd)
    rng = np.random.default_rng([seed, 31])
    outer, inner = (rng.normal(size=(size, len(before.mean))) for size in (OUTER, INNER))
    moved = before.mean + outer @ _half(before.cover - after.cover).T
    around = inner @ _half(after.cover).T
    bits, lost = np.empty(OUTER), np.empty(OUTER)
    for place, middle in enumerate(moved):
        bits[place], lost[place] = _open(middle + around, middle)
    whole = (
        before.mean
        + np.random.default_rng([seed, 32]).normal(size=(20 * INNER, len(before.mean)))
        @ _half(before.cover).T
    )
    bits_now, lost_now = _open(whole, before.mean)
    flat = Beliefs(before.mean, 1e6 * np.eye(len(before.mean))).after(information, shared_sd)
    error = tuple(float(value) for value in np.sqrt(np.diag(flat.cover)))
    return Promise(bits_now, min(float(bits.mean()), bits_now), lost_now, float(lost.mean()), error)


def _open(draws: FLOATS, middle: FLOATS) -> tuple[float, float]:
    even = np.full((1, len(draws)), 1.0 / len(draws))
    bits = float(entropy(even, draws.argmax(axis=1), draws.shape[1])[0])
    return bits, float(draws.max(axis=1).mean() - draws[:, int(middle.argmax())].mean())


def _half(cover: FLOATS) -> FLOATS:
    values, vectors = np.linalg.eigh(0.5 * (cover + cover.T))
    half: FLOATS = vectors * np.sqrt(np.maximum(values, 0.0))
    return half
