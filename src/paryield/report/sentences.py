"""Findings about a golfer in words: today, the forecast, the goal, and whether to trust them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from paryield.forecast.gate import BANNER
from paryield.report.frames import EVIDENCE, practice_rows
from paryield.report.sums import adding_up
from paryield.report.views import GolferView, Health, Listed, RunFacts
from paryield.report.words import (
    day,
    index_span,
    index_text,
    missing,
    number,
    one_line,
    weeks_text,
)
from paryield.units import listed

NAMED = 0.05
"""Strokes from which a cause is named: less is nothing in tenths."""

PART_WORDS = {
    "background": "change without practice",
    "form": "return to usual form",
    "growth": "growing up",
    "events": "lessons and other events",
    "joining": "return to usual after joining",
    "programme": "return to usual after joining a programme",
}
"""Causes in words where they are not the word itself."""

UNOFFICIAL = (
    "The Handicap Index here is worked out for forecasting. "
    "The official one comes from the golfer's association."
)


UNSOUND = (
    "Do not act on these numbers: the fit behind them did not pass its checks. They are shown only because "
    "that was asked for."
)
"""What stands on a page on top of an answer that is not reportable."""


def plainly(banner: str) -> str:
    """Return what an answer says on top of itself, as a page says it: a sentence."""
    return UNSOUND if banner == BANNER else banner


def forecast_short(view: Listed) -> str:
    """Return the index at the headline horizon with its 8-in-10 range, or why there is none."""
    row = view.ahead("handicap_index")
    if view.left is not None:
        return f"left on {day(view.left)}"
    if row is None or not row["reportable"]:
        return f"not given: {_reason(row['reason'] if row else None)}"
    return index_range(row)


def forecast_title(view: GolferView) -> str:
    """Return the finding of the forecast figure."""
    row, now = view.ahead("handicap_index"), view.index_now
    if row is None or not row["reportable"]:
        return "Rounds so far"
    ahead = f"about {index_text(row['q50'])} in {weeks_text(view.weeks)}"
    return f"Handicap Index {ahead}" if now is None else f"Handicap Index {index_text(now)} today, {ahead}"


def forecast_sentences(view: GolferView) -> list[str]:
    """Return where the golfer will be at the headline horizon under the same practice as now."""
    row = view.ahead("handicap_index")
    ahead = f"in {weeks_text(view.weeks)}"
    if row is None:
        return [f"No forecast was made for the index {ahead}."]
    if not row["reportable"]:
        return [f"The index {ahead} cannot be given: {_reason(row['reason'])}."]
    found = f"Practising as now, the Handicap Index on {day(row['on'])} is estimated at {index_range(row)}."
    level = view.ahead("mean_differential")
    lines = [found] if view.index_now is None else [found, _move(view.index_now, row)]
    if level and level["reportable"]:
        lines.append(f"An average round is then estimated at a score differential of {index_range(level)}.")
    return [*lines, *because_sentences(row)]


def because_sentences(row: Mapping[str, Any]) -> list[str]:
    """Return why the average round moves until the day of a forecast, or nothing where it is not told.

    Parameters
    ----------
    row : mapping
        One record of the forecast; ``because`` lists the parts in strokes, positive where scores rise.
    """
    parts = row.get("because")
    if not isinstance(parts, list) or not parts:
        return []
    large = [one for one in parts if abs(one["mean"]) >= NAMED]
    rest = sum(float(one["mean"]) for one in parts if one not in large)
    sizes = adding_up([*(float(one["mean"]) for one in large), rest])
    whole = round(sum(sizes), 1)
    named = [
        f"{PART_WORDS.get(one['part'], one['part'])} {signed(size)} "
        f"({signed(one['q10'])} to {signed(one['q90'])})"
        for one, size in zip(large, sizes, strict=False)
        if size
    ]
    if named and sizes[-1]:
        named.append(f"the rest {signed(sizes[-1])}")
    reason = f": {', '.join(named)}" if named else "; no single cause moves it by a tenth of a stroke"
    if abs(whole) < NAMED:
        return [f"By {day(row['on'])} the average round is expected to stay where it is{reason} (estimated)."]
    verb = "rises" if whole > 0 else "falls"
    return [f"The average round {verb} {number(abs(whole))} by {day(row['on'])}{reason} (estimated)."]


def signed(value: float) -> str:
    """Return strokes with their sign."""
    text = number(value)
    return f"+{text}" if float(f"{value:.1f}") > 0 else text


def trust_sentences(
    health: Health, run: RunFacts, returns: pd.DataFrame | None = None, *, answered: bool = True
) -> list[str]:
    """Return whether the numbers can be trusted, and on what the returns rest."""
    if not health.ok:
        failed = f" ({'; '.join(one_line(line) for line in health.lines)})" if health.lines else ""
        return [f"No: the fit did not pass its health checks{failed}. Do not act on these numbers."]
    if not answered:
        return ["There is no answer to trust yet. The fit of the club itself passed its health checks."]
    if run.quick:
        first = "Only as a first look: this was a rough fit with few draws. Fit in full before acting on it."
    else:
        first = "Yes, within the ranges shown: the fit passed its health checks."
    lines = [first]
    if returns is not None and len(practice_rows(returns)):
        words = practice_rows(returns)["evidence"].tolist()
        counts = [f"{words.count(word)} {word}" for word in EVIDENCE]
        lines.append(f"Of the returns of {len(words)} practice categories, {listed(counts)}.")
    return lines


def _move(now: float, row: Mapping[str, Any]) -> str:
    change = round(float(row["q50"]) - now, 1)
    if change < 0:
        middle = f"Expect it to fall by about {number(-change)} from today's {index_text(now)}"
    elif change > 0:
        middle = f"Expect it to rise by about {number(change)} from today's {index_text(now)}"
    else:
        middle = f"Expect it to stay near today's {index_text(now)}"
    if row["q90"] < now or row["q10"] > now:
        return f"{middle}, and today's lies outside the range."
    return f"{middle}, but the range holds today's too: it may move either way."


def index_range(row: Mapping[str, Any]) -> str:
    """Return the middle value and the 8-in-10 range on the index scale."""
    return f"{index_text(row['q50'])} (8 in 10: {index_span(row['q10'], row['q90'])})"


def _reason(reason: Any) -> str:
    text = "" if missing(reason) else one_line(reason).rstrip(".")
    return text or "the records do not suffice"
