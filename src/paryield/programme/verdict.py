"""What may be said of a programme in one word, and what must be said beside it."""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.programme.members import Outcome

HELPED, WORSE, LITTLE, CANNOT_TELL = "helped", "made it worse", "made little difference", "cannot tell yet"
LITTLE_STROKES = 0.5
"""An effect that is surely smaller than this is little. [judgement]"""


def verdict(effect: FLOATS, whole: bool = True) -> str:
    """The word for the draws of a mean effect: by the range that holds 9 in 10.

    Parameters
    ----------
    effect : array, shape (S,)
    whole : bool
        False where the fit counts only what the logged hours did: then that is no verdict on a programme.
    """
    if not whole:
        return CANNOT_TELL
    low, high = np.quantile(effect, [0.05, 0.95])
    if max(abs(low), abs(high)) < LITTLE_STROKES:
        return LITTLE
    if high < 0:
        return HELPED
    return WORSE if low > 0 else CANNOT_TELL


def warnings_of(record: dict[str, Any], own: list[Outcome]) -> list[str]:
    """What a reader must know before relying on a record."""
    said = []
    if record["beyond_hours"] is None:
        said.append("this fit counts only what the logged hours did; fit again for what coaching adds")
    second, placebo = record["second_route"], record["placebo"]
    if second is None:
        said.append("the plain second route cannot be worked out: too few rounds or golfers outside")
    elif not second["agrees"]:
        said.append("the plain second route disagrees with the model: rely on neither before it is explained")
    if placebo is not None and not placebo["low"] <= 0 <= placebo["high"]:
        said.append(
            "with its dates moved back, before it began, the second route still finds an effect: something "
            "else moves these members' scores"
        )
    assumed = sum(one.assumed for one in own)
    if assumed:
        share = "all" if assumed == len(own) else "some"
        said.append(f"for {share} members the practice before joining is not known and is taken from others")
    if any(not one.member.dated for one in own):
        said.append("some left on a day that was not written down; half way is assumed")
    if not second and record["outside"] is None:
        said.append("no comparable golfers outside: only the model says what would have happened anyway")
    return said
