"""Blocks of emphasis: golfers who give most hours to one category at a time, in an order by lot, and test."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from paryield.arrays import BOOLS
from paryield.synth.diary import Habits
from paryield.synth.golfers import Roster

BLOCK_WEEKS = 8
FOCUS = 0.7
"""Share of the hours that goes to the category of the block; the rest keeps the others alive."""

TEST_WEEKS = 2
"""Weeks between two days of tests of golfers in blocks."""


@dataclass(frozen=True)
class Blocks:
    """Who practises in blocks, and on what in each week.

    Parameters
    ----------
    members : bool array, shape (golfers,)
    focus : int array, shape (golfers, weeks)
        Place of the category, -1 outside blocks.
    """

    members: BOOLS
    focus: npt.NDArray[np.intp]


def draw_blocks(roster: Roster, rng: np.random.Generator) -> Blocks:
    """Draw who practises in blocks, and each one's order.

    Every member gets every category in turn. Orders are the rows of a Latin square drawn by lot, so that in
    any block about as many members work on each category, and neither season nor trend goes with one.
    """
    spec = roster.spec
    count = len(spec.categories)
    chosen = rng.permutation(spec.golfers)[: round(spec.blocks_share * spec.golfers)]
    focus = np.full((spec.golfers, roster.weeks), -1, dtype=np.intp)
    square = (np.arange(count)[:, None] + np.arange(count)[None, :]) % count
    weeks = np.arange(roster.first, roster.now)
    number = (weeks - roster.first) // BLOCK_WEEKS
    for place, who in enumerate(chosen):
        if place % count == 0:
            square = rng.permutation(count)[square[rng.permutation(count)]]
        focus[who, weeks] = square[place % count][number % count]
    return Blocks(np.isin(np.arange(spec.golfers), chosen), focus)


def emphasise(habits: Habits, blocks: Blocks) -> Habits:
    """Return habits in which the members' hours of each week lean to the category of the block."""
    total = habits.intended.sum(axis=1, keepdims=True)
    places = np.arange(habits.intended.shape[1])[None, :, None]
    here = blocks.focus[:, None, :] == places
    leaning = (1.0 - FOCUS) * habits.intended + FOCUS * total * here
    return replace(habits, intended=np.where(blocks.focus[:, None, :] >= 0, leaning, habits.intended))
