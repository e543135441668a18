"""What is written down of a made-up round: a card by hole, and every shot with distances as read."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.rounds.shots import OTHER_READING_ERROR, READING_ERROR
from paryield.synth.layout import Layout
from paryield.synth.play import Played
from paryield.units import FEET_PER_YARD

AFTER_PUTT_FEET = (2.5, 1.2)
"""Feet left after the first and the second putt, in the middle (made up)."""


def card_rows(holes: Layout, played: Played) -> dict[str, npt.NDArray[Any]]:
    """Return the columns of the holes table but the key of the round."""
    fairway = np.where(holes.par == 3, "none", np.where(played.tee.fairway, "hit", "missed"))
    return {
        "hole": np.arange(1, len(holes.par) + 1),
        "par": holes.par,
        "stroke_index": holes.stroke_index,
        "strokes": played.strokes(holes.par),
        "putts": played.putts,
        "fairway": fairway,
        "penalty_strokes": played.tee.penalties + played.lost_balls,
    }


def shot_rows(holes: Layout, played: Played, rng: np.random.Generator) -> dict[str, npt.NDArray[Any]]:
    """Return the columns of the shots table but the key of the round.

    Distances are read with the errors that strokes by area are told with: none on the tee, 10 % of it on
    the green, 5 % elsewhere.
    """
    places = [_places(holes, played, hole, rng) for hole in range(len(holes.par))]
    count = np.array([len(each) for each in places])
    lie = np.array([shot[0] for each in places for shot in each])
    yards = np.array([shot[1] for each in places for shot in each])
    cost = np.array([1 + shot[2] for each in places for shot in each])
    before = np.cumsum(cost) - cost
    first = np.cumsum(count) - count
    share = np.select([lie == "tee", lie == "green"], [0.0, READING_ERROR["green"]], OTHER_READING_ERROR)
    read = yards * np.exp(share * rng.normal(size=len(yards)))
    green = lie == "green"
    holed = np.full(len(lie), None, dtype=object)
    holed[first + count - 1] = True
    return {
        "hole": np.repeat(np.arange(1, len(count) + 1), count),
        "shot_no": 1 + before - np.repeat(before[first], count),
        "lie": lie,
        "distance": np.round(read * np.where(green, FEET_PER_YARD, 1.0), 1),
        "distance_unit": np.where(green, "ft", "yd"),
        "holed": holed,
    }


def _places(
    holes: Layout, played: Played, hole: int, rng: np.random.Generator
) -> list[tuple[str, float, int]]:
    """Lie, yards and penalty strokes of every shot of a hole, in order."""
    tee = played.tee
    long = holes.par[hole] > 3
    found: list[tuple[str, float, int]] = []
    if long:
        found.append(("tee", float(holes.yards[hole]), int(tee.penalties[hole])))
    count, far = int(played.approaches[hole]), float(tee.yards[hole])
    for turn in range(count):
        first = ("fairway" if tee.fairway[hole] else "rough") if long else "tee"
        lie = first if turn == 0 else "fairway" if rng.random() < 0.5 else "rough"
        here = far - (far - min(90.0, far)) * turn / count
        found.append((lie, here, int(played.lost_balls[hole]) if turn == 0 else 0))
    near = float(played.chip_yards[hole])
    for turn in range(int(played.chips[hole])):
        lie = str(played.chip_lie[hole]) if turn == 0 else "rough"
        found.append((lie, max(near * 0.6**turn, 3.0), 0))
    left = float(played.putt_feet[hole])
    for turn in range(int(played.putts[hole])):
        found.append(("green", left / FEET_PER_YARD, 0))
        left = min(left, AFTER_PUTT_FEET[min(turn, 1)] * float(np.exp(0.5 * rng.normal())))
    return found
