"""What a measurement not yet made is expected to tell about which category is best.

A preposterior analysis: data are drawn from the posterior's own draws, the draws are weighed anew by what
the data would say, and the entropy of "which is best" is averaged over the data.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from paryield.arrays import FLOATS, INTS

OUTER = 400
"""Data sets drawn."""


@dataclass(frozen=True)
class Information:
    """Entropy of "which category is best" before and, on average, after the data; bits.

    Parameters
    ----------
    before, after : float
    error : float
        Monte Carlo standard error of ``after``.
    """

    before: float
    after: float
    error: float

    @property
    def gain(self) -> float:
        """Bits that the data are expected to tell."""
        return self.before - self.after


def entropy(weights: FLOATS, best: INTS, count: int) -> FLOATS:
    """Entropy of the best category under weighted draws, bits, shape (D,).

    What a finite number of draws takes away on average (Miller 1955, from memory; for weights by the delta
    method) is put back.

    Parameters
    ----------
    weights : array, shape (D, S)
        Each row sums to 1.
    best : int array, shape (S,)
        Best category of each draw.
    count : int
        Number of categories.
    """
    chance = np.zeros((len(weights), count))
    squares = np.zeros_like(chance)
    for category in range(count):
        mine = weights[:, best == category]
        chance[:, category] = mine.sum(axis=1)
        squares[:, category] = (mine**2).sum(axis=1)
    total = squares.sum(axis=1, keepdims=True)
    variance = (1.0 - 2.0 * chance) * squares + chance**2 * total
    there = chance > 1e-12
    safe = np.where(there, chance, 1.0)
    nats = -np.sum(safe * np.log(safe), axis=1)
    bias = np.sum(np.where(there, variance / (2.0 * safe), 0.0), axis=1)
    bits: FLOATS = (nats + bias) / np.log(2.0)
    return bits


def told_by(returns: FLOATS, signal: FLOATS, *, outer: int = OUTER, seed: int = 0) -> Information:
    """Entropy of "which category is best" before and after data with independent unit errors.

    Data sets are drawn from draws of the fit, and every other draw is weighed by its likelihood.

    Parameters
    ----------
    returns : array, shape (S, J)
        Draws of each category's return, real categories only.
    signal : array, shape (S, R)
        Mean of the data in each draw, in units of their errors.
    outer : int
        Data sets drawn.
    seed : int
    """
    samples, count = returns.shape
    best = returns.argmax(axis=1)
    before = float(entropy(np.full((1, samples), 1.0 / samples), best, count)[0])
    rng = np.random.default_rng([seed, 9])
    truths = rng.permutation(samples)[: min(outer, samples)]
    seen = signal - signal.mean(axis=0)
    data = seen[truths] + rng.normal(size=(len(truths), seen.shape[1]))
    log_weight = data @ seen.T - 0.5 * np.sum(seen**2, axis=1)
    # The draw that made the data may not explain them: with few draws it would explain them too well.
    log_weight[np.arange(len(truths)), truths] = -np.inf
    weights = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    after = entropy(weights / weights.sum(axis=1, keepdims=True), best, count)
    return Information(before, float(after.mean()), float(after.std() / np.sqrt(len(after))))


def signal_of(seen: FLOATS, wander: FLOATS, root: FLOATS) -> FLOATS:
    """Measurements in units of their errors, form to come included.

    Parameters
    ----------
    seen : array, shape (S, M)
        What would be measured, in each draw.
    wander : array, shape (M, M)
        Covariance of what is not yet drawn: form to come.
    root : array, shape (M, R)
        ``root @ root.T`` is the information of the measurements about ``seen``.

    Returns
    -------
    array, shape (S, R)
    """
    factor = np.linalg.cholesky(np.eye(root.shape[1]) + root.T @ wander @ root)
    signal: FLOATS = np.linalg.solve(factor, (seen @ root).T).T
    return signal
