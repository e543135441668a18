"""Golfers' own values given the population's: exact normal draws, and how well each draw foresaw the rows.

The one place where answers meet the model: observations and population values in, draws out.
"""

from __future__ import annotations

import zlib
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numba import njit

from paryield.arrays import FLOATS
from paryield.model.compiled_rows import rows_forward
from paryield.model.design import Observations
from paryield.model.golfers import natural_units, places_of, prior_precision
from paryield.model.kernel import latent_memory, solve_lower, without_latents
from paryield.model.packing import packed, theta_of
from paryield.model.population import PopulationValues, constants_of
from paryield.model.spec import ModelSpec

type Draws = PopulationValues[FLOATS]
"""Population values, the draws on the first axis."""


@dataclass(frozen=True)
class Own:
    """One golfer's draws by the names of :data:`paryield.posterior.contents.GOLFER`, and their evidence.

    ``evidence`` (S,) is the log density of the golfer's rows given each draw of the population alone.
    """

    values: dict[str, FLOATS]
    evidence: FLOATS


def golfer_seed(seed: int, golfer_id: str) -> list[int]:
    """Seed of one golfer's random numbers: who else is in the club does not move them."""
    return [seed, 1, zlib.crc32(golfer_id.encode())]


class Population:
    """Draws of the population made ready for one set of knots; serves any number of golfers."""

    def __init__(self, draws: Draws, spec: ModelSpec, knots: FLOATS) -> None:
        samples = len(draws["level_mean"])
        self.fixed = constants_of(spec.priors)
        self.draws: Draws = self.fixed.each(lambda value: np.full(samples, value)) | draws
        self.samples, self.knots = samples, knots
        self.precision, self.log_det = prior_precision(self.draws, self)
        self._rows: tuple[Observations, FLOATS] | None = None

    def given(self, data: Observations, place: int, seed: int) -> Own:
        """Draw one golfer of the observations, with random numbers of his own."""
        one = only(data, place)
        size = one.effects
        rng = np.random.default_rng(golfer_seed(seed, one.golfers[0]))
        shocks = np.empty((self.samples, size))
        form = places_of(one)["wander"]
        rest = np.r_[0 : form.start, form.stop : size]
        shocks[:, rest] = rng.normal(size=(self.samples, len(rest)))
        # Form is drawn from the last knot back, so that another knot at the start moves nothing.
        shocks[:, form] = rng.normal(size=(len(self.knots), self.samples)).T[:, ::-1]
        effects, evidence = np.empty((self.samples, size)), np.empty(self.samples)
        run: Any = draw_golfer
        _, _, alike, during, *blocks = packed(one, self.fixed)
        run(*blocks[:4], *blocks[4:6], self._theta(data), *blocks[6:], alike, during, self.precision,
            self.log_det, shocks, effects, evidence)  # fmt: skip
        named = natural_units(self.draws, one, effects[:, None])
        return Own({name: values[:, 0] for name, values in named.items()}, evidence)

    def _theta(self, data: Observations) -> FLOATS:
        """Population values as the rows of these observations take them: the same for all their golfers."""
        known = self._rows
        if known is None or known[0] is not data:
            known = self._rows = data, np.ascontiguousarray(theta_of(self.draws, data, np))
        return known[1]


def draw_all(
    draws: Draws, data: Observations, spec: ModelSpec, cores: int = 1
) -> tuple[dict[str, FLOATS], FLOATS]:
    """Draw every golfer of the observations.

    Parameters
    ----------
    draws : PopulationValues
        Draws on the first axis.
    data : Observations
    spec : ModelSpec
    cores : int
        Golfers worked on at a time; the outcome does not depend on it.

    Returns
    -------
    values : dict of arrays, shape (S, N, ...)
    evidence : array, shape (S, N)
    """
    population = Population(draws, spec, data.knots)
    with ThreadPoolExecutor(cores) as pool:
        golfers = range(len(data.golfers))
        found = list(pool.map(lambda place: population.given(data, place, spec.seed), golfers))
    values = {name: np.stack([one.values[name] for one in found], axis=1) for name in found[0].values}
    return values, np.stack([one.evidence for one in found], axis=1)


BY_GOLFER = (
    "starts", "joined", "habit", "habit_area", "level_guess", "noise_guess",
    "noise_df", "gap_guess",
)  # fmt: skip
BY_OCCASION = (
    "owner", "days", "documented", "scored", "course", "which_test", "newness", "spell", "drift", "knot",
    "knot_weight",
)  # fmt: skip


def only(data: Observations, place: int) -> Observations:
    """Return the observations of one golfer of a club."""
    first, last = int(data.bounds[place]), int(data.bounds[place + 1])
    mine, his = slice(first, last), slice(place, place + 1)
    changed: dict[str, Any] = {name: getattr(data, name)[mine] for name in BY_OCCASION}
    changed |= {name: getattr(data, name)[his] for name in BY_GOLFER}
    for name in ("seen", "value", "error"):
        changed[name] = {kind: values[mine] for kind, values in getattr(data, name).items()}
    changed["columns"] = {name: column[:, mine] for name, column in data.columns.items()}
    changed["kept"] = {name: now[his] for name, now in data.kept.items()}
    changed["doses"] = data.doses.of(mine, his)
    changed["owner"] = np.zeros(last - first, dtype=np.int64)
    bounds = np.array([0, last - first], dtype=np.int64)
    return replace(data, golfers=(data.golfers[place],), bounds=bounds, **changed)


@njit(cache=True, nogil=True, error_model="numpy")
def draw_golfer(
    x: Any, blocks: Any, first: Any, knots: Any, club: Any, at: Any, theta: Any, floor: float,
    reference: float, bend: float, alike: Any, during: Any, precision: Any, log_det: Any, shocks: Any,
    effects: Any, evidence: Any,
) -> None:  # fmt: skip
    """Draw one golfer's effects for each draw of the population, and the log density of his rows."""
    samples, size = shocks.shape
    count = len(alike)
    direction, error = np.zeros((count, size)), np.zeros(count)
    apart, form = np.zeros(count), np.zeros(count)
    memory = latent_memory(alike, during, size)
    matrix, score, half = np.zeros((size, size)), np.zeros(size), np.zeros(size)
    for s in range(samples):
        each = 0.0
        if not count:
            for i in range(size):
                score[i] = 0.0
                for j in range(size):
                    matrix[i, j] = precision[s, i, j]
        else:
            each = rows_forward(
                x, blocks, first, knots, club, at, theta[s], floor, reference, bend, direction, error, apart,
                form,
            )  # fmt: skip
            np.dot(direction.T, direction, matrix)
            for i in range(size):
                for j in range(size):
                    matrix[i, j] += precision[s, i, j]
            np.dot(error, direction, score)
            each += without_latents(alike, during, direction, error, apart, form, matrix, score, memory)
        squares, log_det_now = solve_lower(matrix, score, half, shocks[s], effects[s])
        evidence[s] = each + 0.5 * (log_det[s] - log_det_now + squares)
