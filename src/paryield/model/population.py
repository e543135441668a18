"""Population values by name: the record that travels between the model's functions.

Which names there are, with their dimensions and units, is what the terms of the model declare
(:data:`paryield.model.terms.KNOWN`): none is listed here, so that those of a new term are known at once.
``print(contents())`` shows them all, and printing a record what it holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

import numpy as np
import xarray as xr

from paryield.arrays import FLOATS
from paryield.errors import InternalError
from paryield.model.prior import Value
from paryield.model.terms import ALL, KNOWN
from paryield.model.terms.term import Values
from paryield.posterior import Posterior
from paryield.tables.nearest import hint


class PopulationValues[Array](Mapping[str, Array]):
    """Population values of one club: NumPy arrays, JAX arrays or tensors, by the names of the model's terms.

    Each has the shape ``(...,)`` followed by the dimensions that its term declares, with the same axes in
    front of all: none for one set of values, ``(S,)`` for draws. What is a constant of the specification may
    stand without the axes in front. A club has the values that it needs: no tests, no values of tests.

    Parameters
    ----------
    values : Mapping

    Raises
    ------
    InternalError
        When no term declares a name, here and wherever one is asked for, or when shapes do not agree.
    KeyError
        When a value is asked for that this club does not need.
    """

    def __init__(self, values: Mapping[str, Array]) -> None:
        self._values = dict(values)
        front = {name: _axes(one) - len(_known(name).dims) for name, one in self._values.items()}
        axes = {count for name, count in front.items() if name not in FIXED or count}
        if len(axes) > 1 or min(axes, default=0) < 0:
            found = ", ".join(f"{name} {count}" for name, count in front.items())
            raise InternalError(f"population values do not have the same axes in front: {found}")

    def __getitem__(self, name: str) -> Array:
        if _known(name).name not in self._values:
            raise KeyError(f"{name} is not among the population values of this club")
        return self._values[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __or__(self, changed: Mapping[str, Array]) -> PopulationValues[Array]:
        """Return these values, some of them added or replaced."""
        return PopulationValues({**self._values, **changed})

    def __repr__(self) -> str:
        return contents(self)

    def each[Other](self, change: Callable[[Array], Other]) -> PopulationValues[Other]:
        """Return the values after a change that is made to each of them."""
        return PopulationValues({name: change(one) for name, one in self._values.items()})


def _axes(one: Any) -> int:
    return np.ndim(one)


FIXED = frozenset(name for term in ALL for name, _ in term.fixed)
"""Names of the values that are constants of the specification."""


def _known(name: str) -> Value:
    if name not in KNOWN:
        raise InternalError(f"no term declares a population value {name!r}", remedy=hint(name, KNOWN))
    return KNOWN[name]


def contents(names: Iterable[str] = KNOWN) -> str:
    """Return names, dimensions and units, a line each, by default of every population value there is."""
    known = [_known(name) for name in names]
    shapes = [f"({', '.join(one.dims)})" for one in known]
    wide = max((len(one.name) for one in known), default=0), max(map(len, shapes), default=0)
    lines = [
        f"{one.name:{wide[0]}}  {shape:{wide[1]}}  {one.unit}"
        for one, shape in zip(known, shapes, strict=True)
    ]
    return "\n".join(line.rstrip() for line in lines)


def constants_of(priors: Mapping[str, Any]) -> Values:
    """Population values that are constants of the specification."""
    return PopulationValues({name: np.float64(priors[one.name]) for term in ALL for name, one in term.fixed})


def of_fit(fit: Posterior, names: Iterable[str]) -> PopulationValues[FLOATS]:
    """These population values as answers about a golfer or the club take them from a fit, draws in front."""
    return PopulationValues({name: fit.draws(name) for name in names})


def of_draws(draws: xr.Dataset) -> PopulationValues[FLOATS]:
    """Population values among draws with dims chain and draw first, these two as one axis in front."""
    shape = draws.sizes["chain"] * draws.sizes["draw"]
    known = {str(name): np.asarray(one.values, dtype=float) for name, one in draws.items() if name in KNOWN}
    return PopulationValues({name: one.reshape(shape, *one.shape[2:]) for name, one in known.items()})
