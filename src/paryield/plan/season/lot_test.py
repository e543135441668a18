"""A season analysed as it was drawn: a test over the orders that could have come, and a regression.

Outcomes are means by member and block: of scores, and of each kind of test. Strokes fall with the planned
hours at work, ``y_ib = member_i + block_b - sum_j gain_j x_ijb``; what moves all members alike, season and
trend, stands in the block, what is a member's own in the member. Under the hypothesis that the order makes
no difference the outcomes are what they are whatever order was drawn, so that the distribution of the
statistic is known exactly: it is worked out again for orders drawn anew from the same design. Members who
stopped posting leave cells empty, under every order alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS, INTS

HOURS_UNIT = 20.0
FEWEST_CELLS = 8


@dataclass(frozen=True)
class Outcome:
    """One kind of outcome by member and block; N members, B blocks.

    Parameters
    ----------
    name : str
        ``scores``, or the name of a test.
    mean : array, shape (N, B)
        Mean, oriented so that less is better; anything where ``error`` is infinite.
    error : array, shape (N, B)
        Standard error of each mean beside form; infinite without data.
    loads : array, shape (E,)
        How far each emphasis moves this outcome: 1 for scores, the share of the test's area for a test.
    form : float
        Spread of a slow form, the same unit as the mean.
    """

    name: str
    mean: FLOATS
    error: FLOATS
    loads: FLOATS
    form: float = 0.0


@dataclass(frozen=True)
class LotTest:
    """What the drawing says.

    Parameters
    ----------
    chance : float
        Share of the orders that could have been drawn with a statistic at least as large.
    statistic : float
        Explained variation over the error's, summed over outcomes.
    orders : int
        Orders drawn, that of the season included.
    cells : int
        Means of a member and block that it rests on.
    """

    chance: float
    statistic: float
    orders: int
    cells: int


@dataclass(frozen=True)
class Contrast:
    """A gain against the mean of the emphases by plain regression, strokes per 20 hours, with its error."""

    name: str
    gain: float
    error: float


def hours_at_work(blocks: Sequence[tuple[int, int]], half_lives: Sequence[float]) -> FLOATS:
    """Mean hours at work in block b from one weekly hour kept up in block c, shape (B, B, E).

    Parameters
    ----------
    blocks : sequence of (first day, last day)
    half_lives : sequence of float, E
        Days.
    """
    out = np.zeros((len(blocks), len(blocks), len(half_lives)))
    for there, (first, last) in enumerate(blocks):
        practised = np.arange(first, last + 1)
        for here in range(there, len(blocks)):
            days = np.arange(blocks[here][0], blocks[here][1] + 1)
            age = days[:, None] - practised[None, :]
            for place, half_life in enumerate(half_lives):
                left = np.where(age > 0, 2.0 ** (-np.maximum(age, 0) / half_life), 0.0)
                out[here, there, place] = float(left.sum(axis=1).mean()) / 7.0
    return out


def exposures(orders: INTS, shifts: FLOATS, at_work: FLOATS) -> FLOATS:
    """Planned hours at work over 20 by member, block and emphasis, shape (..., N, B, E).

    Parameters
    ----------
    orders : int array, shape (..., N, B)
        Emphasis by member and block; -1 as before.
    shifts : array, shape (N, E + 1, E)
        Weekly hours that each emphasis adds to each category against going on as before; the last is 0.
    at_work : array, shape (B, B, E)
        Of :func:`hours_at_work`.
    """
    members = np.arange(orders.shape[-2])[:, None]
    each = shifts[members, orders]
    found: FLOATS = np.einsum("...nce,bce->...nbe", each, at_work) / HOURS_UNIT
    return found


def whitener(outcome: Outcome) -> tuple[FLOATS, npt.NDArray[np.bool_]]:
    """What takes member, block and form out of the cells, shape (C, C), and the cells used (N, B).

    Cells of a member share his form; the weights are known beforehand, so a test that uses them stays exact.
    """
    used = np.isfinite(outcome.error)
    used &= used.sum(axis=1, keepdims=True) > 1
    used &= used.sum(axis=0, keepdims=True) > 1
    who, block = np.nonzero(used)
    count = len(who)
    half = np.zeros((count, count))
    for member in np.unique(who):
        own = np.flatnonzero(who == member)
        gap = np.abs(block[own][:, None] - block[own][None, :])
        cover = np.diag(outcome.error[member, block[own]] ** 2) + outcome.form**2 * 0.5**gap
        half[np.ix_(own, own)] = np.linalg.inv(np.linalg.cholesky(cover))
    dummies = np.zeros((count, used.shape[0] + used.shape[1]))
    dummies[np.arange(count), who] = 1.0
    dummies[np.arange(count), used.shape[0] + block] = 1.0
    basis, values, _ = np.linalg.svd(half @ dummies, full_matrices=False)
    basis = basis[:, values > 1e-9 * max(values.max(initial=0.0), 1e-300)]
    return half - basis @ (basis.T @ half), used


def explained(seen: FLOATS, columns: FLOATS) -> FLOATS:
    """Sum of squares that columns explain, shape (...,), of data (C,) and columns (..., C, E)."""
    gram = np.swapaxes(columns, -1, -2) @ columns
    with_data = np.swapaxes(columns, -1, -2) @ seen
    slope = np.linalg.pinv(gram, rcond=1e-6, hermitian=True) @ with_data[..., None]
    found: FLOATS = np.sum(with_data * slope[..., 0], axis=-1)
    return found


def _taken(takes: FLOATS, drawn: FLOATS) -> FLOATS:
    """``takes @ one`` of each of (R, C, E), as one product."""
    times, cells, count = drawn.shape
    flat = takes @ drawn.transpose(1, 0, 2).reshape(cells, times * count)
    return flat.reshape(cells, times, count).transpose(1, 0, 2)


def lot_test(outcomes: Sequence[Outcome], exposure: FLOATS, drawn: FLOATS) -> LotTest | None:
    """Permutation test of "the order makes no difference".

    Parameters
    ----------
    outcomes : sequence of Outcome
    exposure : array, shape (N, B, E)
        Under the orders of the season.
    drawn : array, shape (R, N, B, E)
        Under orders drawn anew.

    Returns
    -------
    LotTest or None
        None where too few members have data in two blocks.
    """
    here, others, cells = 0.0, np.zeros(len(drawn)), 0
    for outcome in outcomes:
        takes, used = whitener(outcome)
        if used.sum() < FEWEST_CELLS:
            continue
        seen = takes @ outcome.mean[used]
        left = max(float(seen @ seen), 1e-12) / max(len(seen) - sum(used.shape) + 1, 1)
        here += float(explained(seen, takes @ (exposure * outcome.loads)[used])) / left
        others += explained(seen, _taken(takes, (drawn * outcome.loads)[:, used])) / left
        cells += int(used.sum())
    if not cells:
        return None
    chance = (1.0 + float(np.sum(others >= here - 1e-9 * abs(here)))) / (1.0 + len(others))
    return LotTest(chance, here, len(others) + 1, cells)


def plain_contrasts(outcome: Outcome, exposure: FLOATS, names: Sequence[str]) -> tuple[Contrast, ...]:
    """Gains against their mean by least squares on the same cells, errors clustered by member.

    Returns
    -------
    tuple of Contrast
        Empty where there are too few cells.
    """
    from statsmodels.regression.linear_model import OLS  # only here: it takes a second to import

    used = np.isfinite(outcome.error)
    used &= used.sum(axis=1, keepdims=True) > 1
    who, block = np.nonzero(used)
    count = len(names)
    members, blocks = np.unique(who), np.unique(block)
    if len(who) < len(members) + len(blocks) + count + 2 or len(members) < 4:
        return ()
    centred = np.eye(count) - 1.0 / count
    basis = np.linalg.svd(centred)[0][:, : count - 1]
    columns = -(exposure[used] @ basis)
    fixed = np.hstack(
        [(who[:, None] == members[None, :]).astype(float), (block[:, None] == blocks[None, 1:]).astype(float)]
    )
    fit = OLS(outcome.mean[used], np.hstack([columns, fixed])).fit(
        cov_type="cluster", cov_kwds={"groups": who}
    )
    gains = basis @ fit.params[: count - 1]
    cover = basis @ np.asarray(fit.cov_params())[: count - 1, : count - 1] @ basis.T
    errors = np.sqrt(np.maximum(np.diag(cover), 0.0))
    return tuple(
        Contrast(name, float(gain), float(error))
        for name, gain, error in zip(names, gains, errors, strict=True)
    )


def promised_power(
    outcomes: Sequence[Outcome], exposure: FLOATS, gains: FLOATS, level: float = 0.05
) -> float:
    """Chance to see gains of this size, were they true: the test's limit for many members.

    The statistic is then chi-square with the gains' own information as its shift.

    Parameters
    ----------
    outcomes : sequence of Outcome
        Errors are used, means are not.
    exposure : array, shape (N, B, E)
    gains : array, shape (E,)
        Strokes per 20 hours.
    level : float
    """
    from scipy import stats  # here: it takes longer to import than most answers to work out

    shift, freedom = 0.0, 0
    for outcome in outcomes:
        takes, used = whitener(outcome)
        columns = takes @ (exposure * outcome.loads)[used]
        moved = columns @ gains
        shift += float(moved @ moved)
        freedom += int(
            np.linalg.matrix_rank(columns, tol=1e-6 * max(np.abs(columns).max(initial=0.0), 1e-12))
        )
    if not freedom:
        return level
    return float(stats.ncx2.sf(stats.chi2.isf(level, freedom), freedom, shift))
