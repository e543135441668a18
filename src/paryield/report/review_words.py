"""A review in words, from tables of verdicts."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

import pandas as pd

from paryield.report.views import Goal
from paryield.report.words import (
    category_text,
    chance_text,
    day,
    index_text,
    missing,
    number,
    one_line,
    sentence,
    span,
    time_text,
)
from paryield.units import counted

Row = Mapping[str, Any]
TEST_CELLS = {
    "better": "better, beyond the error of the test",
    "worse": "worse, beyond the error of the test",
    "same": "no change beyond the error of the test",
    "no error": "the error of one value is not known, so a change cannot be told from luck",
}
"""What is said of a test, by verdict."""

SURE = 0.9
"""Chance beyond which a change of a test is called one: outside the range that holds 8 in 10."""


def course_verdict(goal: Goal | None) -> str:
    """Whether the goal is on course: at least an even chance is, 2 in 10 is open, less is behind."""
    if goal is None or missing(goal.chance):
        return "cannot tell"
    chance = float(goal.chance)  # type: ignore[arg-type]
    return "on course" if chance >= 0.5 else "open" if chance >= 0.2 else "behind"


def to_decide(goal: Goal | None, plan: Row | None) -> str:
    """Return the one thing that coach and golfer should decide when they meet."""
    if goal is None:
        return "Agree a goal: an index and a date."
    if goal.passed:
        return f"The goal of {index_text(goal.goal)} by {day(goal.by)} has passed its day: agree a new one."
    if goal.reached:
        return f"The goal of {index_text(goal.goal)} is reached: agree a further one?"
    course = course_verdict(goal)
    chance = "" if missing(goal.chance) else f" (chance {chance_text(goal.chance)})"
    aim = f"the goal of {index_text(goal.goal)} by {day(goal.by)}{chance}"
    if course == "behind":
        return f"Keep {aim}, or set a later date or more hours?"
    if plan is not None and plan["verdict"] != "keep":
        return "Take up the advised week, or stay with the present one?"
    return f"Keep {aim} as it is?"


def index_sentence(rounds: pd.DataFrame, since: date, until: date) -> str:
    """Return the Handicap Index on the first and last day of a period, and the rounds that lie in it.

    Parameters
    ----------
    rounds : DataFrame
        ``played_on``, ``differential`` and ``index_after`` of the rounds with a differential, in their order.
    since, until : date
        The first day is left out of the count.
    """
    on = pd.to_datetime(rounds["played_on"])
    before, all_ = rounds[on <= pd.Timestamp(since)], rounds[on <= pd.Timestamp(until)]
    played = counted(len(all_) - len(before), "round")
    then, now = (frame["index_after"].dropna() for frame in (before, all_))
    if now.empty:
        return f"none yet; {played} played"
    after = index_text(float(now.iloc[-1]))
    first = "none" if then.empty else index_text(float(then.iloc[-1]))
    new = rounds[(on > pd.Timestamp(since)) & (on <= pd.Timestamp(until))]
    best = ""
    if len(new) > 1:
        row = new.iloc[int(new["differential"].to_numpy(dtype=float).argmin())]
        best = f", the best of them {index_text(row['differential'])} on {day(row['played_on'])}"
    return f"{first} on {day(since)}, {after} now; {played} with a differential since{best}"


def unseen_sentence(rounds: pd.DataFrame, since: date, until: date) -> list[str]:
    """Say that a change is expected and not seen where no round lies in a period; else nothing."""
    on = pd.to_datetime(rounds["played_on"])
    if ((on > pd.Timestamp(since)) & (on <= pd.Timestamp(until))).any():
        return []
    return ["No round was played, so this is what season, practice and form lead to expect, not seen:"]


def test_verdict(row: Row) -> str:
    """Whether a test changed by more than its error."""
    if missing(row["chance_better"]):
        return "no error"
    if row["chance_better"] >= SURE:
        return "better"
    return "worse" if row["chance_better"] <= 1.0 - SURE else "same"


def test_name(row: Row) -> str:
    """Return the test and its distance in plain words."""
    name = category_text(row["test"])
    return name if missing(row["distance_ft"]) else f"{name}, {number(row['distance_ft'], 0)} ft"


def test_praise(row: Row) -> str:
    """Return what is said of a test that went well."""
    return f"{sentence(test_name(row))}: {test_value(row, 'before')}, now {test_value(row, 'after')}."


def test_change(row: Row) -> str:
    """Return the change of a test with its 8-in-10 range, in points of 100, or why there is none."""
    if row["change"] is None:
        return "not known"
    low, middle, high = (100.0 * float(row["change"][name]) for name in ("q10", "q50", "q90"))
    return f"{number(middle, 0)} in 100 ({span(low, high, 0)})"


def test_value(row: Row, when: str) -> str:
    """Return a result as it was written down."""
    value = row[when]
    if missing(value):
        return "not known"
    unit = f" {one_line(row['unit'])}" if row["unit"] else ""
    return f"{number(value) if isinstance(value, float) else value}{unit}"


def practice_sentence(practice: list[dict[str, Any]], days: int, unknown: int, days_planned: int = 0) -> str:
    """Return what was done of what was planned, and what the diary does not know."""
    done = sum(row["hours_done"] for row in practice)
    gap = f" The diary leaves {unknown} of {days} days open, so more may have been done." if unknown else ""
    planned = [row["hours_planned"] for row in practice if row["hours_planned"] is not None]
    if not practice:
        return f"No practice is in the diary and no plan was running.{gap}"
    if not planned:
        begun = (
            f"the plan has run for {days_planned} day{'' if days_planned == 1 else 's'} only"
            if days_planned
            else "no plan was running"
        )
        return f"{time_text(done)} of practice are in the diary; {begun}.{gap}"
    kept = sum(row["hours_kept"] for row in practice if row["hours_planned"])
    share = f", {100 * kept / sum(planned):.0f} % of the plan" if sum(planned) else ""
    return f"{time_text(kept)} of {time_text(sum(planned))} planned are in the diary{share}.{gap}"


def next_sentence(first: date, last: date) -> str:
    """Return when to review next."""
    if first == last:
        return f"Next review: {day(first)}, when the plan ends."
    return f"Next review: between {day(first)} and {day(last)}."
