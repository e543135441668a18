"""What an early record cannot tell yet, in words: how often people play, how much they practise as now."""

from __future__ import annotations

from collections.abc import Iterable

from paryield.forecast.pace import PRIOR_PACE, Pace
from paryield.posterior import Posterior

LEAST_DIARY_WEEKS = 8
"""Weeks of golfers' diaries below which hours of practice as now are assumed. [judgement]"""


def early_notes(posterior: Posterior, paces: Iterable[Pace]) -> list[str]:
    """Return what is assumed because the club's record is too short; nothing for one that is long enough.

    Parameters
    ----------
    posterior : Posterior
        Its constant ``weeks_known`` counts the weeks of each golfer's diary.
    paces : iterable of Pace
        Of the golfers who are answered.
    """
    notes = []
    if any(pace.assumed for pace in paces):
        notes.append(
            "the record is too short to tell how often people play: "
            f"about {PRIOR_PACE:g} rounds a month are assumed"
        )
    weeks = int(posterior.constant("weeks_known").sum())
    if weeks < LEAST_DIARY_WEEKS:
        noun = "week" if weeks == 1 else "weeks"
        notes.append(
            f"the diaries hold {weeks} {noun} of practice in all, fewer than {LEAST_DIARY_WEEKS}: "
            "hours as now are assumed, not measured"
        )
    return notes
