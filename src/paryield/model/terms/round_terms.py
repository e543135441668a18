"""What belongs to a round and to no other day: the course it was played on, and whether it counted more."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.model.prior import Constant, Normal, Value
from paryield.model.terms.term import Moments, Part, Term, Values

COURSE_SD = Constant("course_sd", 1.0, "strokes", "read", "tees of one area differ by 2-3 strokes")


class Competition(Term):
    """``competition`` where a round was one."""

    name, part, label, of_rounds = "competition", "course", "courses and competitions", True
    values = (
        Value(
            "competition",
            Normal(Constant("competition_mean", 0.3, "strokes"), Constant("competition_sd", 0.5, "strokes")),
            "strokes a competition round costs",
            label="cost of a competition",
        ),
    )

    def columns(self, at: Moments) -> FLOATS:
        """1.0 where a round was a competition."""
        return at.column("competition")[None, :]

    def ahead(self, at: Moments) -> FLOATS:
        """No round ahead is taken for a competition."""
        return np.zeros((1, len(at.day)))


class Course(Part):
    """Strokes above the club's average course, summing to zero: in a round's score, not in what a test
    says."""

    name, part, label = "course", "course", "courses and competitions"
    values = (
        Value(
            "course_effect", None, "strokes above the average course", ("course",), "difficulty of a course"
        ),
    )
    constants = (COURSE_SD,)

    def declare(self, p: Values, data: Any, priors: Mapping[str, Any]) -> Values:
        """Declare the courses in the current PyMC model and return ``p`` with them."""
        import pymc as pm
        import pytensor.tensor as pt
        from scipy.linalg import helmert

        count = len(data.courses)
        effects = pt.zeros(1)
        if count > 1:
            contrasts = pm.Normal("course_contrast", 0.0, priors["course_sd"], shape=count - 1)
            effects = helmert(count).T @ contrasts
        return p | {"course_effect": pm.Deterministic("course_effect", effects, dims="course")}

    def strokes(self, p: Values, courses: Any, xp: Any) -> Any:
        """Strokes above the average course, shape (..., T), for one-hot ``courses`` (C, T)."""
        return p["course_effect"] @ courses
