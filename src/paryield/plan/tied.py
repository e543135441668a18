"""Categories that always move together are answered as one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

FLOATS = npt.NDArray[np.float64]
AND = "+"


@dataclass(frozen=True)
class Answered:
    """Categories as they are answered: G names, their members' places, hours and draws (S, G)."""

    names: tuple[str, ...]
    places: tuple[tuple[int, ...], ...]
    shares: tuple[FLOATS, ...]
    hours: FLOATS
    gains: FLOATS


def tied_groups(facts: dict[str, Any]) -> list[list[str]]:
    """Groups of categories that the data cannot tell apart, as stored with a fit."""
    found: list[list[str]] = facts.get("before_fit", {}).get("co_movement", {}).get("tied", [])
    return found


def tied_places(names: Sequence[str], facts: dict[str, Any]) -> tuple[tuple[int, ...], ...]:
    """Places of the categories that are answered together, in the order of their first members."""
    return _sets(names, tied_groups(facts))


def _sets(names: Sequence[str], groups: Sequence[Sequence[str]]) -> tuple[tuple[int, ...], ...]:
    sets: list[tuple[int, ...]] = []
    seen: set[int] = set()
    for place, name in enumerate(names):
        if place in seen:
            continue
        group = next((one for one in groups if name in one), [name])
        members = tuple(at for at, other in enumerate(names) if other in group)
        seen.update(members)
        sets.append(members)
    return tuple(sets)


def answered(names: Sequence[str], hours: FLOATS, gains: FLOATS, groups: Sequence[Sequence[str]]) -> Answered:
    """Put tied categories together.

    One more hour of a group is split as the golfer splits it now, or evenly where nothing is practised; its
    gain is the sum of the parts, exact to first order and a little low beyond, where returns bend.

    Parameters
    ----------
    names : list of str, J categories
    hours : array, shape (J,)
        Weekly hours now.
    gains : array, shape (S, J)
        Strokes for one more hour of each category.
    groups : list of list of str
    """
    sets = _sets(names, groups)
    shares = []
    for members in sets:
        own = hours[list(members)]
        shares.append(own / own.sum() if own.sum() > 0 else np.full(len(members), 1.0 / len(members)))
    both = list(zip(sets, shares, strict=True))
    return Answered(
        names=tuple(AND.join(names[at] for at in members) for members in sets),
        places=sets,
        shares=tuple(shares),
        hours=np.array([hours[list(members)].sum() for members in sets]),
        gains=np.stack([gains[:, list(members)] @ share for members, share in both], axis=1),
    )
