"""Bayes' rule for putts, by second routes, and the laws of the geometry."""

import numpy as np
import pytest
from scipy import integrate, stats

from paryield.errors import InputError
from paryield.rounds import SpreadPrior, fit_putting, log_likelihood, make_probability, putting_strokes_lost
from paryield.rounds.putting import Putts
from paryield.rounds.putting_fit import angle_estimate

LADDER = [3.0, 6.0, 9.0, 12.0]


def by_quadrature(tried, made, prior, value):
    """Return the posterior mean of ``value(degrees)``: prior times binomial, integrated in degrees."""
    beforehand = stats.lognorm(prior.angle_log_sd, scale=prior.angle_degrees)

    def weight(degrees: float) -> float:
        reach = np.degrees(np.arcsin((4.25 - 1.68) / 2 / 12 / np.array(LADDER)))
        chance = stats.norm.cdf(reach, 0, degrees) - stats.norm.cdf(-reach, 0, degrees)
        return float(beforehand.pdf(degrees) * np.prod(stats.binom.pmf(made, tried, chance)))

    options = {"limit": 500, "epsabs": 0, "epsrel": 1e-9}
    whole = integrate.quad(weight, 0.05, 80, points=(0.5, 1, 2, 4, 8), **options)[0]
    return (
        integrate.quad(
            lambda each: weight(each) * value(each), 0.05, 80, points=(0.5, 1, 2, 4, 8), **options
        )[0]
        / whole
    )


@pytest.mark.parametrize("made", [[8, 5, 3, 1], [10, 10, 10, 10], [0, 0, 0, 0], [9, 4, 4, 2]])
def test_a_ladder_of_forty_putts_moves_the_estimate_by_bayes_rule(made):
    """Second route: adaptive quadrature in degrees with the distributions of another library."""
    tried, prior = [10] * 4, SpreadPrior()
    found = fit_putting(LADDER, tried, made).to_dict()["sigma_angle_degrees"]
    assert found["mean"] == pytest.approx(by_quadrature(tried, made, prior, lambda each: each), rel=1e-5)
    for name, level in (("q10", 0.1), ("q50", 0.5), ("q90", 0.9)):
        below = by_quadrature(tried, made, prior, lambda each, edge=found[name]: float(each < edge))
        assert below == pytest.approx(level, abs=2e-4)


def test_two_ladders_at_once_are_one_after_the_other():
    """Bayes' rule does not mind the order: counts add."""
    apart = fit_putting(LADDER * 2, [10] * 8, [8, 5, 3, 1, 9, 6, 2, 2]).to_dict()
    together = fit_putting(LADDER, [20] * 4, [17, 11, 5, 3]).to_dict()
    assert apart["sigma_angle_degrees"]["q50"] == pytest.approx(together["sigma_angle_degrees"]["q50"])


def test_more_putts_narrow_the_interval_and_outvote_the_prior():
    widths = []
    for times in (1, 4, 16, 256):
        counts = [10 * times] * 4, [8 * times, 5 * times, 3 * times, times]
        angle = fit_putting(LADDER, *counts).to_dict()["sigma_angle_degrees"]
        widths.append(angle["q90"] - angle["q10"])
        most_likely = np.degrees(angle_estimate(Putts(LADDER, *counts)).values["sigma_angle"])
    assert np.all(np.diff(widths) < 0)
    assert widths[0] / widths[2] == pytest.approx(4, rel=0.2)
    assert angle["q50"] == pytest.approx(most_likely, rel=0.003)


def test_a_known_golfer_is_recovered():
    """400 made-up golfers of the prior with a ladder of 40: 80 % intervals cover 80 % (4 standard errors)."""
    random = np.random.default_rng(3)
    prior, inside = SpreadPrior(), 0
    for _ in range(400):
        degrees = prior.angle_degrees * np.exp(prior.angle_log_sd * random.standard_normal())
        chance = make_probability(np.array(LADDER), np.radians(degrees))
        angle = fit_putting(LADDER, [10] * 4, random.binomial(10, chance)).to_dict()["sigma_angle_degrees"]
        inside += angle["q10"] < degrees < angle["q90"]
    assert inside / 400 == pytest.approx(0.8, abs=0.08)


def test_spread_in_distance_needs_long_putts():
    near = fit_putting([3, 6, 12, 20], [50] * 4, [46, 30, 15, 8])
    few = fit_putting([3, 6, 12, 30], [50, 50, 50, 2], [46, 30, 15, 0])
    assert near.sigma_distance is None
    assert few.sigma_distance is None
    feet = np.array([2.0, 4, 6, 10, 15, 25, 35, 50])
    tried = np.full(8, 300)
    made = np.round(tried * make_probability(feet, np.radians(1.2), 0.1))
    both = fit_putting(feet, tried, made).to_dict()
    assert both["sigma_angle_degrees"]["q05"] < 1.2 < both["sigma_angle_degrees"]["q95"]
    assert both["sigma_distance"]["q05"] < 0.1 < both["sigma_distance"]["q95"]
    assert both["sigma_distance"]["q50"] == pytest.approx(0.1, rel=0.1)


def test_both_spreads_by_a_second_grid():
    """Second route: a plain rectangular grid over both spreads with another library's binomial."""
    feet, tried, made = np.array([3.0, 8, 25, 40]), np.array([40, 40, 40, 40]), np.array([36, 17, 4, 1])
    prior = SpreadPrior()
    degrees, share = np.linspace(0.3, 4, 400)[:, None, None], np.linspace(0.01, 0.6, 400)[None, :, None]
    aim = 2 * stats.norm.cdf(np.arcsin((4.25 - 1.68) / 24 / feet) / np.radians(degrees)) - 1
    sd = (feet + 1) * share
    roll = stats.norm.cdf(2 / sd) - stats.norm.cdf(-1 / sd)
    log = stats.binom.logpmf(made, tried, aim * roll).sum(axis=2)
    log += stats.lognorm.logpdf(degrees[..., 0], prior.angle_log_sd, scale=prior.angle_degrees)
    log += stats.lognorm.logpdf(share[..., 0], prior.distance_log_sd, scale=prior.distance_share)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    found = fit_putting(feet, tried, made, with_distance=True)
    assert found.summary(np.degrees(found.sigma_angle))["mean"] == pytest.approx(
        (weight * degrees[..., 0]).sum(), rel=2e-3
    )
    assert found.summary(found.sigma_distance)["mean"] == pytest.approx(
        (weight * share[..., 0]).sum(), rel=2e-3
    )


def test_the_record_has_the_shape_of_the_interface():
    record = fit_putting(LADDER, [10] * 4, [8, 5, 3, 1]).to_dict()
    assert set(record) == {"sigma_angle_degrees", "sigma_distance", "make_probability"}
    names = ["q025", "q05", "q10", "q20", "q25", "q50", "q75", "q80", "q90", "q95", "q975", "mean"]
    assert list(record["sigma_angle_degrees"]) == names
    for row in record["make_probability"]:
        assert list(row) == ["distance_ft", *names]
        assert 0 <= row["q025"] <= row["q50"] <= row["q975"] <= 1
    chances = [row["q50"] for row in record["make_probability"]]
    assert np.all(np.diff(chances) < 0)


def test_draws_agree_with_the_summary():
    skill = fit_putting(LADDER, [10] * 4, [8, 5, 3, 1])
    draws = np.degrees(skill.draws(20_000, seed=1)[:, 0])
    angle = skill.to_dict()["sigma_angle_degrees"]
    assert draws.mean() == pytest.approx(angle["mean"], abs=4 * draws.std() / np.sqrt(20_000))
    assert np.mean(draws < angle["q80"]) == pytest.approx(0.8, abs=0.015)
    assert np.array_equal(skill.draws(5, seed=1), skill.draws(5, seed=1))


def test_a_worse_ladder_costs_strokes():
    good = putting_strokes_lost(fit_putting(LADDER, [40] * 4, [38, 26, 17, 11]))
    bad = putting_strokes_lost(fit_putting(LADDER, [40] * 4, [28, 12, 6, 4]))
    for name in ("tour", "scratch", "ninety"):
        assert bad[name]["q50"] > good[name]["q50"] + 2
    assert bad["tour"]["q50"] > bad["scratch"]["q50"] > bad["ninety"]["q50"]


def test_the_formula_is_one_for_arrays_and_tensors():
    """The same functions on model tensors, with their own normal distribution and inverse sine."""
    import pytensor.tensor as pt

    def cdf(x):
        return 0.5 * pt.erfc(-x / np.sqrt(2.0))

    feet, tried, made = np.array([3.0, 9, 30]), np.array([20.0, 20, 20]), np.array([18.0, 7, 1])
    angle, share = pt.dscalar("angle"), pt.dscalar("share")
    rows = log_likelihood(feet, tried, made, angle, share, cdf=cdf, arcsin=pt.arcsin, log=pt.log)
    by_tensor = rows.eval({angle: 0.03, share: 0.1}, mode="FAST_COMPILE")
    assert by_tensor == pytest.approx(log_likelihood(feet, tried, made, 0.03, 0.1), rel=1e-10)
    chance = make_probability(feet, 0.03, 0.1)
    assert by_tensor == pytest.approx(made * np.log(chance) + (tried - made) * np.log1p(-chance), rel=1e-9)


def test_certain_putts_keep_a_finite_likelihood():
    rows = log_likelihood(np.array([0.2, 0.2]), 10.0, np.array([10.0, 9.0]), 0.001)
    assert rows[0] == pytest.approx(0, abs=1e-12)
    assert np.isfinite(rows[1])
    assert rows[1] < -500


@pytest.mark.parametrize(
    ("feet", "tried", "made", "words"),
    [
        ([3, 6], [10, 10], [8, 11], ("row 2", "made 11 is more than tried", "check made and tried")),
        ([3, 0], [10, 10], [8, 1], ("row 2", "distance_ft 0", "give feet, more than 0.107")),
        ([-3], [10], [8], ("row 1", "distance_ft -3", "give feet")),
        ([3], [10.5], [8], ("row 1", "tried 10.5 is not a count", "give a whole number")),
        ([3], [10], [-1], ("row 1", "made -1 is not a count", "give a whole number")),
        ([3], [float("nan")], [1], ("row 1", "tried nan is not a number", "give a number")),
        ([3, 6], [10], [8], ("differ in length", "give one value")),
        ([], [], [], ("there is not one putt", "give putts")),
        ([3], [0], [0], ("there is not one putt", "give putts")),
    ],
)
def test_counts_that_cannot_be(feet, tried, made, words):
    with pytest.raises(InputError) as caught:
        fit_putting(feet, tried, made)
    for word in words:
        assert word in caught.value.line()


def test_a_prior_must_have_width():
    with pytest.raises(ValueError, match="must be positive"):
        SpreadPrior(angle_log_sd=0.0)
