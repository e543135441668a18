"""Joining: form on joining the club during the record, which fades."""

from __future__ import annotations

import numpy as np

from paryield.arrays import FLOATS
from paryield.model.prior import Constant, Normal, Value
from paryield.model.terms.term import Moments, Term


class Joining(Term):
    """``start_shift x exp(-days since the start / start_shift_days)`` for a golfer who was new."""

    name, part, label = "joining", "joining", "having just joined"
    values = (
        Value(
            "start_shift",
            Normal(0.0, Constant("start_shift_sd", 0.7, "strokes", source="members come when playing badly")),
            "strokes lost on joining beyond the usual level",
            label="form on joining",
        ),
    )
    constants = (Constant("start_shift_days", 60.0, "days", source="in which form on joining fades"),)

    def columns(self, at: Moments) -> FLOATS:
        """What is left of form on joining."""
        left = np.exp(-(at.day - at.start) / float(at.priors["start_shift_days"])) * at.joined
        return np.asarray(left, dtype=float)[None, :]
