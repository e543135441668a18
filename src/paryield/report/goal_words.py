"""Findings about goals in words: what can be reached, and what a goal takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from paryield.report.views import Goal
from paryield.report.words import chance_text, day, index_text, missing, number, one_line, time_text

SPLIT = "split as in the present week"
"""How hours that a goal is tried with are split over the practices."""

GOAL_CELLS: dict[tuple[bool, bool], str] = {
    (True, True): "An even chance by then takes {even} a week, {split}.",
    (True, False): "An even chance by then takes {even} a week, {split}; "
    "a year from now even {tried} would not give it.",
    (False, True): "Not an even chance by then, even with {tried} a week {split}; "
    "within a year that takes {year} a week.",
    (False, False): "Not an even chance within a year, even with {tried} a week {split}.",
}
"""Sentence by whether some hours give an even chance by the date, and within a year."""


def goal_chance(goal: Goal) -> str:
    """Return a golfer's goal with its chance, or why there is none."""
    aim = f"{index_text(goal.goal)} by {day(goal.by)}"
    if goal.passed:
        return f"Passed its day ({aim}): {goal.reason}."
    if missing(goal.chance):
        return f"{aim}: {one_line(goal.reason).rstrip('.') or 'its chance cannot be given'}."
    if goal.reached:
        return f"{aim}: reached already; the chance of still holding it then is {chance_text(goal.chance)}."
    return f"{aim}: a chance of {chance_text(goal.chance)}."


def goals_sentence(record: Mapping[str, Any]) -> str:
    """Return the likely, even and stretch index of one date."""
    on = day(record["on"])
    if not record["reportable"]:
        return f"By {on} no index can be given: {one_line(record['reason'])}."
    levels = [index_text(record[name]) for name in ("likely", "even", "stretch")]
    return (
        f"By {on}, on {time_text(record['hours'])} a week as now and about "
        f"{number(record['rounds_per_month'])} counting rounds a month (estimated): likely {levels[0]} or "
        f"lower (8 in 10), even {levels[1]} (5 in 10), a stretch {levels[2]} (2 in 10)."
    )


def goal_hours_sentence(record: Mapping[str, Any], *, chance_told: bool = False) -> str:
    """Return the chance of a goal and the weekly hours for an even chance.

    Parameters
    ----------
    record : mapping
        One record of the goals command that names a goal.
    chance_told : bool
        Whether the chance stands elsewhere on the same page.
    """
    aim = f"Goal {index_text(record['goal'])} by {day(record['by'])}"
    if missing(record["chance"]):
        return f"{aim}: cannot be answered, {one_line(record.get('reason') or 'the records do not suffice')}."
    chance, hours = chance_text(record["chance"]), time_text(record["hours"])
    if record.get("reached"):
        return f"{aim}: reached today; estimated chance of still holding it then {chance} on {hours} a week."
    told = chance_told and not missing(record.get("hours_tried"))
    said = f"{aim}." if told else f"{aim}: estimated chance {chance} on {hours} a week."
    if missing(record.get("hours_tried")):
        return said
    even, year = record["hours_even"], record["hours_even_year"]
    sentence = GOAL_CELLS[even is not None, year is not None]
    if even == 0:
        return f"{said} It is at least even without any practice."
    words = {"even": time_text(even), "year": time_text(year), "tried": time_text(record["hours_tried"])}
    return f"{said} {sentence.format(split=SPLIT, **words)}"


def goals_lines(records: Sequence[Mapping[str, Any]], unofficial: str) -> list[str]:
    """Return goals as lines for a terminal: one a date, and what each goal takes."""
    lines = []
    for record in records:
        lines.append(f"{one_line(record['golfer_id'])}: {goals_sentence(record)}")
        if record.get("goal") is not None:
            lines.append(f"{one_line(record['golfer_id'])}: {goal_hours_sentence(record)}")
    return [*lines, unofficial]
