"""Verdicts that do not flip with every week: a verdict once given is kept until it clearly fails.

Two weeks of rounds move a chance by a few hundredths. With one threshold a golfer who stands near it would
be told to change his practice and to change it back. So a verdict is reached at one pair of thresholds and
left at a lower one; the chances shown are never touched, only the word. The width is a judgement; how many
verdicts two weeks of noise turn is measured by simulation.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FLOATS = npt.NDArray[np.float64]
REACHED = (0.8, 0.1)
LEFT = (0.7, 0.05)
"""Chance of beating the alternative, and median strokes, at which a category stands out, and no longer does.
[judgement]"""

WEEK_REACHED = (0.8, 0.2)
WEEK_LEFT = (0.7, 0.1)
"""The same for a change of the whole week. It takes more strokes: a plan picks the best of many splits, and
on made-up clubs where practice does nothing 0.1 stroke still moved 23 golfers in 100, 0.15 moved 10 and 0.2
moves 5 (ten clubs, notebook 04). [judgement]"""


def stands(gain: FLOATS, before: bool) -> bool:
    """Whether a gain of another week is reason enough to change, given whether it was last time.

    Parameters
    ----------
    gain : array, shape (S,)
        Draws of strokes gained over the alternative.
    before : bool
        Whether the last run said yes; without one, False.
    """
    chance, strokes = WEEK_LEFT if before else WEEK_REACHED
    return bool(np.mean(gain > 0) >= chance and np.median(gain) >= strokes)
