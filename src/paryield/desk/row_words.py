"""Rows of a club in words: what they are called, what they hold, and what they held before."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from paryield.report.words import balls_text, count_text, day, index_text, missing, one_line
from paryield.report.words import number as number_text
from paryield.tables import TABLES
from paryield.tables.schema import GOAL

NOUNS = {
    "rounds": ("round", "rounds"),
    "holes": ("hole", "holes"),
    "shots": ("shot", "shots"),
    "practice": ("practice entry", "practice entries"),
    "assessments": ("test", "tests"),
    "strikes": ("measured ball", "measured balls"),
    "events": ("event", "events"),
    "plans": ("plan row", "plan rows"),
    "golfers": ("golfer", "golfers"),
    "programmes": ("programme member", "programme members"),
    "limits": ("limit", "limits"),
    "calendar": ("calendar entry", "calendar entries"),
    "settings": ("settings file", "settings files"),
}
"""One row and several rows of a table in words."""
DAYS = (
    "played_on",
    "practised_on",
    "assessed_on",
    "struck_on",
    "happened_on",
    "starts_on",
    "started_on",
)


def cell_text(table: str, name: str, value: Any) -> str:
    """Return a stored value as text: indices and differentials with one decimal."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        tenths = TABLES[table].column(name).kind in ("differential", "index")
        return f"{value:.1f}" if tenths else f"{value:g}"
    return one_line(value, 40)


def _said(
    words: Callable[[Mapping[str, Any]], str], after: dict[str, Any] | None, old: dict[str, Any] | None
) -> str:
    """Return what a row holds, and before where it was replaced: 84 at Kestrel Down, before 86."""
    if after is None:
        return ""
    said = words(after)
    if old is not None and words(old) != said:
        said += f", before {words(old)}" if said and words(old) else ""
    return said


def _score_said(after: dict[str, Any] | None, old: dict[str, Any] | None) -> str:
    return _said(score_text, after, old)


def _amount_said(after: dict[str, Any] | None, old: dict[str, Any] | None) -> str:
    return _said(amount_text, after, old)


def amount_text(values: Mapping[Any, Any]) -> str:
    """Return how much a practice entry or a test tells: 30 min, 60 balls, 12 of 20.

    ``values`` name the category where it is known.
    """
    parts = []
    if not missing(values.get("minutes")):
        parts.append(f"{values['minutes']:g} min")
    if not missing(values.get("reps")):
        parts.append(balls_text(values["reps"], str(values.get("category") or "")))
    if not missing(values.get("tried")):
        made = values.get("made")
        parts.append(f"{values['tried']:g} tried" if missing(made) else f"{made:g} of {values['tried']:g}")
    if not missing(values.get("value")):
        unit = values.get("unit")
        parts.append(f"{values['value']:g}" + ("" if missing(unit) else f" {one_line(unit, 20)}"))
    if values.get("state") == "unknown":
        parts.append("how long is not known")
    return ", ".join(parts)


def score_text(values: Mapping[str, Any]) -> str:
    """Return score and course of a round: 84 at Kestrel Down; the differential where no score is known."""
    gross, differential = values.get("adjusted_gross_score"), values.get("score_differential")
    score = f"{gross}" if gross is not None else ""
    if not score and differential is not None:
        plus = "+" if differential < 0 else ""
        score = f"differential {plus}{number_text(abs(differential), 1)}"
    course = one_line(values["course"], 40) if values.get("course") else ""
    return f"{score} at {course}" if score and course else score or course


def _goal_said(after: dict[str, Any] | None, old: dict[str, Any] | None) -> str:
    """Return the goal of a golfer where nothing else of his row changed."""
    if after is None or old is None:
        return ""
    moved = {name for name in after.keys() | old.keys() if after.get(name) != old.get(name)}
    if not moved or moved - set(GOAL):
        return ""
    return f"{_goal(after)}, before {_goal(old)}"


def _goal(values: Mapping[str, Any]) -> str:
    if values.get("goal_index") is None:
        return "none"
    by = f" by {day(values['goal_on'])}" if values.get("goal_on") else ""
    return f"{index_text(values['goal_index'])}{by}"


SAID = {
    "rounds": _score_said,
    "golfers": _goal_said,
    "practice": _amount_said,
    "assessments": _amount_said,
}
"""What is said of one row by table: its values after the change, and before."""


def counted_rows(table: str, count: int) -> str:
    """Return how many rows of a table: 3 practice entries."""
    one, several = NOUNS.get(table, (f"row of {table}", f"rows of {table}"))
    return f"{count_text(count)} {one if count == 1 else several}"


def rows_word(table: str) -> str:
    """Return what the rows of a table are called on a page: tests for assessments."""
    return NOUNS[table][1] if table == "assessments" else table.replace("_", " ")


MOVABLE = {"rounds": score_text, "practice": amount_text, "assessments": amount_text}
"""What is said of a row that is put on another day or taken off the record."""


def key_text(key: Mapping[str, Any]) -> str:
    """Return what a key names beside golfer and day: a practice category, a test."""
    return one_line(key.get("test") or key.get("category") or "", 40).replace("_", " ")


def row_text(table: str, key: dict[str, Any], names: Mapping[str, str], said: str = "") -> str:
    """Return a row by its key, and what is said of it: round of Ada on 3 May 2026, 84."""
    noun = NOUNS.get(table, (f"row of {table}", ""))[0]
    if table == "golfers" and said:
        noun = "goal"
    words = [noun]
    what = key.get("test") or key.get("category") or key.get("plan") or key.get("kind")
    if what:
        words.append(one_line(what, 40).replace("_", " "))
    who = names.get(str(key.get("golfer_id", "")))
    if who:
        words.append(f"of {who}")
    on = next((key[name] for name in DAYS if name in key), None)
    if on:
        words.append(f"on {day(on)}")
    text = " ".join(words)
    return f"{text}, {said}" if said else text
