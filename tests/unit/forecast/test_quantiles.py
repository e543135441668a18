"""Quantiles that answers take from ``scipy.special``, which loads sooner, are those of ``scipy.stats``."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.special import chdtrc, fdtri, ndtri, stdtrit

from paryield.forecast.misfit import binomial_quantile
from paryield.programme.design import return_to_mean


@given(st.floats(0.001, 0.999), st.integers(0, 5000), st.floats(0.01, 0.99))
@settings(max_examples=200, deadline=None)
def test_binomial(share: float, count: int, chance: float) -> None:
    found = binomial_quantile(share, count, chance)
    below, upto = stats.binom.cdf([found - 1, found], count, chance)
    assert below < share + 1e-9
    assert upto > share - 1e-9
    assert found == pytest.approx(stats.binom.ppf(share, count, chance), abs=1)


def test_normal_student_f_and_chi_square() -> None:
    shares = np.array([1e-6, 0.025, 0.4, 0.8, 0.999])
    np.testing.assert_allclose(ndtri(shares), stats.norm.ppf(shares), rtol=1e-12)
    np.testing.assert_allclose(stdtrit(7, shares), stats.t.ppf(shares, 7), rtol=1e-9)
    np.testing.assert_allclose(fdtri(3, 55.5, shares), stats.f.ppf(shares, 3, 55.5), rtol=1e-9)
    np.testing.assert_allclose(chdtrc(9, [0.5, 9.0, 40.0]), stats.chi2.sf([0.5, 9.0, 40.0], 9), rtol=1e-12)


def test_what_comes_back_by_itself_beyond_a_cut() -> None:
    """Second route: the inverse Mills ratio of ``scipy.stats``."""
    within, total = 3.0**2 / 4, np.sqrt(3.0**2 / 4 + 2.0**2)
    z = 5.0 / total
    expected = within / total * stats.norm.pdf(z) / stats.norm.sf(z)
    assert return_to_mean(20.0, 15.0, 3.0, 2.0, 4) == pytest.approx(expected, rel=1e-9)
