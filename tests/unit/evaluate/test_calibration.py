"""The machinery of calibration on closed forms: even ranks pass, wrong ones are caught."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from paryield.evaluate.calibration import FAULTS, faulty, rank_of, replicate, uniformity
from paryield.evaluate.verify import Size, Verification, _calibrated, _null, _recovered, raw_slopes, verify
from paryield.report.verification import verify_lines, verify_page
from paryield.synth import ClubSpec, make_club


def normal_ranks(replicates: int, spread: float, seed: int) -> pd.DataFrame:
    """Conjugate normal: mu ~ N(0, 1), y ~ N(mu, 1), mu given y is N(y / 2, 1 / 2); ``spread`` widens it."""
    rng = np.random.default_rng(seed)
    truth = rng.normal(size=replicates)
    seen = truth + rng.normal(size=replicates)
    rows = []
    for mu, y in zip(truth, seen, strict=True):
        draws = y / 2 + spread * np.sqrt(0.5) * rng.normal(size=100)
        rows.append({"quantity": "mu", "element": "", "rank": rank_of(draws, mu, rng)})
    return pd.DataFrame(rows)


def test_an_exact_posterior_ranks_evenly() -> None:
    """40 runs at 19 in 20: more than 6 outside would have a chance of 1 in 300."""
    outside = [uniformity(normal_ranks(60, 1.0, seed))[0]["outside"] for seed in range(40)]
    assert sum(outside) <= 6


@pytest.mark.parametrize("spread", [0.6, 1.8])
def test_a_posterior_too_narrow_or_too_wide_is_caught(spread: float) -> None:
    outside = [uniformity(normal_ranks(200, spread, seed))[0]["outside"] for seed in range(5)]
    assert all(outside)


def test_a_rank_is_the_share_below() -> None:
    rng = np.random.default_rng(1)
    draws = np.arange(500.0)
    assert 0.5 < rank_of(draws, 250.0 + 1.0, rng) < 0.53
    assert rank_of(draws, -1.0, rng) < 1 / 101
    assert rank_of(draws, 501.0, rng) > 100 / 101


def test_faults_change_what_they_say_and_nothing_else() -> None:
    drawn = {"noise_scale": np.float64(2.0), "rate_area": np.ones((1, 4)), "trend": np.float64(0.1)}
    assert faulty(drawn, "luck")["noise_scale"] == 3.0
    assert faulty(drawn, "gain")["rate_area"][0, 0] == 2.0
    assert faulty(drawn, "none") is drawn
    assert set(FAULTS) == {"none", "luck", "gain"}


def test_the_raw_association_has_the_wrong_sign_where_people_practise_what_is_weak() -> None:
    """Scores written so that practice follows bad rounds: the plain slope says that practice harms."""
    club = make_club(ClubSpec(golfers=30, weeks=60, seed=9, case="weak"))
    truth = np.mean([club.truth.population_gain(name) for name in club.spec.categories])
    raw = np.mean(list(raw_slopes(club.tables).values()))
    assert truth > 0
    assert raw < 0.5 * truth


def recovery(case: str, ours: float, covered: list[bool], **more: float) -> pd.DataFrame:
    rows = [
        {"case": case, "effect": 1.0, "seed": seed, "category": f"c{place}", "truth": 1.0, "ours": ours}
        | {"low": 0.5, "high": 1.5, "raw": -0.5, "covered": hit, "stand_out": 0.0, "claimed": 0.05}
        | {"population_low": 0.01}
        | more
        for seed in range(4)
        for place, hit in enumerate(covered)
    ]
    return pd.DataFrame(rows)


def test_checks_say_what_holds_and_what_does_not() -> None:
    good = _recovered(recovery("weak", 1.1, [True] * 4 + [False]))
    assert [check["ok"] for check in good] == [True, True]
    assert "raw association -0.50" in good[1]["found"]
    bad = _recovered(recovery("weak", 1.6, [False] * 5))
    assert [check["ok"] for check in bad] == [False, False]
    assert all(check["ok"] for check in _null(recovery("null", 0.0, [True])))
    loud = _null(recovery("null", 0.0, [True], stand_out=0.5, claimed=0.4, population_low=0.3))
    assert not any(check["ok"] for check in loud)
    fine = {"quantity": "gain", "element": "a", "outside": False}
    caught = {"quantity": "noise_scale", "element": "", "outside": True}
    assert [one["ok"] for one in _calibrated([fine], [caught])] == [True, True]
    assert [one["ok"] for one in _calibrated([caught], [fine])] == [False, False]


def test_the_page_shows_every_check_and_panel() -> None:
    ranks = uniformity(normal_ranks(30, 1.0, 3))
    checks = _calibrated(ranks, ranks)
    found = Verification(checks, ranks, ranks, recovery("steady", 1.0, [True]), 61.0)
    page = verify_page(found)
    for check in checks:
        assert check["check"] in page
    assert page.count("<svg") == 2
    assert "does not hold" in "\n".join(verify_lines(found))
    assert set(found.to_dict()) == {"ok", "seconds", "checks", "calibration", "recovery", "machine"}


@pytest.mark.slow
def test_one_replicate_ranks_everything_and_too_much_luck_shows_at_once() -> None:
    """Rounds with 1.5 times the luck that the truth says: nearly every draw finds a larger spread."""
    table = replicate(3, "luck")
    named = {"gain", "log_half_life", "sd_level", "level of a golfer", "return of a golfer", "noise_scale"}
    assert named <= set(table["quantity"])
    assert table["rank"].between(0, 1).all()
    assert float(table.loc[table["quantity"] == "noise_scale", "rank"].iloc[0]) < 0.1


def test_what_was_not_asked_for_is_not_checked() -> None:
    """A size without clubs, faults or replicates answers at once and claims nothing."""
    found = verify(size=Size(0, 0, (), 0, 0, 0))
    assert found.checks == found.calibration == found.faulty == []
    assert found.recovery.empty
    assert not found.ok
