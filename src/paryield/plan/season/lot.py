"""Orders of emphases by lot: balanced over the club, and opposite within two members who are alike.

Rows come from Williams' designs (Williams 1949, Australian Journal of Scientific Research A 2:149, from
memory): every emphasis stands once in every block and follows every other equally often. Of a pair of
alike members one has a row and the other the same row backwards, so that a straight trend falls on no
emphasis. What is random: which pair has which row, which emphasis stands for which symbol (anew for each
whole set of rows), and who of a pair has the row forwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from paryield.arrays import INTS
from paryield.errors import InputError

AS_BEFORE = ""
"""Stands in an order for a block in which a member goes on as before."""


@dataclass(frozen=True)
class Entrant:
    """A member before the drawing.

    Parameters
    ----------
    golfer_id : str
    index : float
        Handicap Index or, where there is none, the mean differential; strokes.
    hours : float
        Hours a week that may be shifted.
    emphases : tuple of str
        What may still be best for the member; each gets a block.
    """

    golfer_id: str
    index: float
    hours: float
    emphases: tuple[str, ...]


@dataclass(frozen=True)
class Lot:
    """A drawing: the emphasis of each member in each block.

    Parameters
    ----------
    names : tuple of str
        Emphases of the season.
    orders : int array, shape (N, B)
        Place in ``names`` by member and block, -1 for a block as before.
    pairs : int array, shape (N,)
        Members of one pair have the same number.
    """

    names: tuple[str, ...]
    orders: INTS
    pairs: INTS

    def words(self, member: int) -> tuple[str, ...]:
        """Emphases of a member, block by block."""
        return tuple(AS_BEFORE if place < 0 else self.names[place] for place in self.orders[member])


def williams_rows(count: int) -> INTS:
    """Rows of a Williams design of so many symbols, each row next to the same row backwards.

    Returns
    -------
    int array, shape (R, 2, count)
        ``R`` pairs of rows: count / 2 for an even count, else count.
    """
    zigzag = [(step + 1) // 2 if step % 2 else (count - step // 2) % count for step in range(count)]
    square = (np.array(zigzag)[None, :] + np.arange(count)[:, None]) % count
    pairs, seen = [], set()
    for row in square:
        if tuple(row) not in seen:
            pairs.append([row, row[::-1]])
            seen |= {tuple(row), tuple(row[::-1])}
    return np.array(pairs)


def pair_numbers(entrants: Sequence[Entrant]) -> INTS:
    """Number of each member's pair: alike in what may be best, then nearest in index and hours.

    The nearest two, in spreads of the club, are a pair, then the nearest two of the rest; who is left over
    is alone.
    """
    value = np.array([[one.index, one.hours] for one in entrants])
    value = value / np.maximum(value.std(axis=0), 1e-9)
    numbers = np.full(len(entrants), -1)
    following = 0
    for emphases in sorted({one.emphases for one in entrants}):
        own = np.array([place for place, one in enumerate(entrants) if one.emphases == emphases])
        first, second = np.triu_indices(len(own), 1)
        apart = np.linalg.norm(value[own[first]] - value[own[second]], axis=1)
        for at in np.argsort(apart, kind="stable"):
            one, two = own[first[at]], own[second[at]]
            if numbers[one] < 0 and numbers[two] < 0:
                numbers[[one, two]] = following
                following += 1
        for place in own[numbers[own] < 0]:
            numbers[place] = following
            following += 1
    return numbers


def draw_lot(entrants: Sequence[Entrant], seed: int) -> Lot:
    """Draw the orders of a season.

    Parameters
    ----------
    entrants : sequence of Entrant
        In an order that the seed belongs to: another order draws other rows.
    seed : int

    Raises
    ------
    InputError
        When nobody has two emphases to compare.
    """
    if not any(len(one.emphases) > 1 for one in entrants):
        raise InputError(
            "no member has two emphases to compare", where="season", remedy="wait for more members or diary"
        )
    names = tuple(sorted({name for one in entrants for name in one.emphases}))
    pairs = pair_numbers(entrants)
    rng = np.random.default_rng([seed, 29])
    return Lot(names, _orders(entrants, names, pairs, rng), pairs)


def redraw(entrants: Sequence[Entrant], lot: Lot, times: int, seed: int) -> INTS:
    """Orders that might have been drawn for the same members, shape (times, N, B)."""
    rng = np.random.default_rng([seed, 30])
    return np.array([_orders(entrants, lot.names, lot.pairs, rng) for _ in range(times)])


def _orders(
    entrants: Sequence[Entrant], names: tuple[str, ...], pairs: INTS, rng: np.random.Generator
) -> INTS:
    blocks = max(len(one.emphases) for one in entrants)
    orders = np.full((len(entrants), blocks), -1)
    rows = williams_rows(blocks)
    for emphases in sorted({one.emphases for one in entrants}):
        symbols = np.full(blocks, -1)
        symbols[: len(emphases)] = [names.index(name) for name in emphases]
        own = [place for place, one in enumerate(entrants) if one.emphases == emphases]
        numbers = rng.permutation(np.unique(pairs[own]))
        for start in range(0, len(numbers), len(rows)):
            labels = symbols[rng.permutation(blocks)]
            for number, both in zip(numbers[start:], rows[rng.permutation(len(rows))], strict=False):
                two = [place for place in own if pairs[place] == number]
                turned = int(rng.integers(2))
                for side, place in enumerate(two):
                    orders[place] = labels[both[(side + turned) % 2]]
    return orders


def balance(lot: Lot) -> INTS:
    """How many members are on each emphasis in each block, shape (names, B)."""
    return np.array([(lot.orders == place).sum(axis=0) for place in range(len(lot.names))])
