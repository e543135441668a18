"""Evidence: the share of what was unknown beforehand that the data removed, and the word for it."""

from __future__ import annotations

import numpy as np

MEASURED, PART_MEASURED = 0.5, 0.2
"""Share of the prior variance removed from which a value is called measured, or part measured. [judgement]"""
EVIDENCE = ("measured", "part measured", "assumed")


def removed(before: float, after: float) -> float:
    """Share of a prior variance that the data removed, 0 to 1; nothing where the posterior is the wider.

    Parameters
    ----------
    before, after : float
        Variance of the same quantity before and after the data.
    """
    if before <= 0:
        return 0.0
    return float(np.clip(1.0 - after / before, 0.0, 1.0))


def evidence_word(share: float) -> str:
    """Return measured, part measured or assumed for a share of variance removed."""
    if share >= MEASURED:
        return EVIDENCE[0]
    return EVIDENCE[1] if share >= PART_MEASURED else EVIDENCE[2]
