"""Round stats of made-up rounds, drawn from the area strokes of the very same round.

The curves pass through the published and working values: putts a round 31.3 at scratch and 36.4 at
40 (Soley 1977, quoted in a blog post, verified as quoted), 33 for a 90-golfer (golfsciencejournal.org 7732,
verified); greens 10, 7.5, 5, 3, 1.5 at an index of 0, 5, 10, 18, 28, fairways 55 to 43 %, up-and-downs
45 to 12 %, penalty strokes 0.5 to 3 (from memory, weak), with area shares 0.26, 0.37, 0.21, 0.16 and a mean
differential 2.4 + 1.04 x index; fitted by eye to those points (computed).
"""

from __future__ import annotations

import numpy as np

from paryield.arrays import FLOATS, INTS

Counts = INTS

PUTTS_BASE = 29.3
PUTTS_PER_GREEN = 0.163
PUTTS_SD = 1.2


def greens_chance(strokes: FLOATS) -> FLOATS:
    """Return the chance of a green in regulation, shape (rounds,), from strokes lost by area."""
    return np.clip(np.exp(-0.44 - 0.131 * strokes[:, 1] - 0.062 * strokes[:, 0]), 0.02, 0.92)


def fairway_chance(strokes: FLOATS) -> FLOATS:
    """Return the chance of a fairway hit."""
    return np.asarray(1.0 / (1.0 + np.exp(-(0.225 - 0.0627 * strokes[:, 0]))))


def up_and_down_chance(strokes: FLOATS) -> FLOATS:
    """Return the chance of an up-and-down."""
    return np.clip(np.exp(-0.69 - 0.139 * strokes[:, 2] - 0.0982 * strokes[:, 3]), 0.02, 0.85)


def penalties_mean(strokes: FLOATS) -> FLOATS:
    """Return the expected penalty strokes of 18 holes."""
    return np.maximum(0.2 + 0.234 * strokes[:, 0] + 0.0705 * strokes[:, 1], 0.1)


def three_putts_mean(strokes: FLOATS) -> FLOATS:
    """Return the expected three-putts of 18 holes: 0.9 at scratch, 3.6 at 40 (Soley 1977, as above)."""
    return np.maximum(0.7 + 0.42 * strokes[:, 3], 0.1)


def draw_stats(strokes: FLOATS, holes: Counts, rng: np.random.Generator) -> dict[str, Counts]:
    """Draw the stats of rounds.

    Parameters
    ----------
    strokes : array, shape (rounds, areas)
        Strokes lost to scratch in the round, scaled to 18 holes.
    holes : int array, shape (rounds,)
        Holes played, 9 or 18.

    Returns
    -------
    dict of str to int array
        One array per column of the rounds table.
    """
    part = holes / 18.0
    greens = rng.binomial(holes, greens_chance(strokes))
    putts = PUTTS_BASE * part + strokes[:, 3] * part + PUTTS_PER_GREEN * greens
    putts = np.rint(putts + rng.normal(0.0, PUTTS_SD, len(holes)) * np.sqrt(part)).astype(np.int64)
    putts = np.maximum(putts, holes - 3)
    possible = np.where(holes == 18, rng.integers(13, 15, len(holes)), 7)
    tried = rng.binomial(holes - greens, 0.85)
    sand = rng.binomial(tried, 0.16)
    chance = up_and_down_chance(strokes)
    return {
        "greens_hit": greens,
        "putts": putts,
        "three_putts": np.minimum(
            rng.poisson(three_putts_mean(strokes) * part), np.maximum(putts - holes, 0)
        ),
        "fairways_possible": possible,
        "fairways_hit": rng.binomial(possible, fairway_chance(strokes)),
        "up_and_downs_tried": tried,
        "up_and_downs_made": rng.binomial(tried, chance),
        "sand_saves_tried": sand,
        "sand_saves_made": rng.binomial(sand, 0.8 * chance),
        "penalty_strokes": rng.poisson(penalties_mean(strokes) * part),
    }
