"""What a golfer is told of his week: change it, try another, or keep it; and on what that rests.

``change`` rests on returns that were measured, at least in part. ``try`` rests on what is known of golf
practice in general: the other week is expected to save strokes, but the records have not shown it, so it is
entered as a block that measures itself. ``keep``: the present week is as good as any within a tenth of a
stroke, doubt about which is best included, or no other can be named that saves as much as rounds to a tenth.

Verdicts do not flip with every week: two weeks of rounds move a chance by a few hundredths, so one that was
given is kept until it clearly fails. Chances and strokes shown are never touched, only the word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from paryield.arrays import FLOATS
from paryield.plan.evidence import GainEvidence
from paryield.plan.outcome import Outcome
from paryield.plan.room import Bounds
from paryield.plan.solver import QUARTER
from paryield.posterior import Posterior
from paryield.posterior.evidence import PART_MEASURED

CHANGE, TRY, KEEP = "change", "try", "keep"
REACHED = (0.8, 0.1)
LEFT = (0.7, 0.05)
"""Chance of beating the alternative, and median strokes, at which a category stands out, and no longer does.
[judgement]"""

WEEK_REACHED = (0.8, 0.2)
WEEK_LEFT = (0.7, 0.1)
"""The same for a change of the whole week. It takes more strokes: a plan picks the best of many splits, and
on made-up clubs where practice does nothing 0.1 stroke still moved 23 golfers in 100, 0.15 moved 10 and 0.2
moves 5 (ten clubs, notebook 04). [judgement]"""

AS_GOOD, AS_GOOD_LEFT = 0.1, 0.075
"""Strokes that the present week falls short, on average, of the best week of each draw, below which it is as
good as any; the second for a golfer told before to try or change. [judgement]"""
WORTH, WORTH_LEFT = 0.05, 0.025
"""Mean strokes that another week must save to be named, likewise: less is nothing in tenths. With 0.1 four
made-up clubs of usual habits threw away .205 of the best gain as advised, with 0.05 .195; golfers with
few hours were then held against a week of more. With the same hours five clubs made afterwards threw away
.186 (present week .377, even split .221; notebook 04)."""
EVIDENCE_LEFT = 0.75
"""Part of the evidence for a change at which one that was advised before still rests on it. [judgement]"""
KEPT_SHARE = 1.0 / 3.0
"""Part of its present hours that a category keeps as long as its return is assumed: an emphasis keeps the
others alive (common practice, no source)."""


def stands(gain: FLOATS, before: bool) -> bool:
    """Whether a gain of another week is large and sure enough to change, given whether it was last time.

    Parameters
    ----------
    gain : array, shape (S,)
        Draws of strokes gained over the alternative.
    before : bool
        Whether the last run said yes; without one, False.
    """
    chance, strokes = WEEK_LEFT if before else WEEK_REACHED
    return bool(np.mean(gain > 0) >= chance and np.median(gain) >= strokes)


def week_verdict(gain: FLOATS, evidence: float, short: float, before: str | None = None) -> str:
    """Return what a golfer is told of his week.

    Parameters
    ----------
    gain : array, shape (S,)
        Draws of strokes that the best-looking week saves against the present one.
    evidence : float
        Share measured of the returns that it moves, see :func:`rests_on`.
    short : float
        Strokes that the present week falls short, on average, of the best one of each draw.
    before : str, optional
        What the run before told him, asked the same.
    """
    held = before == CHANGE
    least = PART_MEASURED * (EVIDENCE_LEFT if held else 1.0)
    if evidence >= least and stands(gain, held):
        return CHANGE
    new = before in (None, KEEP)
    good, worth = (AS_GOOD, WORTH) if new else (AS_GOOD_LEFT, WORTH_LEFT)
    return TRY if short >= good and float(np.mean(gain)) >= worth else KEEP


def rests_on(evidence: GainEvidence, names: Sequence[str], moved: FLOATS) -> float:
    """Share measured of the returns that a week moves: evidence of its categories by hours moved, 0 to 1.

    Parameters
    ----------
    evidence : GainEvidence
    names : sequence of str
        Categories of the plan, also those that the fit does not know: of them nothing was measured.
    moved : array, shape (J,)
        Hours more or less than now.
    """
    total = float(np.abs(moved).sum())
    if total <= 0:
        return 0.0
    shares = [evidence.of(name) if name in evidence.place else 0.0 for name in names]
    return float(np.abs(moved) @ np.array(shares)) / total


def keep_alive(bounds: Bounds, names: Sequence[str], now: FLOATS, evidence: GainEvidence) -> Bounds:
    """Leave every practised category of which nothing was measured a part of its hours.

    Limits and ceilings go before, and so does the total where the hours are few.
    """
    assumed = np.array(
        [name not in evidence.place or evidence.of(name) < PART_MEASURED for name in names], dtype=bool
    )
    least = np.where(assumed & (now >= QUARTER / 2), np.maximum(KEPT_SHARE * now, QUARTER), 0.0)
    low = np.minimum(np.maximum(bounds.low, least), np.minimum(bounds.high, bounds.ceiling))
    return replace(bounds, low=low)


def price_if_wrong(outcome: Outcome, week: FLOATS, now: FLOATS) -> float:
    """Mean strokes a round that a week costs if the hours it adds do nothing: those it takes away."""
    fewer = np.minimum(week, now)
    return float(np.mean(outcome.lost(fewer[None]) - outcome.lost(now[None])))


def told_before(posterior: Posterior, golfer_id: str) -> str | None:
    """What the run before told the golfer, asked for nothing but his usual hours."""
    found: str | None = posterior.facts.get("plans_before", {}).get(golfer_id)
    return found
