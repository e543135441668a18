"""Golfers' own values given the population's: exact normal draws, and how well each draw foresaw the rows.

The one place where answers meet the model: observations and population values in, draws out.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt
from numba import njit

from paryield.dose.stock import HALF_LIFE_NODES, node_weights
from paryield.model import compiled_layout as c
from paryield.model.compiled_rows import rows_forward
from paryield.model.design import Observations
from paryield.model.golfers import prior_precision
from paryield.model.kernel import mismatch_memory, solve_lower, without_mismatch
from paryield.model.likelihood import total_noise
from paryield.model.packing import packed
from paryield.model.spec import ModelSpec
from paryield.model.terms import EFFECTS, TERMS, constants_of
from paryield.model.terms.coach_tests import BY_TEST
from paryield.model.terms.level import mean_level
from paryield.model.terms.practice import start_share
from paryield.model.terms.stats import STAT_NAMES
from paryield.tables.categories import AREAS

FLOATS = npt.NDArray[np.float64]
Draws = Mapping[str, FLOATS]
"""Population values by name, the draws on the first axis."""


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
        fixed = {name: np.full(samples, value) for name, value in constants_of(spec.priors).items()}
        self.fixed = constants_of(spec.priors)
        self.draws: dict[str, FLOATS] = {**fixed, **draws}
        self.samples, self.knots = samples, knots
        self.precision, self.log_det = prior_precision(self.draws, self)

    def given(self, data: Observations, place: int, seed: int) -> Own:
        """Draw one golfer of the observations, with random numbers of his own."""
        one = only(data, place)
        size = one.effects
        rng = np.random.default_rng(golfer_seed(seed, one.golfers[0]))
        shocks = np.empty((self.samples, size))
        form = _places(one)["wander"]
        rest = np.r_[0 : form.start, form.stop : size]
        shocks[:, rest] = rng.normal(size=(self.samples, len(rest)))
        # Form is drawn from the last knot back, so that another knot at the start moves nothing.
        shocks[:, form] = rng.normal(size=(len(self.knots), self.samples)).T[:, ::-1]
        effects, evidence = np.empty((self.samples, size)), np.empty(self.samples)
        run: Any = _draw
        _, _, alike, *blocks = packed(one, self.fixed)
        theta = _theta(self.draws, one)
        run(*blocks[:4], *blocks[4:6], theta, *blocks[6:], alike, self.precision, self.log_det,
            shocks, effects, evidence)  # fmt: skip
        return Own(_named(self.draws, one, effects), evidence)


def draw_all(
    draws: Draws, data: Observations, spec: ModelSpec, cores: int = 1
) -> tuple[dict[str, FLOATS], FLOATS]:
    """Draw every golfer of the observations.

    Parameters
    ----------
    draws : mapping
        Population values, draws on the first axis.
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
    "owner", "days", "documented", "scored", "course", "which_test", "newness", "drift", "knot",
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
    for name in ("stock", "held"):
        changed[name] = tuple(values[mine] for values in getattr(data, name))
    for name in ("steady", "stock_now", "decay_now"):
        changed[name] = tuple(values[his] for values in getattr(data, name))
    changed["owner"] = np.zeros(last - first, dtype=np.int64)
    bounds = np.array([0, last - first], dtype=np.int64)
    return replace(data, golfers=(data.golfers[place],), bounds=bounds, **changed)


def _theta(draws: Draws, data: Observations) -> FLOATS:
    """Population values in the order of the compiled rows, one row a draw; 0 where a club needs none."""
    samples = len(draws["level_mean"])

    def value(name: str, width: int = 1) -> FLOATS:
        return np.asarray(draws.get(name, np.zeros((samples, width))), dtype=float).reshape(samples, -1)

    nodes = np.stack(node_weights(draws["log_half_life"]), axis=1)
    steady = np.einsum("snj,nj->sj", nodes, np.array(data.steady_factor).reshape(len(HALF_LIFE_NODES), -1))
    by_test = [value(name, len(data.tests)) for name in BY_TEST]
    parts = [value(name) for name in c.SCALARS]
    parts += [value(f"{stat}_{part}") for stat in STAT_NAMES for part in c.STAT_VALUES]
    parts += [draws["share"], value("area_day", len(AREAS)), value("course_effect")]
    parts += [term.weights(draws, np) for term in TERMS if len(data.columns[term.name])]
    parts += [np.stack(by_test, axis=2).reshape(samples, -1), nodes.reshape(samples, -1), steady]
    parts += [draws["rate_area"].transpose(0, 2, 1).reshape(samples, -1)]
    return np.ascontiguousarray(np.concatenate(parts, axis=1))


@njit(cache=True, nogil=True, error_model="numpy")
def _draw(
    x: Any, blocks: Any, first: Any, knots: Any, club: Any, at: Any, theta: Any, floor: float,
    reference: float, bend: float, alike: Any, precision: Any, log_det: Any, shocks: Any, effects: Any,
    evidence: Any,
) -> None:  # fmt: skip
    """Draw one golfer's effects for each draw of the population, and the log density of his rows."""
    samples, size = shocks.shape
    count = len(alike)
    direction, error, apart = np.zeros((count, size)), np.zeros(count), np.zeros(count)
    memory = mismatch_memory(alike, size)
    matrix, score, half = np.zeros((size, size)), np.zeros(size), np.zeros(size)
    for s in range(samples):
        matrix[:, :] = precision[s]
        score[:] = 0.0
        each = 0.0
        if count:
            each = rows_forward(
                x, blocks, first, knots, club, at, theta[s], floor, reference, bend, direction, error, apart
            )
            np.dot(direction.T, direction, matrix)
            matrix += precision[s]
            np.dot(error, direction, score)
            each += without_mismatch(alike, direction, error, apart, matrix, score, *memory)
        squares, log_det_now = solve_lower(matrix, score, half, shocks[s], effects[s])
        evidence[s] = each + 0.5 * (log_det[s] - log_det_now + squares)


def _places(data: Observations) -> dict[str, slice]:
    """Where the effects of a golfer stand, by the name of his draws; knots have theirs."""
    found, first = {}, 0
    for effect in EFFECTS:
        found[effect.stored[0]] = slice(first, first + effect.size(data))
        first += effect.size(data)
    return {name: place for name, place in found.items() if name}


def _named(draws: Draws, data: Observations, effects: FLOATS) -> dict[str, FLOATS]:
    """Name the parts of one golfer's effects (S, D), in natural units."""
    single = {effect.stored[0] for effect in EFFECTS if len(effect.stored[1]) == 1}
    found = {name: effects[:, place] for name, place in _places(data).items()}
    found = {name: own[:, 0] if name in single else own for name, own in found.items()}
    one = np.ones(len(effects))
    shares = {name: draws.get(name, one) for name in ("start_known", "start_new")}
    return {
        **found,
        "level": mean_level(draws, data.habit_area.T)[..., 0] + found["level"],
        "noise_total": total_noise(draws, data)[:, 0],
        "start_share": start_share(shares, data.joined)[:, 0],
    }
