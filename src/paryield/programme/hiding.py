"""Small groups stay hidden, and cannot be worked out from what is shown by adding and subtracting."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from itertools import combinations
from math import comb

import numpy as np

from paryield.arrays import BOOLS, FLOATS, INTS

FEWEST = 5
"""Members below which nothing of a group is shown."""
MOST_SETS = 60_000
EPSILON = 1e-7


def shown_cells[Key: Hashable](cells: Sequence[tuple[Key, frozenset[str]]], fewest: int = FEWEST) -> set[Key]:
    """Keys of the cells that may be shown, earlier ones first.

    A cell is shown when it has at least ``fewest`` members and no weighted sum of the cells shown so far
    and this one speaks of fewer than ``fewest`` members.

    Parameters
    ----------
    cells : sequence of (key, members)
        In order of importance.
    fewest : int
    """
    kept: list[frozenset[str]] = []
    keys: set[Key] = set()
    everything = [members for _, members in cells]
    for key, members in cells:
        if len(members) >= fewest and not recoverable([*kept, members], everything, fewest):
            kept.append(members)
            keys.add(key)
    return keys


def recoverable(
    shown: Sequence[frozenset[str]], cells: Iterable[frozenset[str]] = (), fewest: int = FEWEST
) -> bool:
    """Whether sums over the shown groups give away a sum over fewer than ``fewest`` members.

    Members who stand in the same shown groups cannot be told apart and form an atom. A set of atoms is
    given away when some combination of the shown sums rests on it alone: when the projector on the row
    space of the table of groups has an eigenvalue of 1 on those atoms. All sets of atoms with fewer than
    ``fewest`` members are tried, up to a limit on their number, and every small cell and difference of
    two groups without limit.
    """
    patterns: dict[tuple[bool, ...], int] = {}
    atom_of: dict[str, int] = {}
    for member in sorted(set().union(*shown)):
        pattern = tuple(member in group for group in shown)
        atom_of[member] = patterns.setdefault(pattern, len(patterns))
    size = np.bincount(list(atom_of.values()), minlength=len(patterns))
    table = np.array(list(patterns), dtype=float).T
    projector = _projector(table)
    if _any_given(projector, size, fewest):
        return True
    small = {one for one in [*cells, *(a - b for a in shown for b in shown)] if 0 < len(one) < fewest}
    for group in small:
        atoms = sorted({atom_of[member] for member in group if member in atom_of})
        if atoms and int(size[atoms].sum()) < fewest and _given(projector, np.array([atoms]))[0]:
            return True
    return False


def _projector(table: FLOATS) -> FLOATS:
    _, values, rows = np.linalg.svd(table, full_matrices=False)
    basis = rows[values > EPSILON * max(values.max(), 1.0)]
    out: FLOATS = basis.T @ basis
    return out


def _given(projector: FLOATS, sets: INTS) -> BOOLS:
    blocks = projector[sets[:, :, None], sets[:, None, :]]
    return np.asarray(np.linalg.eigvalsh(blocks)[:, -1] >= 1.0 - EPSILON)


def _any_given(projector: FLOATS, size: INTS, fewest: int) -> bool:
    light = [int(atom) for atom in np.flatnonzero(size < fewest)]
    for count in range(1, fewest):
        if comb(len(light), count) > MOST_SETS:
            return False
        sets = [c for c in combinations(light, count) if int(size[list(c)].sum()) < fewest]
        if sets and _given(projector, np.array(sets)).any():
            return True
    return False
