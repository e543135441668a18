"""Programmes: what each gave beyond its hours, and the bad spell on which its members joined."""

from __future__ import annotations

import numpy as np

from paryield.arrays import FLOATS
from paryield.dose.exposure import (
    Share,
    form_left,
    form_on_joining,
    of_programmes,
    spell_of_rounds,
    total_exposure,
)
from paryield.model.prior import Constant, Normal, Value
from paryield.model.terms.term import Moments, Term


def _shares(at: Moments, share: Share) -> FLOATS:
    """A share of every programme of the fit at each moment, shape (P, T)."""
    out = np.zeros((len(at.programmes), len(at.day)))
    if at.tables is None or not at.programmes:
        return out
    names, held = of_programmes(at.tables.programmes, at.golfer, at.day, at.as_of, share)
    for place, name in enumerate(at.programmes):
        if name in names:
            out[place] = held[:, names.index(name)]
    return out


class Spell(Term):
    """``enrol_shift x share of the bad spell before joining a programme``; what of it is form goes on."""

    name, part, label = "spell", "form", "return to the usual level"
    kept = "form_now"
    values = (
        Value(
            "enrol_shift",
            Normal(
                Constant(
                    "enrol_shift",
                    0.5,
                    "strokes",
                    source="by which the last five rounds before joining a programme were worse than "
                    "the usual "
                    "game: members join when playing badly, by what they know of their game, which "
                    "is more than "
                    "the record has; see paryield.dose.exposure",
                ),
                Constant("enrol_shift_sd", 1.0, "strokes"),
            ),
            "strokes lost in the last rounds before joining, beyond the usual level",
            ("programme",),
            label="bad spell before joining a programme",
        ),
    )

    def columns(self, at: Moments) -> FLOATS:
        """Share of the spell in each round that a fit learns from, luck included; of form on other days."""
        if not at.fitted or at.rounds is None:
            return _shares(at, form_on_joining)
        # Members join on rounds, not on tests.
        scored = at.rounds["differential"].notna().to_numpy(bool)
        played = np.where(scored, at.golfer, "")
        names, held = of_programmes(at.tables.programmes, played, at.day, at.as_of, spell_of_rounds)  # type: ignore[union-attr]
        places = [names.index(name) for name in at.programmes]
        return held.T[places]

    def ahead(self, at: Moments) -> FLOATS:
        """What of the form on the last day is left."""
        return super().ahead(at) * form_left(at.day - at.as_of)


class Programme(Term):
    """``programme_effect x share of the programme gone through``; it stays when the programme is over."""

    name, part, label = "programme", "programme", "the programme, beyond its hours"
    kept = "exposure_now"
    values = (
        Value(
            "programme_effect",
            Normal(
                0.0,
                Constant(
                    "programme_sd",
                    1.5,
                    "strokes",
                    source="of having been through a programme beyond its hours: rarely above 3. Narrower, a "
                    "good programme would be told smaller than it was",
                ),
            ),
            "strokes of having been through a programme, beyond its hours",
            ("programme",),
            label="what a programme gave beyond its hours",
        ),
    )

    def columns(self, at: Moments) -> FLOATS:
        """Share of each programme gone through."""
        return _shares(at, total_exposure)
