"""The most telling split: what each split tells is what the block command would say of it."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest

from paryield.club import Club
from paryield.forecast.current import current_fit
from paryield.forecast.rounds import club_paces
from paryield.plan import plan_tables
from paryield.plan.block import expected_bits
from paryield.plan.learn_aim import bits_told, telling_split
from paryield.plan.solver import Room
from paryield.posterior import Posterior
from paryield.tables import Tables


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


def test_bits_are_those_of_a_block_of_the_same_hours(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    pace = club_paces(tables, posterior.golfers, posterior.as_of)["G02"]
    names = [name for name in posterior.categories if name != "phantom"]
    hours = np.linspace(0.2, 1.2, len(names))
    wide = np.zeros(len(posterior.categories))
    wide[[posterior.categories.index(name) for name in names]] = hours
    found = bits_told(posterior, "G02", names, 8, pace)(hours[None])[0]
    expected = expected_bits(posterior, "G02", wide, 8, pace)
    assert found == pytest.approx(expected.gain, abs=4 * expected.error + 0.02)


def test_a_convex_worth_is_found_among_leaning_splits() -> None:
    """Second route: every split of 8 quarter hours among three; a convex worth is greatest at a corner."""
    room = Room(np.zeros(3), np.array([0, 1, 0]), np.array([8, 8, 5]), 8)
    weights = np.array([1.0, 1.1, 3.0])
    splits = [np.array(one) for one in itertools.product(range(9), range(1, 9), range(6)) if sum(one) == 8]
    best = max(float((weights * (0.25 * one) ** 2).sum()) for one in splits)
    quarters, worth = telling_split(lambda hours: hours**2 @ weights, room, np.array([3.0, 3.0, 2.0]))
    assert worth == pytest.approx(best)
    assert quarters.tolist() == [0, 3, 5]


def test_two_alike_share_evenly() -> None:
    room = Room(np.zeros(3), np.zeros(3, dtype=int), np.full(3, 8), 8)
    quarters, _ = telling_split(lambda hours: -np.abs(hours - [1.0, 1.0, 0.0]).sum(axis=1), room, np.zeros(3))
    assert quarters.tolist() == [4, 4, 0]


def test_the_plan_says_what_it_tells(fitted: tuple[Posterior, Tables]) -> None:
    (record,) = plan_tables(*fitted, golfers=["G02"], hours=3.0, aim="learn").records
    assert record["aim"] == "learn"
    (note,) = [line for line in record["notes"] if "bits" in line]
    told, present = (float(word) for word in note.replace(",", "").split() if word.replace(".", "").isdigit())
    assert told >= present - 1e-9
