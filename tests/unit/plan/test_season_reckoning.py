"""What a season tells: by conditioning a joint normal, and beside an earlier exact reckoning."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np
import numpy.typing as npt
import pytest

from paryield.dose.stock import bend_slope, bent
from paryield.model.spec import ModelSpec, Priors
from paryield.plan.season.lot import Entrant, draw_lot
from paryield.plan.season.reckoning import (
    Beliefs,
    Own,
    Sitting,
    promise,
    routine_information,
    season_tests,
    told_about_shared,
)
from paryield.plan.trial import with_statistics
from paryield.tables.categories import AREAS, BY_NAME

FLOATS = npt.NDArray[np.float64]
SIX = ("short_putting", "chipping", "bunker", "irons", "driver", "strength")
SPEC = ModelSpec()
SHARE = np.array(SPEC.priors.share) / sum(SPEC.priors.share)
SERVES = np.array([[BY_NAME[name].serves.get(area, 0.0) for area in AREAS] for name in SIX])
SHARED = (SPEC.priors.trend_sd, SPEC.priors.season_sd, SPEC.priors.season_sd)
OWN = Own(
    np.outer(SHARE, SHARE) * SPEC.priors.level_sd**2 + np.eye(4) * SPEC.priors.area_sd**2,
    SPEC.priors.wander_sd,
    SPEC.priors.wander_days,
    SPEC.priors.drift_sd,
    SHARE,
)


def random_sitting(rng: np.random.Generator, weeks: int = 5) -> Sitting:
    root = rng.normal(size=(weeks, 4, 2))
    return Sitting(
        20000.0 + 7.0 * np.arange(weeks) + 3.5,
        rng.normal(size=(weeks, 3)),
        rng.random((3, 4)),
        0.1 * rng.normal(size=(weeks, 4)),
        root @ root.transpose(0, 2, 1),
    )


def test_the_information_is_what_conditioning_the_joint_normal_leaves() -> None:
    """Second route: every value a coordinate of one joint normal, and the textbook's conditional covariance.

    Each week's two measurements are ``root' strokes + unit error``, so that information and root agree.
    """
    rng = np.random.default_rng(3)
    sittings = [random_sitting(rng) for _ in range(3)]
    before = Beliefs(np.full(3, 0.4), np.diag([0.1, 0.2, 0.3]))
    total = sum((told_about_shared(one, OWN) for one in sittings), np.zeros((6, 6)))
    found = before.after(total, SHARED).cover

    rows, covers = [], []
    for one in sittings:
        days, weeks = one.days, len(one.days)
        effect = -np.einsum("tj,jk->tkj", one.exposure, one.slope).reshape(4 * weeks, 3)
        turn = 2.0 * np.pi * days / 365.25
        time = np.column_stack([(days - days[0]) / 365.25, np.cos(turn), np.sin(turn)])
        shared = np.einsum("tc,k->tkc", time, SHARE).reshape(4 * weeks, 3)
        own = OWN.cover(days - days[0] + 3.5) + np.outer(one.fading.ravel(), one.fading.ravel())
        root = np.zeros((4 * weeks, 4 * weeks))
        for week in range(weeks):
            here = slice(4 * week, 4 * week + 4)
            values, vectors = np.linalg.eigh(one.information[week])
            root[here, here] = (vectors * np.sqrt(np.maximum(values, 0.0))).T
        rows.append(root @ np.hstack([effect, shared]))
        covers.append(root @ own @ root.T + np.eye(4 * weeks))
    design = np.vstack(rows)
    prior = np.block([[before.cover, np.zeros((3, 3))], [np.zeros((3, 3)), np.diag(np.square(SHARED))]])
    noise = np.zeros((len(design), len(design)))
    at = 0
    for cover in covers:
        noise[at : at + len(cover), at : at + len(cover)] = cover
        at += len(cover)
    joint = design @ prior @ design.T + noise
    expected = prior - prior @ design.T @ np.linalg.solve(joint, design @ prior)
    np.testing.assert_allclose(found, expected[:3, :3], rtol=1e-6, atol=1e-10)


def test_more_data_leave_less_open_and_no_data_leave_all() -> None:
    before = Beliefs(np.array([0.4, 0.4, 0.5]), 0.1 * np.eye(3))
    one = told_about_shared(random_sitting(np.random.default_rng(1)), OWN)
    none, some, much = (promise(before, times * one, SHARED) for times in (1e-9, 1.0, 100.0))
    assert none.told == pytest.approx(0.0, abs=0.02)
    assert none.after > some.after > much.after
    assert none.lost_after > some.lost_after > much.lost_after
    # Three alike but for one, independent: the entropy by plain counting of a million draws.
    draws = before.mean + np.sqrt(0.1) * np.random.default_rng(2).normal(size=(1_000_000, 3))
    chance = np.bincount(draws.argmax(axis=1)) / len(draws)
    assert none.before == pytest.approx(float(-np.sum(chance * np.log2(chance))), abs=0.02)
    assert none.lost_before == pytest.approx(float(draws.max(axis=1).mean() - draws[:, 2].mean()), abs=0.02)


def club_information(golfers: int, weeks: int, tests_every: int, seed: int = 3) -> FLOATS:
    """Members with one round a week, stats on half, 2.6 hours, one category at a time on 80 % of them."""
    rng, hours = np.random.default_rng(seed), 2.6
    entrants = [Entrant(f"G{n:03d}", rng.normal(16.0, 6.0), hours, SIX) for n in range(golfers)]
    lot = draw_lot(entrants, seed)
    keep = 2.0 ** (-7.0 / np.array([BY_NAME[name].half_life_days for name in SIX]))
    gap = SERVES @ (SHARE * SPEC.reference_level - SPEC.floor)
    ends = np.round(np.arange(1, 7) * weeks / 6)
    total = np.zeros((9, 9))
    for member, one in enumerate(entrants):
        level = max(one.index, 2.0)
        habit = rng.dirichlet(np.full(6, 3.0)) * hours
        full = habit / (1.0 - keep) * keep
        held, stock, left = 0.5 * full, [], []
        for week in range(weeks):
            place = SIX.index(lot.names[lot.orders[member, int(np.sum(week >= ends))]])
            practised = np.where(np.arange(6) == place, 0.8 * hours, 0.2 * hours / 5)
            stock.append(held)
            left.append(full * keep**week)
            held = (held + practised) * keep
        at_work = np.array(stock)
        slope = SERVES * (level * SHARE - SPEC.floor)[None, :] / gap[:, None]
        turn = np.array(left) * bend_slope(at_work, SPEC.bend_hours) / 20.0
        fading = SPEC.priors.start_share_spread * np.einsum("tj,jk->tk", 0.35 * (turn - turn[0]), slope)
        noise = SPEC.priors.noise_base + SPEC.priors.noise_slope * level
        loads, cover = with_statistics(asdict(Priors()), SHARE, noise)
        each = 0.5 * np.ones((4, 4)) / noise**2 + 0.5 * loads.T @ np.linalg.solve(cover, loads)
        if tests_every:
            each = each + np.eye(4) / TEST_ERROR**2 / tests_every
        exposure = (bent(at_work, SPEC.bend_hours) - bent(at_work[0], SPEC.bend_hours)) / 20.0
        days = 20000.0 + 7.0 * np.arange(weeks) + 3.5
        sitting = Sitting(days, exposure, slope, fading, np.tile(each, (weeks, 1, 1)))
        total += told_about_shared(sitting, OWN)
    return total


TEST_ERROR = 1.2
"""Error of a test that agrees with the earlier reckoning below; shipped tests have their own."""
DRAWN = 12
"""Golfers drawn; what they tell counts for as many as asked, because it adds up."""
EARLIER = {
    (60, 52, 0): (0.26, 0.56),
    (60, 52, 2): (0.14, 0.33),
    (60, 52, 1): (0.13, 0.28),
    (60, 26, 1): (0.29, 0.56),
    (30, 52, 1): (0.20, 0.40),
}
"""Least and largest error of a gain, strokes per 20 hours, by golfers, weeks, weeks between tests (0: scores
alone): an exact linear-Gaussian reckoning made for the design of this project by another program, with
unknown level, drift by area, slow form, start stock, trend and season, and returns that bend at 50 hours."""


def test_errors_of_gains_are_those_of_an_earlier_reckoning() -> None:
    """Habits and the error of a test were drawn otherwise there, so a third either way is agreement."""
    before = Beliefs(np.full(6, 0.42), 0.35**2 * np.eye(6))
    for (golfers, weeks, every), (least, most) in EARLIER.items():
        told = club_information(DRAWN, weeks, every) * golfers / DRAWN
        found = promise(before, told, SHARED).error
        middle, expected = np.sqrt(min(found) * max(found)), np.sqrt(least * most)
        assert middle == pytest.approx(expected, rel=0.34)


def test_a_season_has_one_test_an_area_and_twice_as_often_tells_twice_as_much() -> None:
    tests = season_tests()
    assert [task.area for task in tests] == list(AREAS)
    np.testing.assert_allclose(routine_information(1), 2.0 * routine_information(2))
    assert (routine_information(1) < 1.0 / TEST_ERROR**2 * 1.5).all()
