"""Findings in words: forecast, goal, returns, and whether to trust them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from paryield.report.frames import EVIDENCE, practice_rows, records
from paryield.report.views import GolferView, Goal, Health, RunFacts
from paryield.report.words import (
    category_text,
    chance_text,
    day,
    index_text,
    missing,
    number,
    one_line,
    sentence,
    strokes,
    weeks_text,
)

UNOFFICIAL = (
    "The Handicap Index on this page is worked out for forecasting. "
    "The official one comes from the golfer's association."
)

VERDICT_CELLS: dict[tuple[str, str], tuple[str, str]] = {
    ("stands out", "measured"): (
        "{name} stands out, and the records show it",
        "",
    ),
    ("stands out", "part measured"): (
        "{name} stands out, partly from the records and partly from what is assumed",
        "Worth the hour, and worth checking again at the next review.",
    ),
    ("stands out", "assumed"): (
        "{name} stands out, but only by assumption",
        "The records hardly speak about it; measure it before trusting it.",
    ),
    ("does not stand out", "measured"): (
        "{name} does not stand out, although it was measured",
        "The records do not set it apart.",
    ),
    ("does not stand out", "part measured"): (
        "{name} does not stand out",
        "The records say something about it, not enough to set it apart.",
    ),
    ("does not stand out", "assumed"): (
        "{name} does not stand out, and its number is assumed",
        "The records hardly speak about it; do not change the week because of it.",
    ),
}
"""Opening and closing words by verdict and evidence; the amount stands between them."""


def amount(row: Mapping[str, Any]) -> str:
    """Return what one more weekly hour does, with its 8-in-10 range, in strokes a round."""
    middle = float(row["q50"])
    verb = "saves" if round(middle, 2) >= 0 else "adds"
    spread = f"8 in 10: {number(row['q10'], 2)} to {number(row['q90'], 2)} saved"
    return (
        f"one more hour a week kept up for {weeks_text(int(row['weeks']))} "
        f"{verb} about {strokes(abs(middle), 2)} a round ({spread})"
    )


def return_sentence(row: Mapping[str, Any]) -> str:
    """Return the finding about one practice category.

    Parameters
    ----------
    row : mapping
        One row of the returns table; quantiles in strokes saved a round per weekly hour.

    Raises
    ------
    KeyError
        When the verdict or the evidence is not one of the known words.
    """
    opening, closing = VERDICT_CELLS[str(row["verdict"]), str(row["evidence"])]
    opening = opening.replace("{name}", sentence(category_text(row["category"])))
    return f"{opening}: {amount(row)}. {closing}".strip()


def next_hour_sentences(returns: pd.DataFrame) -> list[str]:
    """Return the answer to what the next hour of practice would do best for."""
    rows = records(practice_rows(returns))
    if not rows:
        return ["Nothing can be said about practice yet: the records hold no practice diary to learn from."]
    leading = [row for row in rows if row["verdict"] == "stands out"]
    if leading:
        others = [category_text(row["category"]) for row in leading[1:]]
        also = [f"{sentence(_listed(others))} {'stand' if len(others) > 1 else 'stands'} out too."] if others else []
        return [return_sentence(leading[0]), *also]
    best = max(rows, key=lambda row: 0.0 if missing(row["chance_best"]) else float(row["chance_best"]))
    return [
        "No practice area stands out yet.",
        f"The one most likely to be best is {category_text(best['category'])} "
        f"(chance {chance_text(best['chance_best'])}, {best['evidence']}): {amount(best)}. "
        "That is not enough to change the week.",
    ]


def now_sentences(view: GolferView) -> list[str]:
    """Return where the golfer stands: index, rounds on record, level with its spread."""
    played = len(view.rounds)
    if not played:
        return ["There are no rounds on record yet."]
    last = day(view.rounds["played_on"].iloc[-1])
    rounds = f"{played} round{'' if played == 1 else 's'} on record, the latest on {last}"
    index = view.index_now
    shown = f"Handicap Index {index_text(index)}" if index is not None else "No Handicap Index yet: too few scores"
    found = [f"{shown} ({rounds}; measured)."]
    level = view.ahead("mean_differential", 0)
    if level and level["reportable"]:
        found.append(f"An average round now comes to a score differential of {_index_range(level)} (estimated).")
    return found


def forecast_sentences(view: GolferView) -> list[str]:
    """Return where the golfer will be at the headline horizon if he keeps doing the same."""
    row = view.ahead("handicap_index")
    ahead = f"in {weeks_text(view.weeks)}"
    if row is None:
        return [f"No forecast was made for the index {ahead}."]
    if not row["reportable"]:
        return [f"The index {ahead} cannot be given: {_reason(row['reason'])}."]
    found = f"Practising as now, the Handicap Index on {day(row['on'])} is about {_index_range(row)}."
    level = view.ahead("mean_differential")
    lines = [found] if view.index_now is None else [found, _move(view.index_now, row)]
    if level and level["reportable"]:
        lines.append(f"An average round will then come to a score differential of {_index_range(level)}.")
    return lines


def goal_sentence(goal: Goal) -> str:
    """Return the chance of the goal in words and as a percentage."""
    aim = f"Goal: Handicap Index {index_text(goal.goal)} or lower by {day(goal.by)}"
    if missing(goal.chance):
        return f"{aim}. The chance cannot be given: {_reason(goal.reason)}."
    chance = float(goal.chance)  # type: ignore[arg-type]
    return f"{aim}. Practising as now this is {_likely(chance)}: chance {chance_text(chance)}."


def trust_sentences(health: Health, run: RunFacts, returns: pd.DataFrame | None = None) -> list[str]:
    """Return whether the numbers can be trusted, and on what the returns rest."""
    if not health.ok:
        failed = f" ({'; '.join(one_line(line) for line in health.lines)})" if health.lines else ""
        return [f"No: the fit did not pass its health checks{failed}. Do not act on these numbers."]
    if run.quick:
        first = "Only as a first look: this was a quick fit with fewer draws. Fit in full before acting on it."
    else:
        first = "Yes, within the ranges shown: the fit passed its health checks."
    lines = [first]
    if returns is not None and len(practice_rows(returns)):
        words = practice_rows(returns)["evidence"].tolist()
        counts = [f"{words.count(word)} {word}" for word in EVIDENCE]
        lines.append(f"Of the returns of {len(words)} practice categories, {_listed(counts)}.")
    return lines


def _move(now: float, row: Mapping[str, Any]) -> str:
    change = round(float(row["q50"]) - now, 1)
    if change < 0:
        middle = f"It falls by about {number(-change)} from today's {index_text(now)}"
    elif change > 0:
        middle = f"It rises by about {number(change)} from today's {index_text(now)}"
    else:
        middle = f"It stays near today's {index_text(now)}"
    if row["q90"] < now or row["q10"] > now:
        return f"{middle}, and today's lies outside the range."
    return f"{middle}, but the range still holds today's: it may move either way."


def _index_range(row: Mapping[str, Any]) -> str:
    return f"{index_text(row['q50'])} (8 in 10: {index_text(row['q10'])} to {index_text(row['q90'])})"


def _likely(chance: float) -> str:
    if chance >= 0.8:
        return "likely"
    if chance >= 0.5:
        return "more likely than not"
    return "less likely than not" if chance >= 0.2 else "unlikely"


def _reason(reason: Any) -> str:
    text = "" if missing(reason) else one_line(reason).rstrip(".")
    return text or "the records do not suffice"


def _listed(items: list[str]) -> str:
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} and {items[-1]}"
