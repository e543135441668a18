"""Tee shots of a made-up round: where they end, so that the area off the tee loses what it lost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.arrays import BOOLS, FLOATS
from paryield.synth.layout import Layout
from paryield.synth.places import need, shifted, yards_of

Ints = npt.NDArray[np.intp]

NEAREST_APPROACH = 62.0
"""Yards: far enough beyond 50 that a wrong note does not make a short game shot of it."""

SHORTEST_DRIVE = 60.0


@dataclass(frozen=True)
class Wish:
    """Counts that a round should have: the stats drawn for it."""

    greens: int
    putts: int
    three_putts: int
    penalties: int
    fairways: int
    short_shots: int
    sand: int


@dataclass(frozen=True, eq=False)
class Tee:
    """After the tee shots: penalty strokes, fairway hit, strokes still needed by tour, and yards left."""

    penalties: Ints
    fairway: BOOLS
    needed: FLOATS
    yards: FLOATS


def tee_shots(holes: Layout, lost: float, wish: Wish, rng: np.random.Generator) -> Tee | None:
    """Return where the tee shots of par 4 and 5 end; None where no places give the strokes ``lost``."""
    long = np.flatnonzero(holes.par > 3)
    start = need("tee", holes.yards)
    fairway = np.zeros(len(holes.par), dtype=bool)
    fairway[rng.permutation(long)[: wish.fairways]] = True
    lie = np.where(fairway, "fairway", "rough")[long]
    low, high = need(lie, NEAREST_APPROACH), need(lie, holes.yards[long] - SHORTEST_DRIVE)
    after = start[long] - 1.0
    fewest = max(int(np.ceil(lost + after.sum() - high.sum())), 0)
    most = max(int(np.floor(lost + after.sum() - low.sum())), fewest)
    count = int(np.clip(min(wish.penalties, max(int(lost + 2.0), 0)), fewest, most))
    wished = after + lost / len(long) + rng.normal(0.0, 0.25, len(long))
    placed = shifted(wished, low, high, float(after.sum() + lost - count))
    if placed is None:
        return None
    penalties = np.zeros(len(holes.par), dtype=np.intp)
    np.add.at(penalties, np.resize(rng.permutation(long), count), 1)
    needed, yards = start.copy(), holes.yards.copy()
    needed[long], yards[long] = placed, yards_of(lie, placed)
    return Tee(penalties, fairway, needed, yards)
