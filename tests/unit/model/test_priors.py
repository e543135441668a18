"""The prior of a gain: written twice, with mass near nothing."""

from __future__ import annotations

import numpy as np
import pymc as pm

from paryield.model.design import Observations
from paryield.model.spec import Priors
from paryield.model.terms.practice import gains as declared
from paryield.plan.evidence import prior_gains


def model_gains(design: Observations) -> np.ndarray:
    names = [category.name for category in design.categories]
    with pm.Model(coords={"category": names}):
        gains = declared(names, Priors())
    return pm.draw(gains, draws=20_000, random_seed=1)


def test_prior_of_gains_is_the_same_in_the_model_and_in_the_evidence_word(design: Observations) -> None:
    priors = Priors()
    drawn = model_gains(design)
    plain = prior_gains(priors.gain_median, priors.gain_common_width, priors.gain_category_width)
    levels = [0.05, 0.25, 0.5, 0.75, 0.95]
    np.testing.assert_allclose(np.quantile(drawn[:, 0], levels), np.quantile(plain, levels), rtol=0.06)


def test_the_prior_median_is_as_stated_and_nothing_is_possible(design: Observations) -> None:
    gains = model_gains(design)[:, 0]
    assert abs(np.median(gains) / Priors().gain_median - 1.0) < 0.12
    assert gains.min() > 0.0
    assert np.mean(gains < 0.1 * Priors().gain_median) > 0.04
    assert np.mean(gains > 3 * Priors().gain_median) < 0.12
