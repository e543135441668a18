"""Balls measured in a bay: their spread by other routes, shanks, and slopes by the baseline."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, stats

from paryield.rounds import coach_tests, strikes
from paryield.rounds.references import strokes_to_hole_out
from paryield.synth import ClubSpec, make_club
from paryield.tables import make_tables

DF = strikes.TAIL_DF
MIDDLE, WIDE = float(np.log(0.085)), 0.6


def cloud(balls: int, scale: float, seed: int) -> np.ndarray:
    shape = np.eye(2) * scale**2
    return np.asarray(stats.multivariate_t([0.0, 0.0], shape, DF, seed=seed).rvs(balls))


def about_target(relative: np.ndarray, target: float = 140.0) -> strikes.Scatter:
    aims = np.full(len(relative), target)
    carry, side = target * (1.0 + relative[:, 0]), target * relative[:, 1]
    return strikes.scatter_about_target(carry, side, aims, MIDDLE, WIDE)


@pytest.mark.parametrize("scale", [0.05, 0.2])
def test_the_density_is_that_of_another_library(scale: float):
    points = cloud(7, 0.1, 3)
    theirs = stats.multivariate_t([0.0, 0.0], np.eye(2) * scale**2, DF).logpdf(points).sum()
    ours = strikes.log_density_about(points, np.array([np.log(scale)]))[0]
    assert ours == pytest.approx(theirs, abs=1e-9)


def test_the_own_middle_is_integrated_out():
    values = np.array([-4.0, 1.0, 2.5, 3.0, 5.5, 9.0])
    for scale in (2.0, 5.0):
        ours = strikes.log_density_own(values, np.array([np.log(scale)]))[0]
        brute = integrate.quad(
            lambda m, scale=scale: np.exp(stats.t(DF, m, scale).logpdf(values).sum()), -60, 60, limit=300
        )[0]
        assert ours == pytest.approx(np.log(brute), abs=0.02)


def test_value_and_error_give_the_exact_posterior_by_brute_force():
    """Quadrature of prior times likelihood by scipy's own density, against the normal measurement."""
    relative = cloud(12, 0.11, 8)
    found = about_target(relative)

    def height(log_scale: float) -> float:
        own = stats.multivariate_t([0.0, 0.0], np.eye(2) * np.exp(2 * log_scale), DF).logpdf(relative).sum()
        return float(np.exp(own + stats.norm(MIDDLE, WIDE).logpdf(log_scale)))

    grid = np.linspace(MIDDLE - 1.6, MIDDLE + 1.8, 1201)
    weights = np.array([height(one) for one in grid])
    weights /= weights.sum()
    mean = float(grid @ weights)
    sd = float(np.sqrt(((grid - mean) ** 2) @ weights))
    precision = 1.0 / WIDE**2 + 1.0 / found.error_sd**2
    ours = (MIDDLE / WIDE**2 + found.log_scale / found.error_sd**2) / precision
    assert ours == pytest.approx(mean, abs=0.004)
    assert precision**-0.5 == pytest.approx(sd, rel=0.02)


@pytest.mark.parametrize(("balls", "dims"), [(8, 1), (12, 2)])
def test_the_expected_error_is_what_many_sets_show(balls: int, dims: int):
    rng = np.random.default_rng(17)
    errors = []
    for _ in range(150):
        relative = 0.085 * stats.t(DF).rvs((balls, 1), random_state=rng)
        if dims == 2:
            relative = 0.085 * stats.multivariate_t([0, 0], np.eye(2), DF).rvs(balls, random_state=rng)
        points = MIDDLE + strikes.LOG_POINTS
        logs = strikes.log_density_about(np.asarray(relative).reshape(balls, dims), points)
        _, error = strikes.as_normal(points, logs[:, None], MIDDLE, WIDE)
        errors.append(error[0] ** -2)
    told = float(np.mean(errors)) ** -0.5
    assert told == pytest.approx(strikes.expected_error(balls, dims), rel=0.08)


def test_normal_balls_tell_as_the_closed_form_says(monkeypatch: pytest.MonkeyPatch):
    """With endless degrees of freedom the error of a log spread is 1 / sqrt(2 n p), any textbook's."""
    monkeypatch.setattr(strikes, "TAIL_DF", 1e9)
    assert strikes.expected_error(12, 2) == pytest.approx(1.0 / np.sqrt(48.0), rel=1e-6)


def test_errors_stated_are_errors_made():
    rng = np.random.default_rng(4)
    misses = []
    for seed in range(200):
        found = about_target(cloud(12, 0.085 * np.exp(0.2 * rng.normal()), 1000 + seed))
        misses.append((found.log_scale, found.error_sd))
    values, errors = np.array(misses).T
    # The spread of the truths (0.2) and of the measurements add up.
    assert np.std(values) == pytest.approx(np.hypot(0.2, np.sqrt(np.mean(errors**2))), rel=0.12)
    assert values.mean() == pytest.approx(MIDDLE, abs=0.06)


def test_a_shank_is_not_a_spread():
    calm = np.array([[s * 0.05, t * 0.05] for s in (-1.0, 0.0, 1.0) for t in (-1.0, 0.2, 1.0)])
    shanked = np.vstack([calm, [[-0.7, 0.6]]])
    before, after = about_target(calm), about_target(shanked)
    by_squares = 0.5 * np.log((shanked**2).mean() / (calm**2).mean())
    assert after.log_scale - before.log_scale < 0.3
    assert by_squares > 1.2
    assert after.balls == 10


def test_a_curve_that_always_comes_is_no_spread_of_drives():
    carry = np.full(8, 220.0)
    straight = np.array([-20.0, -12.0, -5.0, -1.0, 3.0, 8.0, 14.0, 22.0])
    middle = float(np.log(5.2))
    plain = strikes.scatter_of_direction(carry, straight, middle, 0.5)
    slice_ = strikes.scatter_of_direction(carry, straight + 25.0, middle, 0.5)
    assert slice_.log_scale == pytest.approx(plain.log_scale, abs=0.05)


def test_the_middle_carry_is_that_of_a_t_fit():
    rng = np.random.default_rng(2)
    carry = 215.0 + 9.0 * stats.t(DF).rvs(400, random_state=rng)
    _, loc, scale = stats.t.fit(carry, f0=DF)
    middle, error = strikes.middle_carry(carry)
    assert middle == pytest.approx(loc, abs=0.02)
    assert error == pytest.approx(scale * np.sqrt((DF + 3) / (DF + 1) / 400), rel=0.02)
    topped = np.append(carry[:11], 40.0)
    assert abs(strikes.middle_carry(topped)[0] - strikes.middle_carry(carry[:11])[0]) < 4.0


def lost_by(kind: str, scales: np.ndarray) -> np.ndarray:
    """Strokes a round by spread, from the baseline and the course assumed in the module."""
    rng = np.random.default_rng(0)
    z = np.asarray(stats.multivariate_t([0.0, 0.0], np.eye(2), DF).rvs(20_000, random_state=rng))
    found = []
    for scale in scales:
        if kind == "tee":
            off = np.abs(220.0 * np.tan(np.radians(np.clip(z[:, 0] * scale, -80, 80))))
            lie = np.where(off < 16, "fairway", np.where(off < 32, "rough", "recovery"))
            after = strokes_to_hole_out(lie, np.full(len(off), 170.0)).mean() + 0.5 * (off > 45).mean()
            found.append(14 * after)
            continue
        target, green, shots = (150.0, 14.0, 18) if kind == "approach" else (45.0, 12.0, 7)
        away = np.maximum(np.hypot(*z.T) * scale * target, 0.3)
        found.append(shots * strokes_to_hole_out(np.where(away < green, "green", "rough"), away).mean())
    return np.array(found)


@pytest.mark.parametrize(
    ("kind", "low", "high"), [("approach", 0.09, 0.14), ("pitch", 0.2, 0.4), ("tee", 0.13, 0.3)]
)
def test_slopes_are_those_of_the_baseline(kind: str, low: float, high: float):
    """Baseline: Broadie 2012 (from memory); the course is assumed in the module."""
    logs = np.log(strikes.SPREAD[kind]) + np.linspace(-0.4, 0.4, 5)
    slope = 1.0 / np.polyfit(logs, lost_by(kind, np.exp(logs)), 1)[0]
    assert low < slope < high
    assert 0.6 * slope < strikes.LOG_PER_STROKE[kind] < 1.25 * slope


def one_golfer(kind: str, balls: int, target: float | None = None, unit: str = "yd") -> pd.DataFrame:
    rng = np.random.default_rng(balls)
    length = target or 210.0
    frame = pd.DataFrame(
        {"golfer_id": "G1", "struck_on": pd.Timestamp("2026-05-01"), "kind": kind}, range(balls)
    )
    frame["strike_no"] = np.arange(balls) + 1
    frame["target"] = np.nan if target is None else target
    frame["carry"] = length * (1 + 0.08 * rng.normal(size=balls))
    frame["side"] = length * 0.08 * rng.normal(size=balls)
    return frame.assign(unit=unit)


def measured(*frames: pd.DataFrame) -> pd.DataFrame:
    strikes_table = pd.concat(frames, ignore_index=True)
    strikes_table["strike_no"] = np.arange(len(strikes_table)) + 1
    golfers = pd.DataFrame({"golfer_id": ["G1"]})
    return coach_tests.test_measurements(make_tables({"golfers": golfers, "strikes": strikes_table}), {})


def test_each_kind_and_distance_is_a_task_of_its_own():
    found = measured(
        one_golfer("approach", 6, 100.0),
        one_golfer("approach", 5, 150.0),
        one_golfer("pitch", 8, 40.0),
        one_golfer("tee", 7),
    )
    told = found.set_index("test")
    assert set(told.index) == {
        "approach 80 to 130 yd",
        "approach 130 to 180 yd",
        "pitch balls",
        "drives",
        "carry of drives",
    }
    assert told.loc["drives", "area"] == "off_the_tee"
    assert told.loc["pitch balls", "area"] == "short_game"
    assert told.loc["approach 80 to 130 yd", ["kind", "scale"]].tolist() == ["approach", "log"]
    assert told.loc["carry of drives", "scale"] == "m"
    assert told.loc["carry of drives", "value"] == pytest.approx(210 * 0.9144, rel=0.08)
    assert (found["error_sd"] > 0).all()


def test_metres_and_yards_say_the_same():
    yards, metres = one_golfer("approach", 9, 150.0), one_golfer("approach", 9, 150.0)
    metres[["target", "carry", "side"]] *= 0.9144
    same = measured(yards)["value"].to_numpy() - measured(metres.assign(unit="m"))["value"].to_numpy()
    assert np.allclose(same, 0.0, atol=1e-9)


def test_too_few_balls_are_left_out_and_named():
    balls = one_golfer("approach", 3, 100.0)
    tables = make_tables({"golfers": pd.DataFrame({"golfer_id": ["G1"]}), "strikes": balls})
    assert coach_tests.test_measurements(tables, {}).empty
    assert strikes.sets_left_out(tables)["balls"].tolist() == [3]


def test_golfers_who_lose_more_scatter_more_in_a_made_up_club():
    """The club's spreads are straight lines with bad shots of their own, not the estimator's form."""
    club = make_club(ClubSpec(golfers=40, weeks=40, seed=11, strikes=True, future_weeks=1))
    found = coach_tests.test_measurements(club.tables, {})
    lost = {
        golfer: club.truth.areas(golfer, club.spec.ends_on - timedelta(days=1)) for golfer in club.truth.ids
    }
    for kind, place in (("approach", 1), ("tee", 0)):
        mine = found[found["kind"] == kind]
        by = mine.groupby("golfer_id")["value"].mean()
        truth = np.array([lost[golfer][place] for golfer in by.index])
        assert np.corrcoef(truth, by)[0, 1] > 0.6
        slope = np.polyfit(truth - coach_tests.FALLBACK[strikes.AREA[kind]][0], by, 1)[0]
        assert 0.4 < slope / strikes.LOG_PER_STROKE[kind] < 2.0
