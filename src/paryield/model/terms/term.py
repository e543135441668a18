"""What a term of the model is: values with their priors, columns from the tables, strokes, a label."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.model.prior import Constant, Value, constants_in
from paryield.tables import Tables

if TYPE_CHECKING:
    from paryield.model.population import PopulationValues

type Values = PopulationValues[Any]
"""Population values by name, of NumPy, JAX or tensors."""


@dataclass(frozen=True)
class Moments:
    """Days of golfers at which strokes lost are asked, T of them: rounds and tests, past days, or days to
    come.

    Parameters
    ----------
    golfer : object array, shape (T,)
        Ids.
    day : array, shape (T,)
        Days since 1970-01-01, in the order of play for each golfer.
    start : array, shape (T,)
        First day of the golfer's record.
    joined : array, shape (T,)
        1.0 where the golfer was new to the club at his start.
    as_of : int
        Last day of the data.
    priors : Mapping
        Constants of the specification by name.
    programmes : tuple of str
        Programmes in the order of the fit.
    tables : Tables, optional
        The club's tables; without them a term reads ``kept``.
    rounds : DataFrame, optional
        Rows of the rounds table, one a moment, empty where there is no round.
    fitted : bool
        Whether a fit learns from these rounds.
    kept : Mapping
        What the fit stored of one golfer on the last day of the data, by name of the term, shape (C,).
    """

    golfer: npt.NDArray[Any]
    day: npt.NDArray[Any]
    start: npt.NDArray[Any]
    joined: FLOATS
    as_of: int
    priors: Mapping[str, Any]
    programmes: tuple[str, ...] = ()
    tables: Tables | None = None
    rounds: pd.DataFrame | None = None
    fitted: bool = False
    kept: Mapping[str, FLOATS] = field(default_factory=dict)

    def column(self, name: str, empty: float = 0.0) -> FLOATS:
        """One column of the rounds as numbers, ``empty`` where nothing is written, shape (T,)."""
        if self.rounds is None or name not in self.rounds:
            return np.full(len(self.day), empty)
        numbers = self.rounds[name].astype("Float64").to_numpy(float, na_value=np.nan)
        return np.where(np.isnan(numbers), empty, numbers)

    def by_golfer(self, name: str, typical: float) -> FLOATS:
        """Mean of a column over each golfer's rounds, ``typical`` without one, shape (T,)."""
        found = self.column(name, np.nan)
        means = pd.Series(found).groupby(self.golfer).transform("mean").to_numpy(float)
        return np.where(np.isnan(means), typical, means)


class Part:
    """What every part of the model has: values with their priors, constants, and how it is declared."""

    name: str
    values: tuple[Value, ...] = ()
    """Population values that answers are made of: stored with a fit."""
    inner: tuple[Value, ...] = ()
    """Population values that only the likelihood reads."""
    constants: tuple[Constant, ...] = ()
    """Constants beside those of the values' priors."""
    fixed: tuple[tuple[str, Constant], ...] = ()
    """Population values that are constants of the specification, by name."""

    def known(self) -> tuple[Constant, ...]:
        """All constants of the part."""
        of_laws = (one for value in self.values for one in constants_in(value.law))
        return (*of_laws, *self.constants, *(one for _, one in self.fixed))

    def declare(self, p: Values, data: Any, priors: Mapping[str, Any]) -> Values:
        """Declare the values in the current PyMC model and return ``p`` with them."""
        return p | declared([value for value in self.values if has_dims(data, value)], priors)


def declared(values: Iterable[Value], priors: Mapping[str, Any]) -> dict[str, Any]:
    """Declare those of the values that have a prior of their own in the current PyMC model."""
    return {value.name: value.declare(priors) for value in values if value.law is not None}


class Term(Part):
    """A term that adds strokes to all that a golfer loses; areas have their shares of it.

    A subclass states ``name``, ``label``, ``values`` and :meth:`columns`; where its values weigh the columns
    in their order, nothing else is needed. Strokes are a sum of columns, each with a weight that may be any
    function of the values.
    """

    label: str
    part: str
    """Part of a change under which the split shows it; terms of one part are added up."""
    cause: Mapping[str, str] = {}
    """Sentences of the split where this part is the clearest one: fell, rose, cannot tell."""
    kept: str = ""
    """Name under which a fit stores each golfer's columns on the last day, for days to come; none is needed
    where :meth:`columns` reads no table."""
    of_rounds: bool = False
    """Whether it belongs to a round that is played, and to no other day."""
    at_tests: bool = True
    """Whether it moves the results of tests too."""

    def columns(self, at: Moments) -> FLOATS:
        """What the values weigh, shape (C, T), from the tables."""
        raise NotImplementedError

    def now(self, today: Moments, played: Moments) -> FLOATS:
        """What a fit stores of each golfer for days to come, shape (C, N); ``played`` are all occasions."""
        return self.columns(today)

    def ahead(self, at: Moments) -> FLOATS:
        """The columns on days to come, shape (C, T); by default what was stored stays as it is."""
        if not self.kept:
            return self.columns(at)
        now = at.kept.get(self.name, np.zeros(0))
        return np.repeat(np.asarray(now, dtype=float)[:, None], len(at.day), axis=1)

    def weights(self, p: Values, xp: Any) -> Any:
        """What the columns are multiplied by, (..., C), of values (...,) or, one a column, (..., C)."""
        if len(self.values) == 1 and self.values[0].dims:
            return p[self.values[0].name]
        return xp.stack([p[value.name] for value in self.values], axis=-1)

    def strokes(self, p: Values, columns: Any, xp: Any) -> Any:
        """Strokes lost, shape (..., T), for columns (C, T).

        Column by column: in a product of matrices the last digit of a day would hang on what else is asked.
        """
        weights, total = self.weights(p, xp), 0.0
        for place in range(len(columns)):
            total = total + weights[..., place, None] * columns[place]
        return total

    def spread_before(self, priors: Mapping[str, Any], change: FLOATS) -> float:
        """Standard deviation, before any data, of the strokes that a change of the columns (C,) makes."""
        weights = np.resize(np.array([_sd_of(value, priors) for value in self.values]), len(change))
        return float(np.sqrt(np.sum((weights * change) ** 2)))


def _sd_of(value: Value, priors: Mapping[str, Any]) -> float:
    sd = getattr(value.law, "sd", 0.0)
    return float(priors[sd.name] if isinstance(sd, Constant) else sd)


def has_dims(data: Any, value: Value) -> bool:
    """Whether the club has any of what a value is stated for."""
    return "programme" not in value.dims or bool(data.programmes)


@dataclass(frozen=True)
class Here:
    """Occasions at which effects of a golfer are weighed, R of them, by area K.

    ``left``, ``respond`` and ``begin`` (..., K, R): the share of the gap still open, and what a response of
    1,
    and a start share higher by 1, add to strokes lost. ``share`` (..., K); ``drift`` (R,) is how much of the
    drift has come.
    """

    left: Any
    respond: Any
    begin: Any
    share: Any
    drift: Any


Weighed = list[list[Any]]
"""By column and area, what an effect adds to strokes lost there, (..., R) each; None where it adds
nothing."""


class Effect(Part):
    """Linear effects of one golfer's own: their prior, and what they add to strokes lost.

    ``keys`` are effects that are no strokes in an area: the load of a measurement says under that key how it
    moves with them.
    """

    stored: tuple[str, tuple[str, ...], str] = ("", (), "")
    """Name, dimensions and unit of a golfer's draws."""
    keys: tuple[str, ...] = ()

    def size(self, data: Any) -> int:
        """Number of effects D of a golfer."""
        raise NotImplementedError

    def cover(self, p: Values, data: Any, xp: Any) -> Any:
        """Prior covariance, shape (..., D, D)."""
        raise NotImplementedError

    def weighed(self, here: Here) -> Weighed:
        """What effects of 1 add to strokes lost by area, one column an effect.

        Effects that stand at knots have one column, shared out over the knots by time.
        """
        return []


def independent(spreads: list[Any], xp: Any) -> Any:
    """Covariance of independent effects with these standard deviations (...,), shape (..., D, D)."""
    own = xp.stack(spreads, axis=-1)
    return own[..., :, None] ** 2 * np.eye(len(spreads))
