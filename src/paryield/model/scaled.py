"""The density in units of its own spread: a normal approximation at its mode becomes the scale of sampling.

A change of variables by a constant matrix leaves the posterior as it is. It is worth more than a long
warm-up: correlations that chains would have to learn from their draws are read off the curvature beforehand.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from scipy.optimize import minimize

from paryield.arrays import FLOATS
from paryield.model.density import Density
from paryield.model.population import PopulationValues

STEP = 1e-3
"""Step of the differences of gradients, in widths of the prior."""
FLATTEST = 0.05
"""Least curvature per squared width of the prior: what the density does not bend is taken as wider than that,
not as endless."""
DRAWS_PER_VALUE = 10
"""Draws for each value that is sampled, below which their spread is too roughly known to be a scale."""
START = 2.0
"""Chains start at most this many posterior standard deviations from the mode in each direction: further from
each other than their draws, so that agreement of the chains means something."""


class Scaled:
    """A density of ``z`` where ``x = mode + factor @ z``.

    Parameters
    ----------
    density : Density
    mode : array, shape (size,)
    factor : array, shape (size, size)
    """

    def __init__(self, density: Density, mode: FLOATS, factor: FLOATS) -> None:
        self.density, self.mode, self.factor = density, mode, factor

    @property
    def size(self) -> int:
        """Number of unconstrained values."""
        return self.density.size

    def unscaled(self, z: FLOATS) -> FLOATS:
        """Return the unconstrained values at ``z``, shape (..., size)."""
        return self.mode + z @ self.factor.T

    def scaled(self, x: FLOATS) -> FLOATS:
        """Return ``z`` of unconstrained values, shape (..., size)."""
        return np.ascontiguousarray(np.linalg.solve(self.factor, (x - self.mode).T).T)

    def workspace(self) -> list[FLOATS]:
        """Return memory for one caller."""
        return self.density.workspace()

    def __call__(self, z: FLOATS, workspace: list[FLOATS] | None = None) -> tuple[float, FLOATS]:
        """Return log density (but for the constant determinant of ``factor``) and gradient at ``z``."""
        value, slope = self.density(self.unscaled(z), workspace)
        with np.errstate(invalid="ignore"):  # the sampler turns back where the density ends
            return value, self.factor.T @ slope

    def values(self, z: FLOATS) -> PopulationValues[FLOATS]:
        """Return the population values at ``z``, shape (..., size), but for those that are constants."""
        return self.density.values(self.unscaled(z))


def scaled(density: Density) -> Scaled:
    """Scale a density by its curvature at its mode; by the widths of the prior where that is not finite."""
    mode = find_mode(density)
    curved = curvature(density, mode)
    if not np.all(np.isfinite(curved)):
        return Scaled(density, density.start, np.diag(density.width))
    values, vectors = np.linalg.eigh(curved)
    factor = density.width[:, None] * vectors / np.sqrt(np.maximum(values, FLATTEST))
    return Scaled(density, mode, factor)


def rescaled(target: Scaled, points: FLOATS) -> Scaled:
    """Scale by the spread of unconstrained draws, shape (sample, size), where these are enough."""
    if len(points) < DRAWS_PER_VALUE * target.size:
        return target
    return Scaled(target.density, points.mean(axis=0), np.linalg.cholesky(np.cov(points.T)))


def find_mode(density: Density) -> FLOATS:
    """Mode of the density over the unconstrained values, shape (size,)."""
    memory, scale = density.workspace(), density.width

    def downhill(y: FLOATS) -> tuple[float, FLOATS]:
        value, slope = density(density.start + scale * y, memory)
        if not np.isfinite(value):
            return 1e300, np.zeros_like(y)
        return -value, -scale * slope

    options = {"maxiter": 300, "maxcor": 30, "ftol": 1e-10, "gtol": 1e-3}
    search: Any = minimize
    found = search(downhill, np.zeros(density.size), jac=True, method="L-BFGS-B", options=options)
    return np.asarray(density.start + scale * found.x)


def curvature(density: Density, at: FLOATS) -> FLOATS:
    """Minus the second derivatives in widths of the prior, from differences of gradients, (size, size)."""
    memory, bends = density.workspace(), np.zeros((density.size, density.size))
    for place in range(density.size):
        move = np.zeros(density.size)
        move[place] = STEP * density.width[place]
        change = density(at - move, memory)[1] - density(at + move, memory)[1]
        bends[place] = change * density.width / (2.0 * STEP)
    return (bends + bends.T) / 2.0


def compiled_for_nutpie(target: Scaled, starts: FLOATS | None = None) -> Any:
    """Wrap a density as a model of nutpie, which stores no value: those of all draws are worked out at once.

    Chains start at one of ``starts``, shape (sample, size), each by its own seed; else far from the mode.
    """
    import nutpie

    def make_density() -> Callable[..., Any]:
        memory = target.workspace()
        return lambda z, **_: target(z, memory)

    def make_expand(_first: int, _second: int, _chain: int) -> Callable[..., Any]:
        return lambda _z, **_: {}

    def start(seed: int) -> FLOATS:
        rng = np.random.default_rng(seed)
        if starts is not None:
            return starts[rng.integers(len(starts))]
        return rng.uniform(-START, START, target.size)

    return nutpie.compiled_pyfunc.from_pyfunc(
        target.size,
        make_density,
        make_expand,
        [],
        [],
        [],
        make_initial_point_fn=start,
    )
