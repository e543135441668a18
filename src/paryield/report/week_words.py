"""What another week of practice would do, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from paryield.report.sentences import index_range
from paryield.report.words import chance_text, day, index_text, number, strokes

SURE, EVEN = 0.8, 0.5


def week_sentences(
    gain: Mapping[str, float], chance: float, *, changed: bool, evidence: str = "assumed"
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
    """
    if not changed:
        return ["This is the present week. Move a slider to see what another one would do."]
    middle = float(gain["q50"])
    if round(gain["q10"], 2) == 0 and round(gain["q90"], 2) == 0:
        return ["Kept up for 12 weeks, this week makes no difference that would show (estimated)."]
    verb = "saves" if round(middle, 2) >= 0 else "costs"
    spread = f"8 in 10: {number(gain['q10'], 2)} to {number(gain['q90'], 2)} saved"
    first = (
        f"Kept up for 12 weeks, this week {verb} about {strokes(abs(middle), 2)} a round against the "
        f"present one ({spread}; estimated)."
    )
    return [first, f"{_sure(chance)} (chance that it is better: {chance_text(chance)}, {evidence})."]


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
