"""One small made-up design shared by the model's tests."""

from __future__ import annotations

import numpy as np
import pytest

from paryield.model.design import Observations, build_observations
from paryield.model.simulate import draw_population, simulate_rounds
from paryield.model.spec import ModelSpec
from paryield.model.terms.term import Values
from paryield.synth import ClubSpec, make_club

SPEC = ModelSpec(most_knots=5, knot_days=50)


@pytest.fixture(scope="session")
def design() -> Observations:
    """Five golfers, half a year; some rounds with stats, some with measured areas, and tests."""
    club = make_club(
        ClubSpec(
            golfers=5,
            weeks=26,
            seed=4,
            assessments=True,
            strikes=True,
            programme=True,
            area_strokes_share=0.4,
        )
    )
    return build_observations(club.tables, SPEC)


@pytest.fixture(scope="session")
def values(design: Observations) -> Values:
    """Population values drawn from the prior."""
    return draw_population(design, SPEC, seed=2)


@pytest.fixture(scope="session")
def drawn(design: Observations, values: Values) -> Observations:
    """The design with rounds drawn from the model."""
    return simulate_rounds(values, design, np.random.default_rng(5))[0]
