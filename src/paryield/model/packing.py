"""Fills the vectors and the table that the compiled rows read."""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.arrays import FLOATS, INTS
from paryield.dose.stock import HALF_LIFE_NODES
from paryield.model import compiled_layout as c
from paryield.model.design import Observations
from paryield.model.kernel import measurements
from paryield.model.sheet import KINDS, seen_table
from paryield.model.terms import KNOWN, TERMS
from paryield.model.terms.coach_tests import BY_TEST
from paryield.model.terms.practice import stock_weights
from paryield.model.terms.stats import STAT_NAMES
from paryield.model.terms.term import Values
from paryield.tables.categories import AREAS


def places(data: Observations) -> tuple[int, ...]:
    """Lengths and beginnings, in the order of :data:`paryield.model.compiled_layout.AT`."""
    categories, nodes = len(data.categories), len(HALF_LIFE_NODES)
    courses, tests = data.course.shape[1], len(data.tests)
    terms = sum(len(data.columns[term.name]) for term in TERMS)
    theta = np.cumsum([c.REST_OF_THETA, courses, terms, c.TEST_WIDTH * tests, nodes * categories, categories])
    table = np.cumsum([c.REST_OF_TABLE, courses, terms, categories, nodes * categories])
    return (categories, courses, terms, *(int(place) for place in (*theta, *table)))


def round_table(data: Observations) -> FLOATS:
    """Everything known of each occasion but what was measured, shape (occasion, columns)."""
    owner, none = data.owner, np.zeros(len(data.owner))
    measured = [np.stack([part.get(one, none) for one in KINDS], axis=1) for part in (data.value, data.error)]
    single = [data.joined[owner], data.noise_guess[owner], data.newness, data.drift, data.knot_weight]
    by_category = [np.concatenate(part, axis=1) for part in (data.doses.stock, data.doses.held)]
    parts = [*measured, np.stack(single, axis=1), data.habit_area[owner], data.gap_guess[owner]]
    parts += [data.course, *(data.columns[term.name].T for term in TERMS), data.habit[owner], *by_category]
    return np.concatenate(parts, axis=1).astype(float)


BATCH = 512
"""Occasions worked on at a time, about."""


def blocks_of(data: Observations) -> tuple[INTS, FLOATS, INTS, INTS, INTS]:
    """Occasions of a batch of golfers at which the same was measured, side by side.

    Returns
    -------
    batches : int array, shape (batch + 1, 2)
        Where each batch begins among the golfers and among the blocks.
    known : array, shape (block, column, lane)
        Everything known of each occasion.
    blocks : int array, shape (block, 5 + T)
        Occasions in the block, whether areas were measured, which test and its area, what was measured.
    first, knots : int arrays, shape (block, lane)
        Place of an occasion's first measurement, and the knot before it.
    """
    seen, table = seen_table(data), round_table(data)
    test = np.zeros((len(seen), 2), dtype=np.int64)
    if data.tests:
        test[:, 0] = data.which_test.argmax(axis=1)
        test[:, 1] = data.test_area.argmax(axis=1)[test[:, 0]]
    test[~seen[:, c.TEST]] = 0
    pattern = np.column_stack([data.documented > 0, test, seen]).astype(np.int64)
    place = np.concatenate([[0], np.cumsum(seen.sum(axis=1))])
    batch_of = (data.bounds[:-1] // BATCH)[data.owner]
    kinds, which = np.unique(np.column_stack([batch_of, pattern]), axis=0, return_inverse=True)
    rows, members = [], []
    for kind in range(len(kinds)):
        found = np.flatnonzero(which.ravel() == kind)
        if seen[found[0]].any():
            members += [found[start : start + c.LANES] for start in range(0, len(found), c.LANES)]
    golfers = np.flatnonzero(np.diff(data.bounds[:-1] // BATCH, prepend=-1))
    starts = np.searchsorted([batch_of[found[0]] for found in members], data.bounds[golfers] // BATCH)
    batches = np.column_stack([[*golfers, len(data.golfers)], [*starts, len(members)]]).astype(np.int64)
    known = np.zeros((len(members), table.shape[1], c.LANES))
    first, knots = np.zeros((2, len(members), c.LANES), dtype=np.int64)
    for block, found in enumerate(members):
        rows.append([len(found), *pattern[found[0]]])
        known[block, :, : len(found)] = table[found].T
        first[block, : len(found)] = place[found]
        knots[block, : len(found)] = data.knot[found]
    blocks = np.array(rows, dtype=np.int64).reshape(len(members), c.SEEN + c.COUNT)
    return batches, known, blocks, first, knots


def club_values(data: Observations, p: Values) -> tuple[float, ...]:
    """Typical error of each kind of measurement, 0 where the club has none, and constants of the stats."""
    known = [float(p[name]) for name in ("greens_tee", "up_and_downs_putting", "penalties_approach")]
    return (*(float(data.typical.get(kind, 0.0)) for kind in KINDS), *known)


def packed(data: Observations, fixed: Values) -> tuple[Any, ...]:
    """Everything that the compiled likelihood reads and that does not change, in its order.

    ``fixed`` are the population values that are constants.
    """
    batches, *blocks = blocks_of(data)
    bounds, occasion, kind = measurements(data)
    alike = np.full(len(kind), -1, dtype=np.int64)
    during = np.where(kind == c.TEST, data.spell[occasion], -1).astype(np.int64)
    if data.tests:
        tested = data.which_test[occasion].argmax(axis=1)
        alike = np.where(kind == c.TEST, data.kind_of_test[tested], -1)
    shape = data.floor, data.reference_level, data.bend_hours
    return (batches, bounds, alike, during, *blocks, club_values(data, fixed), places(data), *shape)


OF_STATS = tuple(f"{stat}_{value}" for stat in STAT_NAMES for value in c.STAT_VALUES)
"""Values of the stats in the order of the compiled rows; not every stat has each."""


def theta_of(p: Values, data: Observations, xp: Any) -> Any:
    """Population values in one vector, shape (..., size); 0 where the club does not need one."""
    front, nothing = np.shape(p["level_mean"]), xp.zeros_like(p["level_mean"])
    names = (*c.SCALARS, *(name if name in KNOWN else "" for name in OF_STATS))
    scalars = [p.get(name, nothing) if name else nothing for name in names]
    nodes = xp.stack(stock_weights(p, xp), axis=-2)
    steady = sum(nodes[..., node, :] * factor for node, factor in enumerate(data.doses.steady_factor))
    tests = [p.get(name, xp.zeros((*front, len(data.tests)))) for name in BY_TEST]
    parts = [
        xp.stack(scalars, axis=-1),
        p["share"],
        p.get("area_day", xp.zeros((*front, len(AREAS)))),
        p["course_effect"],
        *(term.weights(p, xp) for term in TERMS if len(data.columns[term.name])),
        xp.stack(tests, axis=-1).reshape(*front, -1),
        nodes.reshape(*front, -1),
        steady,
        xp.swapaxes(p["rate_area"], -1, -2).reshape(*front, -1),
    ]
    return xp.concatenate(parts, axis=-1)
