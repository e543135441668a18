"""What another week of practice would do, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from paryield.report.sentences import index_range
from paryield.report.words import chance_text, day, index_text, one_line, span, strokes, time_text

SURE, EVEN = 0.8, 0.5
APART_HOURS = 0.25
"""Hours a week from which it is said that one plan takes longer than another. [judgement]"""


def week_sentences(
    gain: Mapping[str, float],
    chance: float,
    *,
    changed: bool,
    evidence: str = "assumed",
    present: float | None = None,
) -> list[str]:
    """Return how a week compares with the present one after 12 weeks.

    Parameters
    ----------
    gain : mapping
        Quantiles of strokes saved a round against the present week.
    chance : float
        Chance that it saves anything.
    changed : bool
        Whether the week differs from the present one at all.
    evidence : str
        How far the returns behind it were measured.
    present : float, optional
        Hours of the present week, where they are said.
    """
    if not changed:
        return ["This is the present week. Move a slider to see what another one would do."]
    middle = float(gain["q50"])
    if round(gain["q10"], 2) == 0 and round(gain["q90"], 2) == 0:
        return ["Kept up for 12 weeks, this week makes no difference that would show (estimated)."]
    verb = "saves" if round(middle, 2) >= 0 else "costs"
    spread = f"8 in 10: {span(gain['q10'], gain['q90'], 2)} saved"
    of = "" if present is None else f" of {time_text(present)}"
    first = (
        f"Kept up for 12 weeks, this week {verb} about {strokes(abs(middle), 2)} a round against the "
        f"present one{of} ({spread}; estimated)."
    )
    return [first, f"{_sure(chance)} (chance that it is better: {chance_text(chance)}, {evidence})."]


def even_words(gain: Mapping[str, float], hours: float) -> str:
    """Return what a week saves against as much time in the usual split: the rest comes from the time itself.

    Parameters
    ----------
    gain : mapping
        Quantiles of strokes saved a round against the same time in the usual split.
    hours : float
        Hours of both weeks.
    """
    middle = float(gain["q50"])
    if round(gain["q10"], 2) == 0 and round(gain["q90"], 2) == 0:
        return (
            f"Against {time_text(hours)} in the usual split it makes no difference that would show: "
            "all comes from the time."
        )
    verb = "saves" if round(middle, 2) >= 0 else "costs"
    return (
        f"Against {time_text(hours)} in the usual split it {verb} about {strokes(abs(middle), 2)} "
        f"(8 in 10: {span(gain['q10'], gain['q90'], 2)} saved; estimated): the rest comes from the time."
    )


def plans_words(
    best: str,
    other: str,
    more: Mapping[str, float],
    chance: float,
    *,
    evidence: str = "assumed",
    longer: float = 0.0,
) -> list[str]:
    """Return how the better of two plans compares with the next one.

    Parameters
    ----------
    best, other : str
        Names of the plans.
    more : mapping
        Quantiles of the strokes a round that the first saves more.
    chance : float
        Chance that it saves more at all.
    evidence : str
        How far the returns behind the difference were measured.
    longer : float
        Hours a week that the first takes more than the second.
    """
    one, two = one_line(best, 60), one_line(other, 60)
    if round(more["q10"], 2) == 0 and round(more["q90"], 2) == 0:
        return [f"Between {one} and {two} no difference would show (estimated)."]
    spread = f"8 in 10: {span(more['q10'], more['q90'], 2)}; estimated"
    first = f"{one} saves {strokes(abs(float(more['q50'])), 2)} a round more than {two} ({spread})."
    told = f"chance that it saves more: {chance_text(chance)}, {evidence}"
    if abs(longer) >= APART_HOURS:
        first += f" It takes {time_text(abs(longer))} a week {'more' if longer > 0 else 'less'}."
    if chance >= SURE:
        return [first, f"It is likely the better of the two ({told})."]
    return [first, f"We cannot tell yet which of the two is better ({told})."]


def index_words(
    then: Sequence[Mapping[str, Any]], now: Sequence[Mapping[str, Any]], weeks: int = 12
) -> list[str]:
    """Return the index under this week and under the present one, with the ranges, or nothing without one.

    Parameters
    ----------
    then, now : sequence of mapping
        Records of the forecast under this week and under the present one.
    weeks : int
        How far ahead.
    """
    rows = [
        next(
            (
                row
                for row in records
                if row["quantity"] == "handicap_index" and row["weeks"] == weeks and row["reportable"]
            ),
            None,
        )
        for records in (then, now)
    ]
    if rows[0] is None or rows[1] is None:
        return []
    mine, present = (index_range(row) for row in rows if row)
    said = f"Handicap Index on {day(rows[0]['on'])}: {mine}"
    return [f"{said}." if mine == present else f"{said}; with the present week {present}."]


def _sure(chance: float) -> str:
    if chance >= SURE:
        return "It is likely better than the present week"
    if chance >= EVEN:
        return "We cannot tell yet whether it is better than the present week"
    if chance > 1 - SURE:
        return "It looks no better than the present week"
    return "It is likely worse than the present week"


def goal_words(goal: float | None, by: date | None, now: float | None, then: float | None) -> list[str]:
    """Return the chance of the goal under the present week and under this one."""
    if goal is None or by is None:
        return []
    aim = f"Goal {index_text(goal)} by {day(by)}"
    if now is None or then is None:
        return [f"{aim}: the chance cannot be given, for there may be no index by then."]
    return [f"{aim}: chance {chance_text(then)} with this week, {chance_text(now)} with the present one."]
