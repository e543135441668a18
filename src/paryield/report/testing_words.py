"""A golfer's tests in words: what to test, who is due, and what past tests show."""

from __future__ import annotations

from collections.abc import Sequence

from paryield.plan.measured import EIGHT_IN_TEN, Measured
from paryield.plan.testing import FIT, INDEX, NOTHING, Routine, Slot
from paryield.report.columns import columns
from paryield.report.index_words import best_of
from paryield.report.words import (
    area_text,
    category_text,
    day,
    month,
    number,
    one_line,
    sentence,
    span,
    strokes,
    time_text,
)
from paryield.units import listed

ASSUMED = (
    "What a test says in strokes rests on what is assumed of golf in general; its own error is of sampling "
    "alone. The test and the course may differ for good; that cancels in a change."
)
SHORTLY = "Strokes rest on what is assumed of golf."
"""For a golfer's page, whose picture shows the tests' own error."""
BITS = (
    "Doubt is the standard deviation of strokes lost a round in the area, now and after the test. Bits: of "
    "the golfer's areas at once; of which practice is best over 12 weeks with the test every other week."
)
RESTS = {
    NOTHING: "In no sound fit and without an index: weighed by what is known of golfers in general.",
    INDEX: "In no sound fit yet: weighed by the index and by which tests were done.",
    FIT: "Weighed by the fit.",
}


def not_added(found: Sequence[Measured], counting: int | None = 0) -> str:
    """Return why changes of tests do not add up to how the index moved, empty where no test changed.

    What a change of a test holds beside skill, and what a round holds beside what the tests measure, is as
    the model has it: the day's form at a test and getting used to it, season, course and form of rounds.

    Parameters
    ----------
    found : sequence of Measured
    counting : int, optional
        Rounds that the index of today averages, 0 in a list of tests alone; None where that is said beside.
    """
    if not any(one.change is not None for one in found):
        return ""
    rounds = "" if counting is None else f", {best_of(counting)},"
    return (
        "Test changes do not add up to how the index moved: each is of one area, luck and getting used to it "
        f"included; season, course and form move the index{rounds} too."
    )


def next_sentence(due: Sequence[str]) -> str:
    """Return what to test next of a golfer of whom little is known, empty where nothing is due."""
    if not due:
        return ""
    return f"Test next, until there are rounds to go by: {listed([one_line(one) for one in due])}."


def routine_lines(routines: Sequence[Routine]) -> list[str]:
    """Return the tests of one golfer, or who is due among several."""
    if len(routines) == 1:
        return _one(routines[0])
    rows = []
    for routine in sorted(routines, key=lambda one: (not one.due, one.golfer_id)):
        due = routine.due
        rows.append(
            [
                routine.golfer_id,
                ", ".join(slot.worth.task.title for slot in due) or "nothing",
                f"{sum(slot.worth.task.minutes for slot in due):g}",
                day(min(slot.due_on for slot in routine.chosen)),
                routine.rests_on,
            ]
        )
    minutes = routines[0].minutes_a_week if routines else 0.0
    head = ["golfer", "due", "minutes", "next on", "weighed by"]
    lead = f"Tests due on {day(routines[0].on)}, {minutes:g} minutes a week." if routines else "Nobody."
    return [lead, *columns(head, rows)]


def _one(routine: Routine) -> list[str]:
    rows = [_cells(slot, routine) for slot in routine.slots]
    head = ["test", "area", "minutes", "doubt", "bits, areas", "bits, best", "last", ""]
    first = routine.slots[0].worth.task
    lead = f"Golfer {one_line(routine.golfer_id)}: test {first.title.lower()} first. "
    used = sum(slot.worth.task.minutes for slot in routine.chosen)
    lead += f"The routine takes {used:g} minutes every other week."
    return [lead, RESTS[routine.rests_on], *columns(head, rows), BITS]


def _cells(slot: Slot, routine: Routine) -> list[str]:
    worth, task = slot.worth, slot.worth.task
    state = "" if not slot.chosen else "due" if slot.is_due(routine.on) else f"due {day(slot.due_on)}"
    return [
        task.title,
        area_text(task.area),
        f"{task.minutes:g}",
        span(worth.sd_now, worth.sd_after),
        number(worth.bits_areas, 2),
        "" if worth.bits_best is None else number(worth.bits_best, 3),
        "never" if slot.last_on is None else day(slot.last_on),
        state,
    ]


def measured_sentence(one: Measured) -> str:
    """Say what a golfer's results in a test show: before and now in its unit, and strokes."""
    name = sentence(one_line(one.test, 60))
    if one.before is None or one.after is None:
        only = one.results[-1]
        told = _range(one, only.low, only.high)
        return f"{name}: {_shown(one, only.value)} on {day(only.on)} ({told}), once."
    said = f"{name}: {_shown(one, one.before.value)} in {one.before.on:%B %Y}, "
    pooled = _shown(one, one.after.value) != _shown(one, one.results[-1].value)
    when = "now, the latest results taken together" if pooled else "now"
    said += f"{_shown(one, one.after.value)} {when} ({_range(one, one.after.low, one.after.high)})"
    if one.change is not None:
        saved, error = one.change
        low, high = saved - EIGHT_IN_TEN * error, saved + EIGHT_IN_TEN * error
        worth = f"{'worth ' if saved >= 0 else ''}{number(abs(saved))} strokes a round"
        worth += "" if saved >= 0 else " worse"
        said += f", {worth} (8 in 10: {span(low, high)} saved)"
        if low <= 0.0 <= high:
            said += "; the tests cannot tell it from no change"
    return said + "."


def clear_change(one: Measured) -> bool:
    """Whether the range of 8 in 10 of a change in strokes lies on one side of nothing."""
    if one.change is None:
        return False
    saved, error = one.change
    return abs(saved) > EIGHT_IN_TEN * error


def change_sentence(one: Measured) -> str:
    """Say in short what a clear change is worth in strokes, and what was practised in between."""
    if one.change is None or one.before is None:
        raise ValueError(f"{one.test} was not taken twice")
    saved, error = one.change
    spread = EIGHT_IN_TEN * error
    side, size = ("better", saved) if saved >= 0 else ("worse", -saved)
    hours = ", ".join(f"{category_text(name)} {time_text(value)}" for name, value in one.practised)
    done = f", after {hours}" if hours else ""
    return (
        f"{sentence(one_line(one.test, 60))}: {strokes(size)} a round {side} since {month(one.before.on)} "
        f"({span(size - spread, size + spread)}){done}."
    )


def unclear_sentence(found: Sequence[Measured]) -> str:
    """Name the tests whose change cannot be told from luck, or nothing where there are none."""
    named = [one_line(one.test, 60).lower() for one in found]
    return f"No change that can be told from luck: {listed(named)}." if named else ""


def practised_sentence(one: Measured) -> str:
    """Say what was practised between the first and the last result."""
    if len(one.results) < 2:
        return ""
    if not one.practised:
        return "No practice for it on record between."
    hours = ", ".join(f"{category_text(name)} {number(value)} h" for name, value in one.practised)
    return f"Between: {hours}."


def measured_lines(found: Sequence[Measured]) -> list[str]:
    """Return what past tests show, two lines a test."""
    if not found:
        return ["No test on record."]
    lines = []
    for one in found:
        said, between = measured_sentence(one), practised_sentence(one)
        lines.append(f"{said} {between}".rstrip())
    return [*lines, *filter(None, [not_added(found)]), ASSUMED]


def _shown(one: Measured, value: float) -> str:
    unit = one.unit if one.unit.startswith("%") else f" {one.unit}"
    return f"{number(value, 0 if one.unit in ('% made', 'yd') else 1)}{unit}"


def _range(one: Measured, low: float, high: float) -> str:
    digits = 0 if one.unit in ("% made", "yd") else 1
    return f"8 in 10: {span(low, high, digits)}"
