"""Fits for answers: golfers worked out when asked for, and fewer draws for searches that ask many times."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Any

import numpy as np
import xarray as xr

from paryield.arrays import FLOATS, INTS
from paryield.posterior.contents import GOLFER, Posterior


class GolferView(Posterior):
    """One golfer of a club: his own draws, the population of the same draws, his own constants.

    Parameters
    ----------
    club : Posterior
    golfer_id : str
    own : dict of arrays, shape (S, ...)
        His draws by the names of :data:`paryield.posterior.contents.GOLFER`.
    picks : int array, shape (S,), optional
        Draw of the population that each of them goes with; by default the one of its own number.
    pareto_k : float
        How far the weights behind ``picks`` can be trusted; minus infinity without weights.
    """

    def __init__(
        self,
        club: Posterior,
        golfer_id: str,
        own: dict[str, FLOATS],
        picks: INTS | None = None,
        pareto_k: float = float("-inf"),
    ) -> None:
        for name, value in {
            "tree": club.tree, "facts": club.facts, "club": club, "golfer_id": golfer_id, "own": own,
            "picks": picks, "pareto_k": pareto_k, "samples": len(own["response"]),
            "_places": {golfer_id: 0},
        }.items():  # fmt: skip
            object.__setattr__(self, name, value)

    club: Posterior
    golfer_id: str
    own: dict[str, FLOATS]
    picks: INTS | None
    pareto_k: float

    def draws(self, name: str) -> FLOATS:
        """As of any fit; the golfer axis has one place."""
        if name in GOLFER:
            return np.asarray(self.own[name], dtype=float)[:, None]
        values = self.club.draws(name)
        return values if self.picks is None else values[self.picks]

    def has(self, name: str) -> bool:
        """Whether there are draws of this variable."""
        return name in GOLFER or self.club.has(name)

    def constant(self, name: str) -> FLOATS:
        """As of any fit; the golfer axis has one place."""
        values, dims = self.club.constant(name), self.club.constant_dims(name)
        if "golfer" not in dims:
            return values
        return np.take(values, [self.club.golfer_number(self.golfer_id)], axis=dims.index("golfer"))

    def keep(self, places: INTS) -> GolferView:
        """Return the same golfer with some of his draws."""
        picks = places if self.picks is None else self.picks[places]
        own = {name: values[places] for name, values in self.own.items()}
        return GolferView(self.club, self.golfer_id, own, picks, self.pareto_k)


class LivePosterior(Posterior):
    """A club whose golfers are worked out one by one, when asked for.

    Parameters
    ----------
    tree : DataTree
        Group ``posterior`` with the population alone, and ``constant_data``.
    facts : dict
    make : callable
        Gives the view of one golfer of this club.
    run : Posterior
        The fit as stored.
    kept : int array, optional
        Draws that are looked at; all by default.
    """

    def __init__(
        self,
        tree: xr.DataTree,
        facts: dict[str, Any],
        make: Callable[[Posterior, str], GolferView],
        run: Posterior,
        kept: INTS | None = None,
    ) -> None:
        for name, value in {
            "tree": tree, "facts": facts, "make": make, "run": run, "kept": kept, "_views": {},
        }.items():  # fmt: skip
            object.__setattr__(self, name, value)

    make: Callable[[Posterior, str], GolferView]
    run: Posterior
    kept: INTS | None
    _views: dict[str, GolferView]

    def of(self, golfer_id: str) -> GolferView:
        """Return what answers about one golfer come from."""
        if golfer_id not in self._views:
            self._views[golfer_id] = self.make(self, golfer_id)
        return self._views[golfer_id]

    @cached_property
    def samples(self) -> int:
        """Number of draws over all chains, of those that are looked at."""
        sizes = self.tree["posterior"].sizes
        return int(sizes["chain"] * sizes["draw"]) if self.kept is None else len(self.kept)

    def draws(self, name: str) -> FLOATS:
        """Draws of one variable; those of all golfers are worked out where it is theirs."""
        if name in GOLFER:
            return np.concatenate([self.of(golfer).draws(name) for golfer in self.golfers], axis=1)
        values = super().draws(name)
        return values if self.kept is None else values[self.kept]

    def keep(self, places: INTS) -> LivePosterior:
        """Return the same club with some of its draws; each golfer is worked out in full and cut."""

        def few(_club: Posterior, golfer_id: str) -> GolferView:
            return self.of(golfer_id).keep(places)

        return LivePosterior(self.tree, self.facts, few, self.run, places)

    def ghosts(self) -> dict[str, tuple[int, FLOATS]]:
        """The phantom's hours as the fit had them."""
        return self.run.ghosts()


def thinned(posterior: Posterior, most: int) -> Posterior:
    """Return the fit with at most about ``most`` draws, evenly taken from every chain."""
    step = -(-posterior.samples // most)
    if step <= 1:
        return posterior
    if ("thinned", step) not in posterior.memory:
        posterior.memory["thinned", step] = _every(posterior, step)
    found: Posterior = posterior.memory["thinned", step]
    return found


def _every(posterior: Posterior, step: int) -> Posterior:
    if isinstance(posterior, GolferView | LivePosterior):
        sizes = posterior.tree["posterior"].sizes
        number = np.arange(sizes["chain"] * sizes["draw"]).reshape(sizes["chain"], sizes["draw"])
        return posterior.keep(number[:, ::step].ravel())
    groups = {
        "posterior": posterior.tree["posterior"].to_dataset().isel(draw=slice(None, None, step)),
        "constant_data": posterior.tree["constant_data"].to_dataset(),
    }
    return Posterior(xr.DataTree.from_dict(groups), posterior.facts)
