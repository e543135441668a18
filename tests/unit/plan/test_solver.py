"""The solver against every split there is, and against problems whose optimum is known in closed form."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest

from paryield.arrays import FLOATS
from paryield.club import Club
from paryield.forecast.current import current_fit
from paryield.plan.outcome import Outcome, make_outcome
from paryield.plan.solver import (
    INTS,
    QUARTER,
    Room,
    Value,
    best_by_draw,
    best_split,
    mean_gain,
    rounded,
    safe_gain,
    smooth_optimum,
)


def room_of(low: list[int], high: list[int], total: int) -> Room:
    return Room(np.zeros(len(low)), np.array(low), np.array(high), total)


def all_splits(room: Room) -> INTS:
    ranges = [range(low, high + 1) for low, high in zip(room.low, room.high, strict=True)]
    return np.array([one for one in itertools.product(*ranges) if sum(one) == room.total])


def test_square_roots_are_shared_by_the_square_of_their_weights() -> None:
    """max sum(a sqrt(x)), sum(x) = H: x proportional to a squared (Lagrange, by hand): 8 h at weights
    1, 2, sqrt(3) are 1, 4 and 3 hours."""
    weights = np.array([1.0, 2.0, np.sqrt(3.0)])
    room = room_of([0, 0, 0], [32, 32, 32], 32)

    def value(hours: FLOATS) -> FLOATS:
        return np.sqrt(np.maximum(hours, 1e-12)) @ weights

    smooth = QUARTER * smooth_optimum(value, room, np.full(3, 32 / 3))
    np.testing.assert_allclose(smooth, [1.0, 4.0, 3.0], atol=0.02)
    quarters, _ = best_split(value, room, np.full(3, 32 / 3))
    assert (QUARTER * quarters).tolist() == [1.0, 4.0, 3.0]


def test_a_straight_line_fills_the_steepest_first() -> None:
    """Linear worth: the continuous knapsack, filled by slope (Dantzig 1957, from memory)."""
    slopes = np.array([0.1, 0.3, 0.2])
    room = room_of([1, 0, 0], [10, 4, 10], 12)
    quarters, worth = best_split(lambda hours: hours @ slopes, room, np.array([4.0, 4.0, 4.0]))
    assert quarters.tolist() == [1, 4, 7]
    assert worth == pytest.approx(0.25 * (0.1 + 1.2 + 1.4))


def test_rounding_fills_the_room() -> None:
    room = room_of([0, 0, 2], [3, 9, 9], 10)
    assert rounded(np.array([2.6, 4.7, 2.7]), room).tolist() == [2, 5, 3]
    assert rounded(np.array([9.0, 9.0, 9.0]), room).sum() == 10


@pytest.fixture(scope="module")
def outcome(fitted_club: Path) -> Outcome:
    with Club.open(fitted_club) as club:
        posterior = current_fit(club)[1]
    names = [name for name in posterior.categories if name != "phantom"][:4]
    return make_outcome(posterior, posterior.golfers[3], names, 12)


ROOMS = [
    room_of([0, 0, 0, 0], [8, 8, 8, 8], 8),
    room_of([1, 0, 2, 0], [5, 2, 8, 3], 9),
    room_of([0, 0, 0, 0], [3, 3, 3, 3], 12),
    room_of([0, 0, 0, 0], [0, 8, 0, 8], 8),
]


@pytest.mark.parametrize("room", ROOMS)
@pytest.mark.parametrize("aim", ["likely", "safe"])
def test_no_split_of_all_is_better(outcome: Outcome, room: Room, aim: str) -> None:
    """Brute force over every split of up to 12 quarter hours among four categories."""
    present = QUARTER * np.full(4, room.total / 4)
    value: Value = (safe_gain if aim == "safe" else mean_gain)(outcome, present)
    splits = all_splits(room)
    best = float(value(room.hours(splits)).max())
    quarters, worth = best_split(value, room, present / QUARTER, concave=aim == "likely")
    assert quarters.sum() == room.total
    assert worth == pytest.approx(float(value(room.hours(quarters)[None])[0]))
    # The safe gain, a quantile over draws, is not concave: within a thousandth of a stroke is enough.
    assert worth >= best - (1e-3 if aim == "safe" else 1e-6)


def test_quarters_never_beat_the_smooth_optimum(outcome: Outcome) -> None:
    room, present = ROOMS[0], np.full(4, 0.5)
    value = mean_gain(outcome, present)
    smooth = smooth_optimum(value, room, np.full(4, 2.0))
    _, worth = best_split(value, room, np.full(4, 2.0))
    assert worth <= float(value(room.hours(smooth)[None])[0]) + 1e-6


def test_the_mean_gain_is_concave(outcome: Outcome) -> None:
    """Midpoints of random splits lie on or above the chord."""
    rng = np.random.default_rng(8)
    value = mean_gain(outcome, np.zeros(4))
    here, there = rng.uniform(0, 3, (2, 200, 4))
    assert np.all(value((here + there) / 2) >= (value(here) + value(there)) / 2 - 1e-9)


@pytest.mark.parametrize("room", ROOMS)
def test_the_best_of_each_draw_is_that_of_all_splits(outcome: Outcome, room: Room) -> None:
    splits = all_splits(room)
    expected = outcome.lost(room.hours(splits)).min(axis=1)
    found = best_by_draw(outcome, room, splits[0])
    assert np.all(found >= expected - 1e-9)
    assert np.mean(found - expected) < 1e-3
    assert np.mean(np.abs(found - expected) < 1e-6) >= 0.95


def test_an_impossible_room_is_refused() -> None:
    with pytest.raises(ValueError, match="no split of 9 quarter hours"):
        room_of([0, 0], [4, 4], 9)
