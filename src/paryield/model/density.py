"""The density that is sampled: the model's priors and rows in JAX, the golfers' evidence in the kernel.

The PyMC model of :mod:`paryield.model.build` is the reference; here its priors are translated, the rows are
the same lines run on JAX arrays, and the gradient is carried backwards around the kernel. A test holds the
two densities and gradients equal.
"""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np
import numpy.typing as npt
import pymc as pm
from pymc.sampling.jax import get_jaxified_graph

from paryield.model.build import coordinates, population
from paryield.model.design import Observations
from paryield.model.evidence import kernel_data
from paryield.model.kernel import evidence
from paryield.model.rows import golfer_rows, prior_precision, whitened
from paryield.model.spec import ModelSpec

FLOATS = npt.NDArray[np.float64]
jax.config.update("jax_enable_x64", True)


class Density:
    """Log density of the unconstrained population values, its gradient, and the values behind them.

    Parameters
    ----------
    data : Observations
    spec : ModelSpec
    """

    def __init__(self, data: Observations, spec: ModelSpec) -> None:
        with pm.Model(coords=coordinates(data)) as self.model:
            p = population(data, spec)
        self.start = self.model.initial_point()
        self.variables = [variable.name for variable in self.model.value_vars]
        self.shapes = [np.shape(self.start[name]) for name in self.variables]
        self.size = int(sum(np.prod(shape, dtype=int) for shape in self.shapes))
        self.names = [name for name, value in p.items() if not isinstance(value, np.floating)]
        fixed = {name: value for name, value in p.items() if name not in self.names}
        outputs = [self.model.logp(), *self.model.replace_rvs_by_values([p[name] for name in self.names])]
        graph = get_jaxified_graph(inputs=self.model.value_vars, outputs=outputs)
        self._arrays, still = _split(data)
        self._kernel = kernel_data(data)

        def values(x: Any) -> tuple[Any, dict[str, Any]]:
            parts, at = [], 0
            for shape in self.shapes:
                size = int(np.prod(shape, dtype=int))
                parts.append(x[at : at + size].reshape(shape))
                at += size
            logp, *found = graph(*parts)
            return logp, dict(zip(self.names, found, strict=True))

        def front(x: Any, arrays: dict[str, Any]) -> tuple[Any, ...]:
            seen = SimpleNamespace(**still, **arrays)
            logp, found = values(x)
            known = {**fixed, **found}
            rows = golfer_rows(known, seen, jnp)
            precision, log_det = prior_precision(known, seen, jnp)
            load, error, each = whitened(rows, seen, jnp)
            whole = logp + each + 0.5 * len(still["golfers"]) * log_det
            return whole, load, error, rows.left, rows.respond, rows.begin, known["share"], precision

        def back(x: Any, arrays: dict[str, Any], slopes: tuple[Any, ...]) -> Any:
            _, pull = jax.vjp(lambda at: front(at, arrays), x)
            return pull(slopes)[0]

        self._front, self._back = jax.jit(front), jax.jit(back)
        self._values = jax.jit(lambda x: values(x)[1])
        self._arrays = jax.device_put(self._arrays)

    def __call__(self, x: FLOATS) -> tuple[float, FLOATS]:
        """Return log density and gradient at ``x``, shape (size,)."""
        whole, *parts = self._front(x, self._arrays)
        value, *slopes = evidence(*self._kernel, *(np.asarray(part) for part in parts))
        gradient = self._back(x, self._arrays, (np.float64(1.0), *slopes))
        return float(whole) + value, np.asarray(gradient)

    def values(self, x: FLOATS) -> dict[str, FLOATS]:
        """Return the population values at ``x`` by name."""
        return {name: np.asarray(value) for name, value in self._values(x).items()}

    def initial(self) -> FLOATS:
        """Return the starting point of PyMC, flat."""
        return np.concatenate([np.ravel(self.start[name]) for name in self.variables]).astype(float)


def _split(data: Observations) -> tuple[dict[str, Any], dict[str, Any]]:
    """Arrays that are passed to the compiled functions, and the rest, which is part of them."""
    arrays: dict[str, Any] = {}
    still: dict[str, Any] = {"documents": data.documents}
    for name, value in vars(data).items():
        moving = isinstance(value, np.ndarray) and name not in ("knots", "starts", "bounds")
        if (
            moving
            or (isinstance(value, dict) and name in ("seen", "value", "error"))
            or (isinstance(value, tuple) and value and isinstance(value[0], np.ndarray))
        ):
            arrays[name] = value
        elif name != "diary":
            still[name] = value
    return arrays, still


def compiled_for_nutpie(density: Density) -> Any:
    """Wrap a density as a model of nutpie that stores every population value."""
    import nutpie

    point = density.initial()
    example = density.values(point)

    def make_density() -> Callable[..., Any]:
        return lambda x, **_: density(x)

    def make_expand(_first: int, _second: int, _chain: int) -> Callable[..., Any]:
        return lambda x, **_: density.values(x)

    def start(seed: int) -> FLOATS:
        return point + np.random.default_rng(seed).uniform(-1.0, 1.0, point.size)

    return nutpie.compiled_pyfunc.from_pyfunc(
        density.size,
        make_density,
        make_expand,
        [np.dtype(np.float64)] * len(example),
        [value.shape for value in example.values()],
        list(example),
        make_initial_point_fn=start,
    )
