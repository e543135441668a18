"""The short game of a made-up round: from where, how often, and how near the hole it ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from paryield.arrays import BOOLS, FLOATS
from paryield.synth.places import Lies, need, shifted

NEAREST_CHIP, FARTHEST_CHIP = 5.0, 40.0
"""Yards: far enough within 50 that a wrong note does not make an approach of it."""


@dataclass(frozen=True, eq=False)
class Putting:
    """Strokes that the tour needs from the first putts, shape (holes,), and the bounds they may move in."""

    needed: FLOATS
    low: FLOATS
    high: FLOATS


@dataclass(frozen=True, eq=False)
class Chips:
    """Chips beyond one a hole; lie ("" where none) and strokes needed there; first putts, moved to suit."""

    extra: int
    lie: Lies
    needed: FLOATS
    first: FLOATS


def chips(missed: BOOLS, putting: Putting, lost: float, sand: int, rng: np.random.Generator) -> Chips | None:
    """Return the short game on the holes where the green was missed; None where no places give ``lost``.

    The sum of the first putts stays, so that putting still loses what it lost; how it is shared between
    greens hit and greens missed may change.
    """
    count = int(missed.sum())
    lie = np.full(len(missed), "", dtype="<U7")
    where = rng.permutation(np.flatnonzero(missed))
    lie[where] = np.where(rng.random(count) < 0.75, "rough", "fairway")
    lie[where[:sand]] = "sand"
    here = lie[missed]
    bounds = need(here, NEAREST_CHIP), need(here, FARTHEST_CHIP)
    far = np.clip(np.exp(rng.normal(np.log(16.0), 0.5, count)), NEAREST_CHIP, FARTHEST_CHIP)
    wished = need(here, far)
    total, near = float(putting.needed.sum()), float(putting.needed[missed].sum())
    usual = max(int(np.rint(wished.sum() - count - near + lost)), 0)
    for extra in (usual, usual + 1, max(usual - 1, 0)):
        turn = count + extra - lost
        floor = max(putting.low[missed].sum(), bounds[0].sum() - turn, total - putting.high[~missed].sum())
        ceiling = min(putting.high[missed].sum(), bounds[1].sum() - turn, total - putting.low[~missed].sum())
        if not count or floor > ceiling:
            continue
        near = float(np.clip(near, floor, ceiling))
        needed = np.zeros(len(missed))
        placed = shifted(wished, *bounds, turn + near)
        first = _shared(missed, putting, near, total - near)
        if placed is not None and first is not None:
            needed[missed] = placed
            return Chips(extra, lie, needed, first)
    return None


def _shared(missed: BOOLS, putting: Putting, near: float, rest: float) -> FLOATS | None:
    first = putting.needed.copy()
    for group, part in ((missed, near), (~missed, rest)):
        placed = shifted(first[group], putting.low[group], putting.high[group], part)
        if placed is None:
            return None
        first[group] = placed
    return first
