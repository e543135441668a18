"""One made-up round played shot by shot, so that each area loses exactly what it lost.

Counts come first (greens, putts, penalties as the round's stats wish), places after: the place at which
one area hands over to the next decides how the strokes of a hole are shared, so places are moved until every
area's sum comes out. Where counts and sums cannot agree, the counts give way one by one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from paryield.arrays import BOOLS, FLOATS
from paryield.synth.places import Layout, Lies, need, shifted, yards_of
from paryield.units import FEET_PER_YARD

NEAREST_CHIP, FARTHEST_CHIP = 5.0, 40.0
"""Yards: far enough within 50 that a wrong note does not make an approach of it."""

Ints = npt.NDArray[np.intp]

NEAREST_APPROACH = 62.0
"""Yards: far enough beyond 50 that a wrong note does not make a short game shot of it."""

SHORTEST_DRIVE = 60.0

REACH_YARDS = 225.0
"""Yards covered by one long shot of an amateur (made up)."""

EARLY_YARDS = 290.0
"""From within, a par 5 can be reached with the second shot (made up)."""

TRIES = 60


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


@dataclass(frozen=True, eq=False)
class Played:
    """A round hole by hole, arrays of shape (holes,): counts of strokes by area and where they ended.

    ``approaches`` counts shots and ``lost_balls`` penalty strokes of the approach area, ``chips`` shots of
    the short game (0: the green was reached without), played from ``chip_yards`` and ``chip_lie``;
    ``putts`` from ``putt_feet``.
    """

    tee: Tee
    approaches: Ints
    lost_balls: Ints
    chips: Ints
    chip_lie: Lies
    chip_yards: FLOATS
    putts: Ints
    putt_feet: FLOATS

    def strokes(self, par: Ints) -> Ints:
        """Return strokes on each hole."""
        driven = (par > 3) + self.tee.penalties
        return driven + self.approaches + self.lost_balls + self.chips + self.putts


def play(holes: Layout, lost: FLOATS, strokes: int, wish: Wish, rng: np.random.Generator) -> Played | None:
    """Play a round.

    Parameters
    ----------
    holes : Layout
        Holes to play.
    lost : array, shape (areas,)
        Strokes lost against the tour, by area; they sum to ``strokes`` less what the tour needs.
    strokes : int
        Strokes to take.
    wish : Wish
        Counts to come near to.
    rng : numpy.random.Generator

    Returns
    -------
    Played, or None where no round of such sums was found
    """
    tee = tee_shots(holes, float(lost[0]), wish, rng)
    if tee is None:
        return None
    wish = replace(wish, short_shots=max(wish.short_shots, 1))
    for _ in range(TRIES):
        found = _to_the_green(holes, lost, strokes, wish, tee, rng)
        if isinstance(found, Played):
            return found
        wish = replace(wish, **found)
        size = len(holes.par)
        if not (0 < wish.short_shots <= size <= wish.putts <= 3 * size):
            return None
    return None


def _to_the_green(
    holes: Layout, lost: FLOATS, strokes: int, wish: Wish, tee: Tee, rng: np.random.Generator
) -> Played | dict[str, int]:
    """Play on from the tee shots; where that cannot be, return the count to try instead."""
    size = len(holes.par)
    missed = np.zeros(size, dtype=bool)
    missed[np.argsort(tee.needed + rng.normal(0.0, 0.4, size))[size - wish.short_shots :]] = True
    total = wish.putts - float(lost[3])
    putting = _first_putts(missed, total, rng)
    if isinstance(putting, int):
        return {"putts": wish.putts + putting}
    around = chips(missed, putting, float(lost[2]), wish.sand, rng)
    if around is None:
        return {"short_shots": wish.short_shots + 1}
    usual = 1 + (tee.yards > REACH_YARDS).astype(np.intp) + (tee.yards > 2 * REACH_YARDS)
    taken = (holes.par > 3).sum() + tee.penalties.sum() + wish.putts + missed.sum() + around.extra
    over = int(strokes - taken - usual.sum())
    early = np.flatnonzero((holes.par == 5) & (usual == 2) & (tee.yards <= EARLY_YARDS))
    reached = rng.permutation(early)[: max(-over, 0)]
    usual[reached] = 1
    over += len(reached)
    if over < 0:
        few = wish.short_shots > 1 and rng.random() < 0.5
        return {"short_shots": wish.short_shots - 1} if few else {"putts": wish.putts - 1}
    more = _extra(over, size - wish.greens - int(missed.sum()), missed, tee.penalties, rng)
    return _played(tee, usual + more, more, missed, around, wish, rng)


def _first_putts(missed: BOOLS, total: float, rng: np.random.Generator) -> Putting | int:
    """Return first putts that need ``total`` strokes on tour; else by how much to change the putts taken."""
    size = len(missed)
    low = need("green", np.where(missed, 1.5, 3.5) / FEET_PER_YARD)
    high = need("green", np.where(missed, 32.0, 60.0) / FEET_PER_YARD)
    usual, spread = np.where(missed, np.log(7.0), np.log(22.0)), np.where(missed, 0.6, 0.55)
    feet = np.exp(usual + spread * rng.normal(0.0, 1.0, size))
    first = shifted(np.clip(need("green", feet / FEET_PER_YARD), low, high), low, high, total)
    if first is None:
        return 1 if total < low.sum() else -1
    return Putting(first, low, high)


def _played(
    tee: Tee, approaches: Ints, more: Ints, missed: BOOLS, around: Chips, wish: Wish, rng: np.random.Generator
) -> Played:
    """Put a round together: which extra strokes were lost balls, which holes took two chips, who holed."""
    size = len(missed)
    balls = np.zeros(size, dtype=np.intp)
    spare = rng.permutation(np.repeat(np.arange(size), more))
    np.add.at(balls, spare[: max(wish.penalties - int(tee.penalties.sum()), 0)], 1)
    played = missed.astype(np.intp)
    np.add.at(played, np.resize(rng.permutation(np.flatnonzero(missed)), around.extra), 1)
    yards = np.where(missed, yards_of(np.where(missed, around.lie, "rough"), around.needed), 0.0)
    feet = FEET_PER_YARD * yards_of("green", around.first)
    putts = _putts(wish, around.first, rng)
    return Played(tee, approaches - balls, balls, played, around.lie, yards, putts, feet)


def _extra(over: int, late: int, missed: BOOLS, penalties: Ints, rng: np.random.Generator) -> Ints:
    """Spread strokes beyond the usual approaches over the holes: greens reached late first."""
    more = np.zeros(len(missed), dtype=np.intp)
    clean = rng.permutation(np.flatnonzero(~missed & (penalties == 0)))
    behind = int((~missed & (penalties > 0)).sum())
    first = clean[: min(max(late - behind, 0), over)]
    more[first] = 1
    others = np.concatenate([np.flatnonzero(missed | (penalties > 0)), first])
    others = rng.permutation(others if len(others) else np.arange(len(missed)))
    np.add.at(more, np.resize(others, over - len(first)), 1)
    return more


def _putts(wish: Wish, first: FLOATS, rng: np.random.Generator) -> Ints:
    """Share out the putts: one from near, three from afar, on the whole."""
    size = len(first)
    three = int(np.clip(wish.three_putts, max(wish.putts - 2 * size, 0), (wish.putts - size) // 2))
    one = 2 * size + three - wish.putts
    order = np.argsort(first + rng.normal(0.0, 0.15, size))
    putts = np.full(size, 2, dtype=np.intp)
    putts[order[:one]] = 1
    putts[order[size - three :]] = 3
    return putts
