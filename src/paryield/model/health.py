"""The health gate: may the answers of this fit be shown?

Every element of every reported quantity needs enough effective draws, and its chains must agree. Agreement
is judged with the number of elements in mind. Of ``M`` half-chains of ``n`` draws, ``E`` of all draws
effective, the means vary by ``h = M / E`` of the variance and the variances fall short by as much, so that,
when nothing is wrong, ``R-hat ** 2`` is about ``1 - 1 / n + F h / (1 - h + 1 / n)``, ``F`` following Fisher's
distribution with ``M - 1`` and ``E - M`` degrees of freedom (Vats & Knudson 2021, Statistical Science 36:518,
tie R-hat and effective draws in this way; from memory). So of hundreds of elements with 400 effective draws
each some lie above 1.01 by chance alone. The limit is 1.01, or more where so large a value would be met by
chance in any of the elements of one fit in a hundred.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import xarray as xr
from scipy.special import fdtri

from paryield.arrays import FLOATS
from paryield.model.terms import VALUES

RHAT_MOST = 1.01
ESS_LEAST = 400.0
"""Thresholds of Vehtari, Gelman, Simpson, Carpenter & Buerkner 2021, Bayesian Analysis 16:667
(from memory)."""
RHAT_EVER = 1.03
"""No element may lie above this, whatever chance allows: half a standard deviation between chains. More draws
tell whether it was chance. [judgement]"""
FALSE_ALARMS = 0.01
"""Share of fits with nothing wrong in which some element's R-hat may lie above its limit."""
DIVERGENT = 0.001
"""Largest share of draws that may diverge. [judgement]"""

OWN = {
    "level_now": "level today",
    "noise_total": "spread of rounds",
    "response": "own answer to practice",
    "start_share": "practice before the record",
}
"""A golfer's own values that answers are made of, in words."""
LABELS = {**OWN, **{name: value.label for name, value in VALUES.items() if value.label}}
"""What answers are made of, in words: the labels of the terms' values."""
REPORTED = tuple(LABELS)
"""What answers are made of; each is checked."""

GO_ON = "run paryield fit without --quick: it goes on until this is enough"
HARDLY_TOLD = (
    "the fit reached its limit: the record hardly tells this; more rounds, and round stats of every area, do"
)


@dataclass(frozen=True)
class HealthLine:
    """One quantity at its worst element.

    ``rhat_most`` is the limit of that element, ``rhat_by_chance`` what chance allows it, which may be more.
    """

    quantity: str
    element: str
    rhat: float
    rhat_most: float
    rhat_by_chance: float
    ess_bulk: float
    ess_tail: float
    ok: bool
    remedy: str

    def to_dict(self) -> dict[str, Any]:
        """Plain record."""
        return dict(self.__dict__)


@dataclass(frozen=True)
class Elements:
    """Figures of every element of one quantity, shape (element,) each."""

    rhat: FLOATS
    rhat_by_chance: FLOATS
    ess_bulk: FLOATS
    ess_tail: FLOATS

    @property
    def ess(self) -> FLOATS:
        """The smaller of bulk and tail."""
        return np.minimum(self.ess_bulk, self.ess_tail)

    @property
    def rhat_most(self) -> FLOATS:
        """Limit of each element."""
        return np.minimum(self.rhat_by_chance, RHAT_EVER)

    @property
    def agree(self) -> npt.NDArray[np.bool_]:
        """Whether the chains agree about each element."""
        return self.rhat <= self.rhat_most

    @property
    def ok(self) -> npt.NDArray[np.bool_]:
        """Whether each element passes."""
        return self.agree & (self.ess >= ESS_LEAST)

    @property
    def worst(self) -> int:
        """Place of the element that is furthest from passing."""
        excess = (self.rhat - 1.0) / (self.rhat_most - 1.0)
        return int(np.argmax(np.maximum(excess, ESS_LEAST / self.ess)))


def check_health(draws: xr.Dataset, divergences: int, *, limit_reached: bool = False) -> dict[str, Any]:
    """Check every reported quantity.

    Parameters
    ----------
    draws : Dataset
        Dims chain and draw first.
    divergences : int
    limit_reached : bool
        Whether the fit already took as many draws as it may.

    Returns
    -------
    dict
        ``ok``, ``divergences``, ``divergences_ok``, ``looked_at`` (elements checked) and ``lines``, one
        record per quantity at its worst element.
    """
    tables = {name: _moving(draws[name]) for name in REPORTED if name in draws and draws[name].size}
    looked_at = sum(table.shape[2] for table, _ in tables.values())
    remedy = HARDLY_TOLD if limit_reached else GO_ON
    lines = [_line(name, *found, looked_at, remedy) for name, found in tables.items()]
    few = divergences <= DIVERGENT * draws.sizes["chain"] * draws.sizes["draw"]
    return {
        "ok": bool(all(line.ok for line in lines) and few),
        "divergences": int(divergences),
        "divergences_ok": bool(few),
        "looked_at": looked_at,
        "lines": [line.to_dict() for line in lines],
    }


def _moving(values: xr.DataArray) -> tuple[FLOATS, list[str]]:
    """Draws of the elements that are not constant, shape (chain, draw, element), and their names."""
    dims = [dim for dim in values.dims if dim not in ("chain", "draw")]
    table = np.asarray(values.transpose("chain", "draw", *dims).values, dtype=float)
    shape = table.shape[2:]
    table = table.reshape(*table.shape[:2], -1)
    moving = np.flatnonzero(np.ptp(table, axis=(0, 1)) >= 1e-12)
    names = [
        ", ".join(
            str(values[dim].values[at]) for dim, at in zip(dims, np.unravel_index(place, shape), strict=True)
        )
        if dims
        else ""
        for place in moving
    ]
    return table[:, :, moving], names


def _line(name: str, table: FLOATS, names: list[str], looked_at: int, remedy: str) -> HealthLine:
    if not names:
        return HealthLine(name, "", 1.0, RHAT_MOST, RHAT_MOST, np.inf, np.inf, True, "")
    found = elements(table, looked_at)
    at, ok = found.worst, bool(found.ok.all())
    return HealthLine(
        quantity=name,
        element=names[at],
        rhat=float(found.rhat[at]),
        rhat_most=float(found.rhat_most[at]),
        rhat_by_chance=float(found.rhat_by_chance[at]),
        ess_bulk=float(found.ess_bulk[at]),
        ess_tail=float(found.ess_tail[at]),
        ok=ok,
        remedy="" if ok else remedy,
    )


def elements(table: FLOATS, looked_at: int) -> Elements:
    """Return R-hat with its limit and effective draws of draws of shape (chain, draw, element).

    ``looked_at`` is the number of elements in the whole fit.
    """
    # Seconds to load, with all of the sampler: who reads what a check found needs none of it.
    from arviz_stats.base import array_stats  # type: ignore[attr-defined]

    axes = {"chain_axis": 0, "draw_axis": 1}
    rhat = np.atleast_1d(array_stats.rhat(table, method="rank", **axes))
    limit = np.full(len(rhat), RHAT_MOST)
    high = np.flatnonzero(rhat > RHAT_MOST)
    if len(high):
        limit[high] = rhat_by_chance(_ess_within(table[:, :, high]), len(table), table.shape[1], looked_at)
    bulk = array_stats.ess(table, method="bulk", **axes)
    tail = array_stats.ess(table, method="tail", prob=(0.05, 0.95), **axes)
    return Elements(rhat, limit, np.atleast_1d(bulk), np.atleast_1d(tail))


def _ess_within(table: FLOATS) -> FLOATS:
    """Effective draws added up over chains taken alone, so that disagreement does not lower them.

    The smaller of those for the middle and for the spread, about which R-hat asks both, shape (element,).
    """
    from arviz_stats.base import array_stats  # type: ignore[attr-defined]

    folded = np.abs(table - np.median(table, axis=(0, 1)))
    found = [
        sum(
            np.atleast_1d(array_stats.ess(part[[chain]], chain_axis=0, draw_axis=1, method="bulk"))
            for chain in range(len(part))
        )
        for part in (table, folded)
    ]
    return np.minimum(*found)


def rhat_by_chance(ess_within: FLOATS, chains: int, draws: int, looked_at: int) -> FLOATS:
    """Return the largest R-hat that chance allows, 1.01 at least, shape (element,).

    Each element is asked twice, about its middle and its spread.

    Parameters
    ----------
    ess_within : array, shape (element,)
        Effective draws within the chains.
    chains, draws : int
        Number of chains, and of draws in each.
    looked_at : int
        Elements in the whole fit.
    """
    halves, length = 2 * chains, draws / 2
    share = FALSE_ALARMS / (2 * max(looked_at, 1))
    by_chance = fdtri(halves - 1, np.maximum(ess_within - halves, 1.0), 1.0 - share)
    apart = halves / np.maximum(ess_within, 2.0 * halves)
    limit = np.sqrt(1.0 - 1.0 / length + by_chance * apart / (1.0 - apart + 1.0 / length))
    return np.asarray(np.maximum(limit, RHAT_MOST))
