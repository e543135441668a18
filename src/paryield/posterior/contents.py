"""The contents of a fit: draws with dimensions and units as the terms of the model declare them, and
constants."""

from __future__ import annotations

import zlib
from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import xarray as xr

from paryield.arrays import FLOATS
from paryield.errors import InputError, InternalError
from paryield.tables.categories import AREAS

GOLFER: dict[str, tuple[tuple[str, ...], str]] = {
    "level": (("golfer", "area"), "strokes lost in an area at the start of the record"),
    "drift": (("golfer", "area"), "strokes by the end of the record"),
    "response": (("golfer",), "share by which gains from practice differ from the club's"),
    "wander": (("golfer", "knot"), "strokes of form at the knots"),
    "noise_total": (("golfer",), "standard deviation of one round, strokes"),
    "start_share": (("golfer",), "expected share of the steady stock held at the start of the record"),
    "start_extra": (("golfer",), "the golfer's own start share beyond the expected one"),
}
"""A golfer's own values, with dimensions after (chain, draw) and unit."""

REST = ("population", "record")
"""Groups that hold what golfers' draws are made again from: the other population values, with chain and draw
first, and of each golfer the log density of his rows given each draw and the phantom's hours."""


@dataclass(frozen=True)
class Posterior:
    """Draws, constants and facts of one fit.

    Parameters
    ----------
    tree : DataTree
        Groups ``posterior`` (dims chain, draw first), ``constant_data``, those of :data:`REST` and, when
        sampled here, ``sample_stats``; an ArviZ tree.
    facts : dict
        as_of, seed, spec, quick, versions, fingerprints and health of the fit.
    """

    tree: xr.DataTree
    facts: dict[str, Any]

    def __post_init__(self) -> None:
        draws = self.tree["posterior"].to_dataset()
        wrong = [str(name) for name, one in draws.items() if one.dims[:2] != ("chain", "draw")]
        if wrong:
            raise InternalError(f"draws of {', '.join(wrong)} do not begin with chain and draw")
        if "golfer" not in self.tree["constant_data"].to_dataset().coords:
            raise InternalError("the fit does not say whose it is", remedy="fit the club again")

    @cached_property
    def _places(self) -> dict[str, int]:
        found = self.tree["constant_data"].to_dataset()["golfer"].to_numpy()
        return {str(golfer): place for place, golfer in enumerate(found)}

    @cached_property
    def _variables(self) -> Mapping[Hashable, xr.Variable]:
        return self.tree["posterior"].to_dataset().variables

    @cached_property
    def _constants(self) -> Mapping[Hashable, xr.Variable]:
        return self.tree["constant_data"].to_dataset().variables

    @property
    def golfers(self) -> list[str]:
        """Golfer ids in the order of the golfer axis."""
        return list(self._places)

    @property
    def categories(self) -> list[str]:
        """Category names in the order of the category axis, the phantom last when fitted."""
        return [str(name) for name in self.facts["categories"]]

    @property
    def as_of(self) -> int:
        """Last day of the data, in days since 1970-01-01."""
        return int(self.facts["as_of"])

    @cached_property
    def samples(self) -> int:
        """Number of draws over all chains."""
        sizes = self.tree["posterior"].sizes
        return int(sizes["chain"] * sizes["draw"])

    def draws(self, name: str) -> FLOATS:
        """Draws of one variable with chain and draw flattened into the first axis."""
        return self._flat(self._found(name, self._variables))

    def drawn(self, name: str, place: int) -> FLOATS:
        """Draws of one golfer's own variable, shape (S, ...)."""
        values = self._variables[name].values[:, :, place]
        return np.asarray(values.reshape(-1, *values.shape[2:]), dtype=float)

    def _flat(self, variable: xr.Variable) -> FLOATS:
        values = np.asarray(variable.values, dtype=float)
        return values.reshape(values.shape[0] * values.shape[1], *values.shape[2:])

    def _check_whole(self) -> None:
        if any(group not in self.tree for group in REST):
            raise InputError("the stored fit is not whole", remedy="run paryield fit again")

    @cached_property
    def _record(self) -> Mapping[Hashable, xr.Variable]:
        self._check_whole()
        return self.tree["record"].to_dataset().variables

    def population(self) -> xr.Dataset:
        """Draws of every population value that the golfers' rows speak of, dims chain and draw first."""
        self._check_whole()
        draws = self.tree["posterior"].to_dataset()
        shared = draws[[name for name, one in draws.items() if "golfer" not in one.dims]]
        return shared.assign(self.tree["population"].to_dataset().data_vars)

    def evidence(self, golfer_id: str) -> FLOATS:
        """Log density, given each draw, of the rows that the fit saw of a golfer, shape (S,)."""
        return self._flat(self._record["evidence"])[:, self._places[golfer_id]]

    def ghosts(self) -> dict[str, tuple[int, FLOATS]]:
        """The phantom's hours a day of each golfer from a day on: first day, hours."""
        if "record" not in self.tree:
            return {}
        hours = np.asarray(self._record["phantom_hours"].values, dtype=float)
        starts = self.constant("starts").astype(int)
        first = int(starts.min()) if len(starts) else self.as_of
        return {one: (first, hours[place]) for one, place in self._places.items() if hours.shape[1]}

    @cached_property
    def memory(self) -> dict[Hashable, Any]:
        """What was worked out from this fit, kept as long as the fit is."""
        return {}

    def of(self, golfer_id: str) -> Posterior:
        """Return what answers about one golfer come from; the population goes with his draws, one by one."""
        return self

    def seed_of(self, golfer_id: str) -> int:
        """Seed of a golfer's random numbers: the same whoever else joins."""
        seen: list[str] = self.facts["golfers"]
        return seen.index(golfer_id) if golfer_id in seen else len(seen) + zlib.crc32(golfer_id.encode())

    def constant(self, name: str) -> FLOATS:
        """One constant as a float array."""
        return np.asarray(self._found(name, self._constants).values, dtype=float)

    def _found(self, name: str, among: Mapping[Hashable, xr.Variable]) -> xr.Variable:
        if name not in among:
            raise InternalError(f"the fit lacks {name!r}", remedy="fit the club again")
        return among[name]

    def constant_dims(self, name: str) -> tuple[Hashable, ...]:
        """Dimensions of one constant."""
        return self._found(name, self._constants).dims

    def has(self, name: str) -> bool:
        """Whether the fit holds draws of this variable."""
        return name in self._variables

    def golfer_number(self, golfer_id: str) -> int:
        """Place of a golfer on the golfer axis; KeyError when the fit does not know the golfer."""
        return self._places[golfer_id]

    @property
    def area_names(self) -> tuple[str, ...]:
        """The scoring areas in the order of the area axis."""
        return AREAS
