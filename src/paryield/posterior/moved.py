"""How far the data moved what was assumed: measured, part measured or assumed."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FLOATS = npt.NDArray[np.float64]
MEASURED_OVERLAP, PART_OVERLAP = 0.5, 0.8
"""Overlap of prior and posterior below which a value is called measured, or part measured. [judgement]"""


def overlap(before: FLOATS, after: FLOATS) -> float:
    """Shared area of two densities, 0 to 1, on bins of equal prior weight.

    On such bins the prior is flat, so the overlap is ``sum(min(1 / bins, share of the posterior))``.
    """
    bins = 20
    edges = np.quantile(before, np.linspace(0, 1, bins + 1)[1:-1])
    share = np.bincount(np.searchsorted(edges, after), minlength=bins) / len(after)
    return float(np.minimum(share, 1.0 / bins).sum())


def moved_word(before: FLOATS, after: FLOATS) -> str:
    """Return measured, part measured or assumed, from draws before and after the data."""
    shared = overlap(before, after)
    if shared < MEASURED_OVERLAP:
        return "measured"
    return "part measured" if shared < PART_OVERLAP else "assumed"
