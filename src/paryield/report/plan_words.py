"""Findings about a plan in words; every sentence comes from a table of verdict, size and sureness."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from paryield.report.goal_words import hours_text
from paryield.report.words import category_text, chance_text, listed, number, strokes, weeks_text

SURE, STROKES = 0.8, 0.2
"""From what chance a gain is called sure enough, and from how many strokes it is worth a change."""
HELD_SURE, HELD_STROKES = 0.7, 0.1
"""The same for a change that the run before advised already."""
STAY = (
    "Stay with the change that the run before advised: {move} saves about {saved}, chance {chance}. That is "
    "less clear than it was; the advice is kept until it clearly fails."
)

PLAN_CELLS: dict[tuple[str, bool, bool], str] = {
    ("change", True, False): STAY,
    ("change", False, True): STAY,
    ("change", False, False): STAY,
    ("change", True, True): "Change the week: {move} saves about {saved}, and the chance that it beats the "
    "present week is {chance}.",
    ("keep", False, False): "Keep the present week. The best-looking other split would save about {saved}, "
    "with a chance of {chance} to be better: too little and too unsure to change for.",
    (
        "keep",
        False,
        True,
    ): "Keep the present week. The best-looking other split would save about {saved}, "
    "but the chance that it is better at all is only {chance}: we cannot tell yet.",
    (
        "keep",
        True,
        False,
    ): "Keep the present week. Another split is probably better (chance {chance}), but "
    "by too little to matter: about {saved}.",
}
"""Sentence by verdict, whether the gain is sure enough, and whether it is worth a change."""

AIM_WORDS = {
    "likely": "the greatest expected gain",
    "safe": "the greatest gain that is reached in 8 cases of 10",
    "learn": "learning most about which area is best",
}


PHASES = {
    "off_season": "off season",
    "pre_season": "before the season",
    "in_season": "in season",
    "break": "break",
    None: "no phase on file",
}
"""Phases of the year in words."""


def plan_cell(record: Mapping[str, Any]) -> tuple[str, bool, bool]:
    """Return the cell of the table that a plan falls into.

    Raises
    ------
    KeyError
        For advice to change that not even the run before would make good.
    """
    chance, middle = float(record["chance_gain"]), float(record["gain"]["q50"])
    cell = str(record["verdict"]), chance >= SURE, middle >= STROKES
    if cell[0] == "change" and (chance < HELD_SURE or middle < HELD_STROKES):
        raise KeyError(cell)
    return cell


def plan_sentence(record: Mapping[str, Any]) -> str:
    """Return the finding of a plan in one or two sentences.

    Parameters
    ----------
    record : mapping
        One record of the plan command.

    Raises
    ------
    KeyError
        When verdict and numbers disagree.
    """
    kept = f"{hours_text(record['hours'])} a week for {weeks_text(record['weeks'])}"
    said = PLAN_CELLS[plan_cell(record)].format(
        move=moved(record), saved=saved(record), chance=chance_text(record["chance_gain"])
    )
    return f"{kept}, aim: {AIM_WORDS[record['aim']]}. {said}"


def saved(record: Mapping[str, Any]) -> str:
    """Return strokes saved a round at the horizon, with the 8-in-10 range."""
    gain = record["gain"]
    return (
        f"{strokes(gain['q50'], 2)} a round (8 in 10: {number(gain['q10'], 2)} to {number(gain['q90'], 2)})"
    )


def moved(record: Mapping[str, Any]) -> str:
    """Return which categories get more and which less, the largest moves first."""
    rows = [(row["hours_advised"] - row["hours_now"], row["category"]) for row in record["weeks_plan"]]
    more = [name for change, name in sorted(rows, reverse=True) if change >= 0.2][:3]
    less = [name for change, name in sorted(rows) if change <= -0.2][:3]
    parts = [f"more {listed([category_text(name) for name in more])}"] if more else []
    parts += [f"less {listed([category_text(name) for name in less])}"] if less else []
    return ", ".join(parts) or "the advised split"


def plan_short(record: Mapping[str, Any]) -> tuple[str, str, str]:
    """Return a plan for a list of golfers: verdict, strokes saved with range, hours by category."""
    gain = record["gain"]
    spread = f"{number(gain['q50'], 2)} ({number(gain['q10'], 2)} to {number(gain['q90'], 2)})"
    week = ", ".join(
        f"{category_text(row['category'])} {number(row['hours_advised'])}"
        for row in record["weeks_plan"]
        if row["hours_advised"] >= 0.05
    )
    return record["verdict"], spread, week


def week_short(record: Mapping[str, Any]) -> str:
    """Return the verdict on a golfer's week for the coach's list: what moves, or that it is kept."""
    gain = record["gain"]
    spread = f"{number(gain['q50'], 2)} ({number(gain['q10'], 2)} to {number(gain['q90'], 2)})"
    if record["verdict"] == "change":
        return f"change: {moved(record)}, saves {spread} strokes"
    return (
        f"keep; the best-looking change saves {spread} strokes, chance {chance_text(record['chance_gain'])}"
    )
