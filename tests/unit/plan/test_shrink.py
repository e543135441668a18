"""Splits drawn toward an even one: against every split there is, and what concave gains promise of it."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from paryield.plan.shrink import LEAST_TRUST, even_split, shrunk
from paryield.plan.solver import QUARTER, Room


def room_of(low: list[int], high: list[int], total: int) -> Room:
    return Room(np.zeros(len(low)), np.array(low), np.array(high), total)


@st.composite
def rooms(draw: st.DrawFn) -> Room:
    count = draw(st.integers(1, 5))
    low = [draw(st.integers(0, 3)) for _ in range(count)]
    high = [least + draw(st.integers(0, 5)) for least in low]
    return room_of(low, high, draw(st.integers(sum(low), sum(high))))


@given(rooms())
def test_an_even_split_is_as_level_as_the_room_allows(room: Room) -> None:
    """Second route: of all whole splits none has a smaller sum of squares than the even one in parts."""
    even = even_split(room)
    assert even.sum() == pytest.approx(room.total)
    assert np.all((even >= room.low) & (even <= room.high))
    ranges = [range(low, high + 1) for low, high in zip(room.low, room.high, strict=True)]
    whole = np.array([one for one in itertools.product(*ranges) if sum(one) == room.total])
    assert (whole**2).sum(axis=1).min() >= (even**2).sum() - 1e-6


@given(rooms(), st.floats(0.0, 1.0), st.randoms(use_true_random=False))
def test_what_is_drawn_fills_the_room_and_lies_between(room: Room, evidence: float, chance: object) -> None:
    even = even_split(room)
    quarters = room.low.copy()
    rng = np.random.default_rng(chance.randint(0, 9999))  # type: ignore[attr-defined]
    while quarters.sum() < room.total:
        free = np.flatnonzero(quarters < room.high)
        quarters[rng.choice(free)] += 1
    found = shrunk(quarters, room, evidence)
    assert found.sum() == room.total
    assert np.all((found >= room.low) & (found <= room.high))
    nearer = np.minimum(quarters, np.floor(even))
    further = np.maximum(quarters, np.ceil(even - 1e-6))
    assert np.all((found >= nearer) & (found <= further))


def test_half_stays_where_nothing_was_measured_and_all_where_everything_was() -> None:
    room = room_of([0, 0, 0, 0], [16, 16, 16, 16], 16)
    heaped = np.array([16, 0, 0, 0])
    assert shrunk(heaped, room, 0.0).tolist() == [10, 2, 2, 2]
    assert shrunk(heaped, room, LEAST_TRUST).tolist() == [10, 2, 2, 2]
    assert shrunk(heaped, room, 0.75).tolist() == [13, 1, 1, 1]
    assert shrunk(heaped, room, 1.0).tolist() == heaped.tolist()


def test_concave_gains_lose_nothing_by_it_on_average() -> None:
    """Jensen's inequality: the gain of a mean of two splits is no less than the mean of their gains."""
    room = room_of([0] * 4, [32] * 4, 32)
    weights = np.array([1.0, 2.0, 0.5, 3.0])

    def gain(quarters: np.ndarray) -> float:
        hours = QUARTER * quarters
        return float((weights * hours / (1.0 + hours)).sum())

    heaped = np.array([0, 4, 0, 28])
    together = gain(shrunk(heaped, room, 0.0))
    assert together >= 0.5 * gain(heaped) + 0.5 * gain(even_split(room))
