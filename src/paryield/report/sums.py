"""Parts rounded so that what is shown of them adds up to the total that is shown."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from paryield.units import MINUTES_PER_HOUR


def adding_up(parts: Sequence[float], digits: int = 1) -> list[float]:
    """Return parts rounded so that they add up to their total rounded likewise.

    Each is rounded down, and those with the largest remainder are raised until the sum is right (method of
    the largest remainder), so that none is off by a whole step.

    Parameters
    ----------
    parts : sequence of float
        Of either sign; of equal remainders the earlier one is raised.
    digits : int
        Decimals that are shown.

    Examples
    --------
    >>> adding_up([0.84, -0.06, 0.11])
    [0.9, -0.1, 0.1]
    """
    scale = 10.0**digits
    steps = [_tidy(part * scale) for part in parts]
    low = [math.floor(step) for step in steps]
    short = round(_tidy(sum(parts) * scale)) - sum(low)
    by_rest = sorted(range(len(parts)), key=lambda place: (low[place] - steps[place], place))
    raised = set(by_rest[: max(short, 0)])
    return [(low[place] + (place in raised)) / scale for place in range(len(parts))]


def minutes_adding_up[Name](hours: Mapping[Name, float]) -> dict[Name, float]:
    """Return hours by name in whole minutes that add up to the minutes of all of them."""
    minutes = adding_up([value * MINUTES_PER_HOUR for value in hours.values()], 0)
    return {name: value / MINUTES_PER_HOUR for name, value in zip(hours, minutes, strict=True)}


def _tidy(value: float) -> float:
    """Return a value without the last digits, so that 0.3 in tenths is 3 and not a little less."""
    return round(value, 6)
