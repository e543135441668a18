"""Expectations become priors: figures by simulation, round trips, and one clear line for every fault."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pymc as pm
import pytest

from paryield.errors import InputError
from paryield.model.design import Observations
from paryield.model.expectations import (
    READY,
    GainPrior,
    common_width,
    elicit,
    expected_priors,
    gain_priors,
    gap,
    mean_differential_at,
    read_expectations,
    stated_for,
)
from paryield.model.spec import ModelSpec, Priors
from paryield.model.terms.practice import gains as declared
from paryield.plan.evidence import gain_prior, prior_gains
from paryield.tables.categories import BY_NAME, SHIPPED

STATED = [(0.002, 0.1, 0.4), (0.05, 0.6, 2.5), (0.2, 0.4, 0.7), (0.01, 1.0, 1.3)]


@pytest.mark.parametrize("stated", STATED)
def test_elicited_prior_holds_what_was_stated(stated: tuple[float, float, float]) -> None:
    """Second route: 400,000 draws of the product of two softplus factors, written here once more."""
    prior = elicit(*stated, common_width([stated]))
    rng = np.random.default_rng(1)
    zero = np.log(np.e - 1.0)
    draws = prior.scale * np.log1p(np.exp(zero + prior.common * rng.normal(size=400_000)))
    draws *= np.log1p(np.exp(zero + prior.own * rng.normal(size=400_000)))
    assert np.median(draws) == pytest.approx(stated[1], rel=0.015)
    assert np.mean((draws > stated[0]) & (draws < stated[2])) == pytest.approx(0.8, abs=0.004)


@pytest.mark.parametrize("chance", [0.03, 0.1, 0.5, 0.9, 0.99])
def test_quantiles_undo_chances_and_agree_with_draws(chance: float) -> None:
    prior = GainPrior(0.35, 1.5, 1.0)
    value = prior.quantile(chance)
    assert prior.below(value) == pytest.approx(chance, abs=1e-8)
    draws = prior_gains(0.35, 1.5, 1.0)
    assert np.mean(draws <= value) == pytest.approx(
        chance, abs=4 * np.sqrt(chance * (1 - chance) / len(draws))
    )


def test_nothing_lies_below_nothing() -> None:
    assert GainPrior(0.35, 1.5, 1.0).below(0.0) == 0.0


def test_the_usual_set_is_what_a_fit_assumes_anyway() -> None:
    found = expected_priors(read_expectations("usual", SHIPPED), SHIPPED)
    plain = Priors()
    for category in SHIPPED:
        median, own = found.gain_of(category.name)
        assert median == pytest.approx(plain.gain_median, rel=0.01)
        assert own == pytest.approx(plain.gain_category_width, rel=0.01)
    assert found.gain_common_width == pytest.approx(plain.gain_common_width, rel=0.01)


def test_ready_sets_are_in_order() -> None:
    likely = [
        gain_priors(read_expectations(name, SHIPPED), SHIPPED, ModelSpec())["chipping"] for name in READY
    ]
    medians = [prior.quantile(0.5) for prior in likely]
    assert medians == sorted(medians)


def test_the_model_samples_the_priors_that_were_elicited(tmp_path: Path, design: Observations) -> None:
    file = tmp_path / "mine.toml"
    names = [category.name for category in design.categories if category.name != "phantom"]
    file.write_text(
        f'[[expectation]]\ncategory = "{names[0]}"\nlow = 0.4\nlikely = 0.8\nhigh = 1.4\n'
        f'[[expectation]]\ncategory = "{names[1]}"\nlow = 0.02\nlikely = 0.1\nhigh = 0.5\n'
    )
    priors = expected_priors(read_expectations(file, SHIPPED), SHIPPED)
    with pm.Model(coords={"category": [category.name for category in design.categories]}):
        gains = declared([one.name for one in design.categories], priors)
    drawn = pm.draw(gains, draws=20_000, random_seed=1)
    np.testing.assert_allclose(np.quantile(drawn[:, 0], 0.5), 0.8, rtol=0.03)
    np.testing.assert_allclose(np.quantile(drawn[:, 1], 0.5), 0.1, rtol=0.04)
    assert np.mean((drawn[:, 0] > 0.4) & (drawn[:, 0] < 1.4)) == pytest.approx(0.8, abs=0.015)
    stored = ModelSpec(priors=priors).to_dict()["priors"]
    again = prior_gains(*gain_prior(stored, names[0]))  # type: ignore[arg-type]
    np.testing.assert_allclose(
        np.quantile(again, [0.1, 0.9]), np.quantile(drawn[:, 0], [0.1, 0.9]), rtol=0.05
    )


def test_a_band_is_carried_to_the_reference_golfer_by_what_is_left_to_gain(tmp_path: Path) -> None:
    """By hand: gap in putting = 3/19 of the mean differential + 1.25; index 5 stands for 7.6 strokes."""
    file = tmp_path / "band.toml"
    file.write_text(
        '[[expectation]]\ncategory = "short_putting"\nindex_from = 0\nindex_to = 10\n'
        "low = 0.1\nlikely = 0.2\nhigh = 0.4\n"
    )
    found = stated_for(read_expectations(file, SHIPPED), BY_NAME["short_putting"], ModelSpec())
    factor = (3 / 19 * 18.0 + 1.25) / (3 / 19 * 7.6 + 1.25)
    assert mean_differential_at(5.0) == pytest.approx(7.6)
    assert found == pytest.approx((0.1 * factor, 0.2 * factor, 0.4 * factor))
    assert gap(18.0, BY_NAME["short_putting"], ModelSpec()) == pytest.approx(3 / 19 * 18.0 + 1.25)
    assert stated_for(read_expectations(file, SHIPPED), BY_NAME["chipping"], ModelSpec()) is None


GOOD = 'category = "chipping"\nlow = 0.1\nlikely = 0.2\nhigh = 0.4\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no expectation"),
        ("expectation = 3", "no expectation"),
        ("[[expectation]\n", "TOML"),
        ("[[expectation]]\n" + GOOD.replace("chipping", "chiping"), "no practice category 'chiping'"),
        ("[[expectation]]\n" + GOOD.replace("high = 0.4", "high = 0.15"), "high 0.15"),
        ("[[expectation]]\n" + GOOD.replace("high = 0.4", 'high = "much"'), "high is 'much'"),
        ("[[expectation]]\n" + GOOD.replace("high = 0.4", "high = nan"), "high is nan"),
        ("[[expectation]]\n" + GOOD.replace("high = 0.4", "high = 40"), "high 40"),
        ("[[expectation]]\n" + GOOD.replace("low = 0.1\n", ""), "low is missing"),
        ("[[expectation]]\n" + GOOD.replace("low", "lo"), "no 'lo'"),
        ("[[expectation]]\n" + GOOD + "index_from = 20\nindex_to = 10", "index 20 to 10"),
        ("[[expectation]]\n" + GOOD + "[[expectation]]\n" + GOOD, "stands twice"),
    ],
)
def test_faults_are_named_with_a_remedy(text: str, said: str, tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(text)
    with pytest.raises(InputError) as caught:
        read_expectations(file, SHIPPED)
    assert said in caught.value.line()
    assert caught.value.remedy
    assert caught.value.where.startswith(str(file))


def test_a_missing_file_names_the_ready_sets(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read") as caught:
        read_expectations(tmp_path / "none.toml", SHIPPED)
    assert "cautious" in caught.value.remedy
