"""A plain second route: regressions on the rounds alone, without the model, its draws or the diary."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy.linalg import solve_triangular
from scipy.special import stdtrit

from paryield.arrays import BOOLS, FLOATS
from paryield.units import DAYS_PER_YEAR

LEVEL_SD, TREND_SD = 7.0, 0.3
FORM_SD, FORM_DAYS = 0.8, 70.0
"""Spread of golfers' levels (strokes) and trends (strokes a year), and form that comes and goes (strokes,
days). [judgement]; they set weights only: the errors of the regression do not rest on them."""
LUCK_SD = 3.3
"""Spread of one round where it cannot be seen, about an index of 16: 2.6 + 0.043 x index (computed from the
USGA odds table, verified)."""

FEWEST_GOLFERS = 8
LEAST_LEFT = 0.02
"""Share of the exposure's variation that golfers and months must leave unexplained. [judgement]"""
IMBALANCE = 0.25
"""Standardised difference at the start above which two groups are not alike (Imbens & Rubin 2015, from
memory)."""


def cover(days: FLOATS, luck: float) -> FLOATS:
    """Covariance of one golfer's rounds, shape (n, n): level, trend, form and luck.

    Parameters
    ----------
    days : array, shape (n,)
    luck : float
        Spread of one round, strokes.
    """
    years = (days - days.min()) / DAYS_PER_YEAR
    apart = np.abs(days[:, None] - days[None, :])
    whole = LEVEL_SD**2 + TREND_SD**2 * np.outer(years, years) + FORM_SD**2 * np.exp(-apart / FORM_DAYS)
    out: FLOATS = whole + luck**2 * np.eye(len(days))
    return out


def luck_sd(scores: FLOATS, who: npt.NDArray[np.intp], days: FLOATS) -> float:
    """Spread of one round: half the mean squared difference of successive rounds of one golfer (von
    Neumann), which slow changes of level hardly touch."""
    order = np.lexsort((days, who))
    step, same = np.diff(scores[order]), np.diff(who[order]) == 0
    return float(np.sqrt(0.5 * np.mean(step[same] ** 2))) if same.sum() >= 10 else LUCK_SD


def whitened(
    design: FLOATS, outcome: FLOATS, who: npt.NDArray[np.intp], days: FLOATS
) -> tuple[FLOATS, FLOATS]:
    """Design and outcome with every golfer's rounds made independent and of unit variance.

    Parameters
    ----------
    design : array, shape (rounds, columns)
    outcome : array, shape (rounds,)
    who : int array, shape (rounds,)
        Number of the golfer.
    days : array, shape (rounds,)

    Returns
    -------
    tuple of array
        Ordinary least squares on them is generalised least squares on the rounds.
    """
    both = np.column_stack([design, outcome])
    luck = max(luck_sd(outcome, who, days), 0.5)
    turned = np.empty_like(both)
    for number in range(int(who.max()) + 1):
        rows = np.flatnonzero(who == number)
        lower = np.linalg.cholesky(cover(days[rows], luck))
        turned[rows] = solve_triangular(lower, both[rows], lower=True)
    return turned[:, :-1], turned[:, -1]


@dataclass(frozen=True)
class Estimate:
    """A coefficient with its standard error; ``freedom`` belongs to its t distribution."""

    value: float
    error: float
    freedom: float
    n: int
    warnings: tuple[str, ...] = ()

    def interval(self, level: float = 0.9) -> tuple[float, float]:
        """Central interval."""
        half = float(stdtrit(self.freedom, 0.5 + level / 2)) * self.error
        return self.value - half, self.value + half

    def times(self, factor: float) -> Estimate:
        """The same for a positive multiple of the coefficient."""
        return Estimate(self.value * factor, self.error * factor, self.freedom, self.n, self.warnings)


def mean_change(changes: npt.ArrayLike) -> Estimate:
    """Mean of changes, one a golfer, with its standard error over golfers; two or more."""
    values = np.asarray(changes, dtype=float)
    error = float(values.std(ddof=1) / np.sqrt(len(values)))
    return Estimate(float(values.mean()), error, len(values) - 1.0, len(values))


def compare_groups(
    outcome: npt.ArrayLike,
    treated: npt.ArrayLike,
    before: npt.ArrayLike | None = None,
    before_error: npt.ArrayLike | None = None,
) -> Estimate:
    """Difference between two groups, given the level before: least squares with robust errors (HC1).

    Parameters
    ----------
    outcome : array_like, shape (n,)
    treated : array_like, shape (n,)
        1 in the programme, 0 outside.
    before : array_like, shape (n,) or (n, covariates), optional
        Levels before; ``outcome = a + effect x treated + b x before``.
    before_error : array_like, shape (n,), optional
        Error variance of each level before, where there is one such level: levels are then drawn towards
        their mean by what they are worth, or those measured badly come back by themselves and are credited.

    Returns
    -------
    Estimate
        Its warnings say where the two groups cannot be compared.
    """
    from statsmodels.regression.linear_model import OLS  # only here: it takes a second to import

    y, group = np.asarray(outcome, dtype=float), np.asarray(treated, dtype=float)
    levels = np.empty((len(y), 0)) if before is None else np.asarray(before, float).reshape(len(y), -1)
    if before_error is not None:
        levels = drawn_in(levels, np.asarray(before_error, dtype=float)[:, None])
    fit = OLS(y, np.column_stack([np.ones(len(y)), group, levels])).fit(cov_type="HC1")
    found = Estimate(float(fit.params[1]), float(fit.bse[1]), float(fit.df_resid), len(y))
    if before is None:
        return found
    said = _unlike(levels, group > 0.5) + _moved(found, compare_groups(y, group))
    return Estimate(found.value, found.error, found.freedom, found.n, said)


def drawn_in(levels: FLOATS, error: FLOATS) -> FLOATS:
    """Levels drawn towards their mean by ``t^2 / (t^2 + error)``, t^2 the variance that error leaves over."""
    true = max(float(levels.var() - error.mean()), 1e-12)
    drawn: FLOATS = levels.mean() + true / (true + error) * (levels - levels.mean())
    return drawn


def _unlike(levels: FLOATS, treated: BOOLS) -> tuple[str, ...]:
    for place in range(levels.shape[1] if 1 < treated.sum() < len(treated) - 1 else 0):
        inside, outside = levels[treated, place], levels[~treated, place]
        pooled = np.sqrt((inside.var() + outside.var()) / 2)
        apart = abs(inside.mean() - outside.mean()) / pooled if pooled > 0 else 0.0
        if apart > IMBALANCE:
            return (
                f"members and others were {apart:.1f} standard deviations apart before it began: they were "
                "not alike, and a regression does not make them so",
            )
    return ()


def _moved(adjusted: Estimate, plain: Estimate) -> tuple[str, ...]:
    if abs(adjusted.value - plain.value) > 2 * min(adjusted.error, plain.error):
        return ("the answer hangs on how the level before is allowed for: do not rely on this comparison",)
    return ()


def staggered(
    rounds: pd.DataFrame,
    exposure: FLOATS,
    beside: FLOATS | None = None,
    *,
    golfer: str,
    day: str,
    score: str,
) -> Estimate | None:
    """Difference in differences with staggered starts, strokes at full exposure.

    Generalised least squares: every calendar month has a level of its own, so those who have not joined yet
    and those who never join show what the months did; every golfer has a level, a trend and a form that
    comes and goes, so that a bad spell is expected to pass by itself. Errors are clustered by golfer.

    Parameters
    ----------
    rounds : DataFrame
        One row a round.
    exposure : array, shape (rounds,)
        Share of the programme received.
    beside : array, shape (rounds, columns), optional
        What else changes the rounds.
    golfer, day, score : str
        Columns: who, day since 1970-01-01, strokes.

    Returns
    -------
    Estimate or None
        None where the records cannot tell the programme from the calendar.
    """
    from statsmodels.regression.linear_model import OLS  # only here: it takes a second to import

    who = pd.factorize(rounds[golfer])[0]
    days, scores = rounds[day].to_numpy(float), rounds[score].to_numpy(float)
    if len(rounds) == 0 or who.max() + 1 < FEWEST_GOLFERS or np.ptp(exposure) == 0:
        return None
    months = _months(days)
    calendar = months if beside is None else np.column_stack([months, beside])
    if _left_over(exposure, calendar, who) < LEAST_LEFT:
        return None
    design, outcome = whitened(np.column_stack([exposure, calendar]), scores, who, days)
    fit = OLS(outcome, design).fit(cov_type="cluster", cov_kwds={"groups": who})
    return Estimate(float(fit.params[0]), float(fit.bse[0]), float(who.max()), len(rounds))


def _left_over(exposure: FLOATS, calendar: FLOATS, who: npt.NDArray[np.intp]) -> float:
    """Share of the exposure's variation that golfers' means and months do not explain."""
    columns = np.column_stack([exposure, calendar])
    count = np.bincount(who)
    total = np.zeros((len(count), columns.shape[1]))
    np.add.at(total, who, columns)
    within = columns - (total / count[:, None])[who]
    left = within[:, 0] - within[:, 1:] @ np.linalg.lstsq(within[:, 1:], within[:, 0], rcond=None)[0]
    return float(np.sum(left**2) / np.sum((exposure - exposure.mean()) ** 2))


def _months(days: FLOATS) -> FLOATS:
    """One column a calendar month with rounds, shape (rounds, months)."""
    month = days.astype("datetime64[D]").astype("datetime64[M]").astype(int)
    hot: FLOATS = (month[:, None] == np.unique(month)[None, :]).astype(float)
    return hot
