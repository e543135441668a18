"""What a prior says before any data: strokes that practice would save, shown back to whoever stated it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.dose.stock import HOURS_UNIT, bent, lost_strokes, steady_stock
from paryield.model.expectations import (
    Expectations,
    GainPrior,
    expected_priors,
    gap,
    mean_differential_at,
    read_expectations,
    stated_for,
)
from paryield.model.spec import ModelSpec
from paryield.model.terms.practice import rates_of
from paryield.plan.evidence import prior_gains
from paryield.results import summary
from paryield.tables.categories import AREAS, SHIPPED, Category

INDEXES = (5.0, 15.0, 25.0)


def saved_before_data(spec: ModelSpec, category: Category, index: float, hours: float, weeks: int) -> FLOATS:
    """Draws of strokes saved a round after weekly hours of one category, from nothing held.

    Parameters
    ----------
    spec : ModelSpec
        Its priors speak; the golfer's area losses are those of his level.
    category : Category
    index : float
        Handicap Index of the golfer.
    hours : float
        Hours a week.
    weeks : int
        How long they are kept up.
    """
    priors = spec.priors
    median, own = priors.gain_of(category.name)
    gains = prior_gains(median, priors.gain_common_width, own)
    rng = np.random.default_rng(21)
    half_life = category.half_life_days * np.exp(priors.half_life_log_sd * rng.normal(size=gains.shape))
    spread = priors.response_spread * np.abs(rng.normal(size=gains.shape))
    response = spread * rng.normal(size=gains.shape)
    stock = steady_stock(hours, half_life) * (1.0 - 2.0 ** (-7.0 * weeks / half_life))
    serves = np.array([category.serves.get(area, 0.0) for area in AREAS])
    bends = priors.bend_log_sd * rng.normal(size=gains.shape)
    gaps = np.array(gap(spec.reference_level, category, spec))
    rates = rates_of(gains, bends, gaps, serves, spec.bend_hours)
    left = np.exp(-bent(stock * np.exp(-bends), spec.bend_hours)[:, None] / HOURS_UNIT * rates)
    share = np.array(priors.share) / sum(priors.share)
    level = share * mean_differential_at(index)
    saved = (level - lost_strokes(level, spec.floor, left)).sum(axis=1)
    return np.asarray(saved + response * ((level - spec.floor) * (1.0 - left)).sum(axis=1), dtype=float)


def expectations(
    source: str | Path,
    index: Sequence[float] = INDEXES,
    hours: float = 1.0,
    weeks: int = 12,
    *,
    categories: Iterable[Category] = SHIPPED,
) -> list[dict[str, Any]]:
    """Read expectations and show back what they mean, before any data.

    Parameters
    ----------
    source : str or Path
        ``cautious``, ``usual``, ``open`` or a file; see
        :func:`paryield.model.expectations.read_expectations`.
    index : sequence of float
        Handicap Indexes of the golfers shown.
    hours : float
        Hours a week in one category.
    weeks : int
        How long they are kept up.
    categories : iterable of Category
        Those that the club knows.

    Returns
    -------
    list of dict
        category, index, hours, weeks, strokes_saved (quantiles), and what was said and what is used:
        low, likely and high in strokes per 20 hours of the reference golfer (None where nothing was said).
    """
    known = list(categories)
    found = read_expectations(source, known)
    spec = ModelSpec()
    spec = ModelSpec(priors=expected_priors(found, known, spec))
    records = []
    for category in known:
        said = _said(found, category, spec)
        used = GainPrior(*_widths(spec, category.name))
        figures = {"low": used.quantile(0.1), "likely": used.quantile(0.5), "high": used.quantile(0.9)}
        for one in index:
            saved = summary(saved_before_data(spec, category, one, hours, weeks))
            records.append(
                {"category": category.name, "index": float(one), "hours": float(hours), "weeks": weeks}
                | {"strokes_saved": saved, "said": said, "used": figures}
            )
    return records


def _widths(spec: ModelSpec, name: str) -> tuple[float, float, float]:
    median, own = spec.priors.gain_of(name)
    return median, spec.priors.gain_common_width, own


def _said(found: Expectations, category: Category, spec: ModelSpec) -> dict[str, float] | None:
    figures = stated_for(found, category, spec)
    return None if figures is None else dict(zip(("low", "likely", "high"), figures, strict=True))
