"""What the whole way is made of: scores that say what was drawn, golfers of their own, a truth living on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from paryield.evaluate.calibration import rank_of
from paryield.evaluate.whole_way import (
    CLUB,
    SPEC,
    fits_a_card,
    replicate_whole,
    with_own_values,
    without_season,
    written_down,
)
from paryield.model.design import Observations, build_observations
from paryield.model.golfers import natural_units
from paryield.model.simulate import draw_effects, draw_measurements, draw_population
from paryield.model.terms.term import Values
from paryield.synth import make_club
from paryield.tables import Tables

SMALL = replace(CLUB, golfers=3, weeks=20)


@pytest.fixture(scope="module")
def club() -> tuple[Tables, Observations, Values]:
    tables = make_club(SMALL).tables
    data = build_observations(tables, SPEC)
    return tables, data, draw_population(data, SPEC, seed=2)


def test_scores_written_down_are_read_as_what_was_drawn(club: tuple[Tables, Observations, Values]) -> None:
    """To a tenth, golfer by golfer, and everything that is read off them is their own."""
    tables, data, p = club
    rng = np.random.default_rng(5)
    played = draw_measurements(p, data, draw_effects(p, data, rng), rng)
    again = build_observations(written_down(tables, played), SPEC)
    np.testing.assert_allclose(again.value["differential"], played.value["differential"], atol=0.0501)
    np.testing.assert_array_equal(again.days, data.days)
    assert not np.allclose(again.noise_guess, data.noise_guess)
    assert fits_a_card(played)
    far = {**played.value, "differential": played.value["differential"] - 90.0}
    assert not fits_a_card(replace(played, value=far))
    with pytest.raises(ValueError, match="every round"):
        written_down(replace(tables, rounds=tables.rounds.iloc[1:]), played)


def test_golfers_have_spreads_and_gaps_of_their_own(club: tuple[Tables, Observations, Values]) -> None:
    """Spreads lie about the published line by a fifth; gaps are those of the levels drawn."""
    _, data, p = club
    rng = np.random.default_rng(6)
    found = []
    for _ in range(300):
        effects = draw_effects(p, data, rng)
        own = with_own_values(p, data, effects, SPEC, rng)
        level = natural_units(p, data, effects)["level"]
        np.testing.assert_allclose(own.gap_guess, level - SPEC.floor)
        line = 2.6 + 0.043 * np.maximum(level.sum(axis=1) - 3.0, -3.0)
        found.append(np.log(own.noise_guess * float(p["noise_scale"]) / line))
    assert np.std(found) == pytest.approx(SPEC.priors.noise_golfer_log, rel=0.1)
    assert abs(np.mean(found)) < 0.03


def test_without_a_season_the_rest_stays(club: tuple[Tables, Observations, Values]) -> None:
    p = club[2]
    bare = without_season(p)
    assert float(bare["season_cos"]) == float(bare["season_sin2"]) == 0.0
    assert {name for name in p if not np.array_equal(p[name], bare[name])} <= {
        "season_cos",
        "season_sin",
        "season_cos2",
        "season_sin2",
    }


def test_a_rank_among_equals_is_even() -> None:
    """Truth and draws are one of two values with the same chance: an index that often stays where it is."""
    rng = np.random.default_rng(7)
    found = [
        rank_of(rng.integers(0, 2, 100).astype(float), float(rng.integers(0, 2)), rng) for _ in range(4000)
    ]
    counts = np.histogram(found, bins=10, range=(0.0, 1.0))[0]
    assert (np.abs(counts - 400) < 90).all()


@pytest.mark.slow
def test_one_replicate_ranks_what_a_coach_is_shown() -> None:
    table = replicate_whole(900_001)
    named = {"spread of a round", "level", "mean in 12 weeks", "index in 26 weeks", "gain of the best week"}
    assert named <= set(table["quantity"])
    assert table["rank"].between(0, 1).all()
    assert set(table["verdict"].dropna()) <= {"change", "try", "keep"}
