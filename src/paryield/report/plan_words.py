"""What is said of a golfer's week: one sentence, the same on every page, in the terminal and on paper."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from paryield.plan.week_verdict import AS_GOOD, WORTH
from paryield.report.words import (
    category_text,
    chance_text,
    number,
    span,
    strokes,
    time_text,
    weeks_text,
)
from paryield.units import listed

HELD_SURE, HELD_STROKES = 0.7, 0.1
"""Chance and median strokes below which not even a change that the run before advised is kept."""
SURE, STROKES = 0.8, 0.2
"""The same for a change that is new; between the two the sentence says that it is kept from before."""

LEAST_MOVE = 0.2
"""Hours a week from which a move is named."""
LEAST_SAID = 1.0 / 60.0
"""Hours a week from which a smaller one is, where it is the largest of its side."""
SHOWS = 0.05
"""Median strokes below which a week is said to make no difference that would show."""

WEEK_CELLS = {
    "change": "Change the week: {move}. It saves about {saved}, and the chance that it beats the present "
    "week is {chance} ({evidence}).",
    "stay": "Stay with the change that the run before advised: {move}. It saves about {saved}, and the "
    "chance that it beats the present week is {chance} ({evidence}): less clear than it was, and kept until "
    "it clearly fails.",
    "try": "Try as a block of {weeks}: {move}. It may save {saved}, or cost {price} if the new hours do "
    "nothing; chance of beating the present week: {chance} ({evidence}).",
    "keep": "Keep the present week: no other is worth naming. The best-looking one {saves} ({evidence}).",
    "within": "Keep the present week as far as is allowed, {allowed}: no other is worth naming. The "
    "best-looking one {saves} ({evidence}).",
}
"""The one sentence about a golfer's week, by verdict."""

AREA_TESTS = {
    "off_the_tee": "drives in the bay",
    "approach": "approach shots in the bay",
    "short_game": "chips or bunker shots",
    "putting": "putts from four distances",
}
"""What measures each scoring area."""

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


def week_sentence(record: Mapping[str, Any]) -> str:
    """Return what a golfer is told of his week: the same words wherever his week is spoken of.

    Parameters
    ----------
    record : mapping
        One record of the plan command.

    Raises
    ------
    KeyError
        When verdict and numbers disagree.
    """
    return WEEK_CELLS[_cell(record)].format(
        move=moved_by(record),
        allowed=_allowed(record),
        saved=saved(record),
        saves=_saves(record),
        chance=chance_text(record["chance_gain"]),
        evidence=record["evidence"],
        weeks=weeks_text(record["weeks"]),
        price=number(record["price_if_wrong"], 2),
    )


def _cell(record: Mapping[str, Any]) -> str:
    verdict = str(record["verdict"])
    if verdict == "keep" and record.get("limited"):
        return "within"
    if verdict != "change":
        return verdict
    chance, middle = float(record["chance_gain"]), float(record["gain"]["q50"])
    if chance < HELD_SURE or middle < HELD_STROKES:
        raise KeyError(f"a change with a chance of {chance:g} and {middle:g} strokes")
    return "change" if chance >= SURE and middle >= STROKES else "stay"


def plan_sentence(record: Mapping[str, Any]) -> str:
    """Return what was asked of a plan, and :func:`week_sentence`."""
    placed = sum(row["hours_advised"] for row in record["weeks_plan"])
    asked = f"{time_text(record['hours'])} a week"
    if record["weeks_plan"] and time_text(placed) != time_text(record["hours"]):
        asked += f", of which {time_text(placed)} could be placed,"
    asked += f" for {weeks_text(record['weeks'])}"
    asked += ", against the same time in the usual split"
    return f"{asked}, aim: {AIM_WORDS[record['aim']]}. {week_sentence(record)}"


def rule_sentence() -> str:
    """Return when another week is named, the same for every golfer."""
    return (
        f"Another week is named where it is expected to save at least {number(WORTH, 2)} strokes a round and "
        f"the present one lies at least {number(AS_GOOD, 1)} behind the best there may be; a verdict once "
        "given is kept until it clearly fails."
    )


def tell_sentence(record: Mapping[str, Any]) -> str:
    """Return what would tell where nothing or little was measured; else empty."""
    if record["evidence"] == "measured" or not record["weeks_plan"]:
        return ""
    tests = listed([AREA_TESTS[area] for area in record["areas_to_test"] or list(AREA_TESTS)])
    return (
        "What would tell which practice pays: 8 to 13 weeks with most of the time on one area, then as many "
        "on another, which first drawn by lot so that season and form do not decide; and a test every "
        f"other week ({tests}). It takes a season; a group tells more than one golfer."
    )


def regret_sentence(record: Mapping[str, Any]) -> str:
    """Return how far the advised and the present week fall short of the best there may be."""
    mine, present = (number(record[name], 2) for name in ("regret", "regret_now"))
    if mine == present:
        return f"On average {strokes(record['regret'], 2)} a round behind the best week there may be."
    return (
        f"On average {strokes(record['regret'], 2)} a round behind the best week there may be; the present "
        f"week is {present} behind it."
    )


def saved(record: Mapping[str, Any]) -> str:
    """Return strokes saved a round at the horizon, with the 8-in-10 range."""
    gain = record["gain"]
    return f"{strokes(gain['q50'], 2)} a round (8 in 10: {span(gain['q10'], gain['q90'], 2)})"


def _saves(record: Mapping[str, Any]) -> str:
    gain = record["gain"]
    if abs(gain["q50"]) < SHOWS:
        low, high = number(gain["q10"], 2), number(gain["q90"], 2)
        return f"makes no difference that would show (8 in 10: {low} to {high} strokes saved a round)"
    if gain["q50"] < 0:
        low, high = number(gain["q10"], 2), number(gain["q90"], 2)
        return f"costs about {strokes(-gain['q50'], 2)} a round (8 in 10: {low} to {high} saved)"
    return f"saves about {saved(record)}"


def _allowed(record: Mapping[str, Any]) -> str:
    """Return what less is advised because no more is allowed, such as driver 30 min instead of 1 h 30 min."""
    cut = [row for row in record["weeks_plan"] if row["category"] in (record.get("limited") or ())]
    said = [
        f"{category_text(row['category'])} {time_text(row['hours_advised'])} instead of "
        f"{time_text(row['hours_now'])}"
        for row in cut
    ]
    return listed(said) if said else ""


def moved(record: Mapping[str, Any]) -> str:
    """Return which categories get more and which less, the largest moves first."""
    more, less = _moves(record)
    parts = []
    for word, rows in (("more", more[:3]), ("less", less[:3])):
        if rows:
            parts.append(f"{word} {listed([category_text(row['category']) for row in rows])}")
    return ", ".join(parts) or "the advised split"


def moved_by(record: Mapping[str, Any]) -> str:
    """Return the two largest moves of a week in minutes: driver 1 h 30 min instead of 45 min."""
    more, less = _moves(record)
    named = [*more[:1], *less[:1]] if more and less else [*more[:2], *less[:2]]
    said = [
        f"{category_text(row['category'])} {time_text(row['hours_best'])} instead of "
        f"{time_text(row['hours_now'])}"
        for row in named
    ]
    return listed(said) if said else "the advised split"


def _moves(record: Mapping[str, Any]) -> tuple[list[Mapping[str, Any]], list[Mapping[str, Any]]]:
    """Return rows of more and of less hours, the largest moves first.

    Moves of :data:`LEAST_MOVE` and more count. Where all on one side are smaller, the largest stands for
    them: what a week takes away it gives to something.
    """
    rows = [(row["hours_best"] - row["hours_now"], row) for row in record["weeks_plan"]]
    any_large = any(abs(change) >= LEAST_MOVE for change, _ in rows)
    sides: list[list[Mapping[str, Any]]] = []
    for sign in (1, -1):
        side = sorted((one for one in rows if sign * one[0] >= LEAST_SAID), key=lambda one: -abs(one[0]))
        large = [row for change, row in side if abs(change) >= LEAST_MOVE]
        sides.append(large or [row for _, row in side[:1] if any_large])
    return sides[0], sides[1]


def week_short(record: Mapping[str, Any]) -> str:
    """Return the verdict on a week in a few words for a list: keep, or what to try or to change."""
    verdict = str(record["verdict"])
    if verdict == "keep" and record.get("limited"):
        return "keep what is allowed"
    return verdict if verdict == "keep" else f"{verdict}: {moved(record)}"


def week_hours(record: Mapping[str, Any]) -> str:
    """Return the advised hours by category on one line."""
    return ", ".join(
        f"{category_text(row['category'])} {time_text(row['hours_advised'])}"
        for row in record["weeks_plan"]
        if row["hours_advised"] >= 0.05
    )
