"""Fills the vectors and the table that the compiled rows read."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.dose.stock import HALF_LIFE_NODES, node_weights
from paryield.model import compiled_layout as c
from paryield.model.design import Observations
from paryield.model.rows import KINDS, STATS
from paryield.model.spec import ModelSpec

FLOATS = npt.NDArray[np.float64]
INTS = npt.NDArray[np.int64]


def places(data: Observations) -> tuple[int, ...]:
    """Lengths and beginnings, in the order of :data:`paryield.model.compiled_layout.AT`.

    A programme counts twice: what it did, and the bad spell on which its members joined.
    """
    categories, nodes = len(data.categories), len(HALF_LIFE_NODES)
    courses, programmes, tests = data.course.shape[1], 2 * len(data.programmes), len(data.tests)
    theta = np.cumsum([c.REST_OF_THETA, courses, programmes, 3 * tests, nodes * categories, categories])
    table = np.cumsum([c.REST_OF_TABLE, courses, programmes, categories, nodes * categories])
    return (categories, courses, programmes, *(int(place) for place in (*theta, *table)))


def round_table(data: Observations) -> FLOATS:
    """Everything known of each occasion, shape (occasion, columns)."""
    owner, none = data.owner, np.zeros(len(data.owner))
    measured = [np.stack([part.get(kind, none) for kind in KINDS], axis=1) for part in
                (data.seen, data.value, data.error)]  # fmt: skip
    which, area = none, none
    if data.tests:
        which = data.which_test.argmax(axis=1).astype(float)
        area = data.test_area.argmax(axis=1)[which.astype(int)].astype(float)
    single = [data.documented, data.competition, data.years, data.joining, data.joined[owner], data.cos]
    single += [data.sin, data.noise_guess[owner], data.repeats, which, area]
    by_category = [np.concatenate(part, axis=1) for part in (data.stock, data.held)]
    parts = [*measured, np.stack(single, axis=1), data.habit_area[owner], data.gap_guess[owner]]
    parts += [data.course, data.exposure, data.spell, data.habit[owner], *by_category]
    return np.ascontiguousarray(np.concatenate(parts, axis=1), dtype=float)


def club_values(data: Observations, spec: ModelSpec) -> tuple[float, ...]:
    """Typical error of each kind of measurement, 0 where the club has none, and constants of the stats."""
    priors = spec.priors
    known = [priors.greens_tee_weight, priors.up_and_downs_putting, priors.penalties_approach]
    return (*(float(data.typical.get(kind, 0.0)) for kind in KINDS), *known)


def theta_of(p: dict[str, Any], data: Observations, xp: Any) -> Any:
    """Population values in one vector; 0 where the club does not need one."""
    nothing = xp.zeros(())
    scalars = [p.get(name, nothing) for name in c.SCALARS]
    stats = [p.get(f"{stat}_{value}", nothing) for stat in STATS for value in c.STAT_VALUES]
    nodes = xp.stack(node_weights(p["log_half_life"]))
    steady = sum(nodes[node] * factor for node, factor in enumerate(data.steady_factor))
    tests = [p.get(name, xp.zeros(len(data.tests))) for name in ("test_intercept", "test_slope", "test_sd")]
    parts = [
        xp.stack([*scalars, *stats]),
        p["share"],
        p.get("area_day", xp.zeros(4)),
        p["course_effect"],
        p.get("programme_effect", xp.zeros(len(data.programmes))),
        p.get("enrol_shift", xp.zeros(len(data.programmes))),
        xp.stack(tests).T.reshape(-1),
        nodes.reshape(-1),
        steady,
        p["rate_area"].T.reshape(-1),
    ]
    return xp.concatenate(parts)
