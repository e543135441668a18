"""The density that is sampled: priors in JAX, rows and golfers' evidence in compiled kernels.

The PyMC model of :mod:`paryield.model.build` is the reference; here its priors are translated and the
gradient is carried backwards through the kernels. A test holds the two densities equal.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping
from typing import Any, cast

import jax
import jax.numpy as jnp
import numpy as np
import pymc as pm
from pymc.sampling.jax import get_jaxified_graph

from paryield.arrays import FLOATS
from paryield.model.build import coordinates, population
from paryield.model.compiled_likelihood import likelihood
from paryield.model.design import Observations
from paryield.model.golfers import prior_precision
from paryield.model.packing import packed, theta_of
from paryield.model.population import PopulationValues, constants_of
from paryield.model.spec import ModelSpec

jax.config.update("jax_enable_x64", True)
# Small functions called in turn with compiled kernels: waiting for another thread costs more than they do.
jax.config.update("jax_cpu_enable_async_dispatch", False)


def one_thread() -> None:
    """Let JAX begin with one thread: cutting a small function up over threads costs more than it does.

    It reads how many from the environment when its first array is made, and only then.
    """
    known = os.environ.get("NPROC")
    os.environ["NPROC"] = "1"
    try:
        jax.devices()
    finally:
        if known is None:
            del os.environ["NPROC"]
        else:
            os.environ["NPROC"] = known


one_thread()


class Density:
    """Log density of the unconstrained population values, its gradient, and the values behind them.

    Parameters
    ----------
    data : Observations
    spec : ModelSpec
    """

    def __init__(self, data: Observations, spec: ModelSpec) -> None:
        with pm.Model(coords=coordinates(data)) as model:
            p = population(data, spec)
        fixed = constants_of(spec.priors)
        names = [name for name in p if name not in fixed]
        start = model.initial_point()
        self.variables = [str(variable.name) for variable in model.value_vars]
        self.shapes = [np.shape(start[name]) for name in self.variables]
        self.start = np.concatenate([np.ravel(start[name]) for name in self.variables]).astype(float)
        graph = get_jaxified_graph(
            inputs=model.value_vars,
            outputs=[model.logp(), *model.replace_rvs_by_values([p[name] for name in names])],
        )
        ends = np.cumsum([int(np.prod(shape, dtype=int)) for shape in self.shapes])[:-1]

        def values(x: Any) -> tuple[Any, dict[str, Any]]:
            parts = [part.reshape(shape) for part, shape in zip(jnp.split(x, ends), self.shapes, strict=True)]
            logp, *found = graph(*parts)
            return logp, dict(zip(names, found, strict=True))

        def prepared(x: Any) -> tuple[Any, ...]:
            logp, found = values(x)
            known = fixed | found
            precision, log_det = prior_precision(known, data, jnp)
            return logp + 0.5 * len(data.golfers) * log_det, theta_of(known, data, jnp), precision

        def pulled(x: Any, slopes: tuple[Any, ...]) -> Any:
            return jax.vjp(prepared, x)[1](slopes)[0]

        def prior(x: Any, slopes: Any) -> Any:
            (logp, _), back = jax.vjp(values, x)
            return logp, back((jnp.ones(()), slopes))[0]

        self.width = prior_width(jax.jit(lambda x: values(x)[0]), self.start)
        self._packed, self._pulled = jax.jit(prepared), jax.jit(pulled)
        self._prior = jax.jit(prior)
        # All points in one call: an array of each value for each point costs more than a gradient.
        self._values = jax.jit(lambda points: jax.lax.map(lambda x: values(x)[1], points))
        self._known = packed(data, fixed)
        count = int(self._known[1][-1])
        self._memory = (count, data.effects), (count,), (count,), (count,)

    def workspace(self) -> list[FLOATS]:
        """Return memory for one caller: directions (M, D), errors, mismatches and forms (M,), then slopes."""
        return [np.zeros(shape) for shape in self._memory * 2]

    def __call__(self, x: FLOATS, workspace: list[FLOATS] | None = None) -> tuple[float, FLOATS]:
        """Return log density and gradient at ``x``, shape (size,)."""
        memory = self.workspace() if workspace is None else workspace
        # Copies: what JAX gives may not be written to, which would be compiled apart from what may.
        const, theta, precision = (np.array(part) for part in self._packed(x))
        slope, compiled = np.zeros_like(theta), cast(Any, likelihood)
        value, d_prior = compiled(*self._known, theta, precision, *memory, slope)
        gradient = self._pulled(x, (np.float64(1.0), slope, d_prior))
        return float(const) + value, np.asarray(gradient)

    def prior(self, x: FLOATS, slopes: Mapping[str, Any]) -> tuple[float, FLOATS]:
        """Return the log prior, and its gradient with derivatives by the population values carried back."""
        value, gradient = self._prior(x, dict(slopes))
        return float(value), np.asarray(gradient)

    @property
    def size(self) -> int:
        """Number of unconstrained values."""
        return int(self.start.size)

    def values(self, x: FLOATS) -> PopulationValues[FLOATS]:
        """Return the population values at ``x``, shape (..., size), but for those that are constants."""
        found = PopulationValues(self._values(x.reshape(-1, self.size)))
        return found.each(lambda value: np.asarray(value).reshape((*x.shape[:-1], *value.shape[1:])))


def prior_width(log_prior: Callable[[FLOATS], Any], start: FLOATS, step: float = 1e-3) -> FLOATS:
    """Scale of each unconstrained value: its prior standard deviation, at most 1.

    Read off the curvature of the log prior by central differences.
    """
    here = float(log_prior(start))
    width = np.ones(start.size)
    for place in range(start.size):
        move = np.zeros(start.size)
        move[place] = step
        bend = (float(log_prior(start + move)) - 2.0 * here + float(log_prior(start - move))) / step**2
        width[place] = 1.0 / np.sqrt(max(-bend, 1.0))
    return width
