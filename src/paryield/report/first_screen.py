"""What a golfer reads first: where I stand, where I am going and why, what to do this week, how sure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

from paryield.report import review_words, split_words
from paryield.report.frames import practice_rows
from paryield.report.goal_words import goal_chance
from paryield.report.plan_words import week_sentence
from paryield.report.sentences import PART_WORDS
from paryield.report.views import GolferView
from paryield.report.words import (
    as_date,
    category_text,
    day,
    index_span,
    index_text,
    missing,
    number,
    one_line,
    time_text,
    weekday,
    weeks_text,
)
from paryield.scoring.index import FULL_RECORD
from paryield.units import listed

HERE = "worked out here"
"""Stands beside every Handicap Index in a headline: the official one comes from the golfer's association."""
WORTH_NAMING = 0.1
"""Strokes; a smaller part of what is to come is not named on the first screen."""
MOST_WORDS = 120
"""On the first screen (our choice: read aloud it takes less than a minute)."""
WELL, SESSIONS = "Went well", "Sessions"
MOST_SESSIONS = 4
"""Sessions of the first week that are named; the card of the week has all."""
BEST_ROUNDS = {
    False: "It falls as rounds enter and leave the best 8.",
    True: "It rises as rounds enter and leave the best 8.",
}
"""Why the index moves, by whether it rises, where no cause worth naming moves it so far."""
MORE_ROUNDS = {False: "It falls as more rounds count.", True: "It rises as more rounds count."}
"""The same where fewer than 20 are on record, so that it is not the best 8 of them."""
HALF = 0.5
"""Part of a change to come that causes said to be most of it have at least."""
KEPT_SHARE = 0.8
"""From this share of the planned hours on, keeping to it is worth praise (common practice, no source)."""


@dataclass(frozen=True)
class Line:
    """One line of the first screen: what it is about, and what is said."""

    about: str
    said: str


def first_screen(view: GolferView) -> tuple[Line, ...]:
    """Return the lines of the first screen, at most :data:`MOST_WORDS` words together.

    What went well gives way where there is no room for it, then why the index moves, then the sessions: all
    of them stand below too.

    Parameters
    ----------
    view : GolferView
        What is known of the golfer; nothing is computed here.
    """
    lines = [
        Line("Now", _now(view)),
        Line(f"In {weeks_text(view.weeks)}", _ahead(view)),
        Line("Goal", _goal(view)),
        Line("This week", _week(view)),
        Line(SESSIONS, _sessions(view)),
        Line("How sure", _sure(view)),
        Line(WELL, went_well(view)),
    ]
    said = tuple(line for line in lines if line.said)
    for first_to_go, rest in ((WELL, ""), (lines[1].about, _ahead(view, why=False)), (SESSIONS, "")):
        if words_of(said) > MOST_WORDS:
            cut = (replace(line, said=rest) if line.about == first_to_go else line for line in said)
            said = tuple(line for line in cut if line.said)
    return said


def words_of(lines: Iterable[Line]) -> int:
    """Return how many words stand in lines of the first screen, what they are about included."""
    return sum(len(f"{line.about} {line.said}".split()) for line in lines)


def _now(view: GolferView) -> str:
    played = len(view.rounds)
    brought = "" if missing(view.brought) else f"Handicap Index {index_text(view.brought)}, brought along. "
    if not played:
        return f"{brought}There are no rounds on record yet."
    rounds = f"{played} round{'' if played == 1 else 's'}"
    if view.index_now is None and brought:
        return f"{brought}Too few rounds on record for a new one: {played}."
    if view.index_now is None:
        return f"No Handicap Index yet: {rounds} on record, too few."
    return f"Handicap Index {index_text(view.index_now)} ({HERE}) from {rounds}."


def _ahead(view: GolferView, *, why: bool = True) -> str:
    row = view.ahead("handicap_index")
    if row is None or not row["reportable"]:
        reason = "" if row is None or missing(row["reason"]) else f": {one_line(row['reason']).rstrip('.')}"
        return f"The index cannot be given yet{reason}.{_average(view)}"
    middle, spread = index_text(row["q50"]), index_span(row["q10"], row["q90"])
    said = f"Practising as now, about {middle}, 8 in 10 times {spread}."
    return said + (_why(row, view) if why else "")


def _average(view: GolferView) -> str:
    """Return the average round to come, where there is no index to start from."""
    row = view.ahead("mean_differential")
    if row is None or not row["reportable"]:
        return ""
    middle, low, high = (number(row[name], 1) for name in ("q50", "q10", "q90"))
    return f" An average round would be about {middle} (8 in 10: {low} to {high})."


def _why(row: Mapping[str, Any], view: GolferView) -> str:
    """Return the two largest causes of the change to come, where they are worth naming.

    The causes move the average round. Where it goes the other way than the index, or causes worth naming
    come to less than half of how the index moves, that is by the rounds that count.
    """
    parts = row.get("because")
    if not isinstance(parts, list):
        return ""
    now, whole = view.index_now, sum(float(one["mean"]) for one in parts)
    change = whole if now is None else round(float(row["q50"]), 1) - round(now, 1)
    if abs(change) < WORTH_NAMING / 2:
        return ""
    by_rounds = (BEST_ROUNDS if len(view.rounds) >= FULL_RECORD else MORE_ROUNDS)[change > 0]
    if whole * change <= 0 or abs(whole) < WORTH_NAMING / 2:
        return f" {by_rounds}"
    named = [one for one in parts if one["mean"] * change > 0 and abs(one["mean"]) >= WORTH_NAMING][:2]
    if sum(float(one["mean"]) for one in named) / change < HALF:
        return f" {by_rounds}"
    return f" Mostly {listed([PART_WORDS.get(one['part'], one_line(one['part'])) for one in named])}."


def _goal(view: GolferView) -> str:
    return "" if view.goal is None else goal_chance(view.goal)


def _week(view: GolferView) -> str:
    if view.left is not None:
        return f"Left on {day(view.left)}: nothing is advised."
    if view.plan is None or not view.plan["weeks_plan"]:
        return "Write down what you practise: then a week can be advised."
    if not any(row["hours_now"] or row["hours_advised"] for row in view.plan["weeks_plan"]):
        return (
            "No practice is on record: say how many hours a week there are, and take a first test of each "
            "area. Then a week can be advised."
        )
    if view.kept is not None:
        named = f"Plan {one_line(view.kept.plan, 40)!r}, to {day(view.kept.ends_on)}"
        return f"{named}: {first_sessions(view.kept.sessions, MOST_SESSIONS)}."
    return week_sentence(view.plan)


def first_sessions(sessions: Sequence[Mapping[str, Any]], most: int) -> str:
    """Return the sessions of the first week by day and minutes, and how many more there are."""
    if not sessions:
        return "no session long enough to be laid out"
    until = as_date(sessions[0]["on"]) + timedelta(weeks=1)
    mine = [one for one in sessions if as_date(one["on"]) < until]
    days: dict[str, list[str]] = {}
    for one in mine[:most]:
        name = weekday(one["on"]).split()[0]
        days.setdefault(name, []).append(f"{category_text(one['category'])} {one['minutes']:g} min")
    more = len(mine) - most
    return "; ".join(
        [*(f"{name} {listed(said)}" for name, said in days.items()), *([f"{more} more"] if more > 0 else [])]
    )


def _sessions(view: GolferView) -> str:
    """Return the first sessions of the advised week, by day and minutes; those of a plan stand with it."""
    if view.left is not None or view.kept is not None or view.plan is None or not view.plan.get("sessions"):
        return ""
    return f"{first_sessions(view.plan['sessions'], 2)}."


def _sure(view: GolferView) -> str:
    if not view.health.ok:
        return "Not at all: the fit did not pass its checks. Do not act on these numbers."
    rows = practice_rows(view.returns)
    measured = int((rows["evidence"] != "assumed").sum())
    first = "a rough fit with few draws" if view.run.quick else "the fit is sound"
    if not len(rows):
        return f"{first.capitalize()}; no practice is on record yet."
    return (
        f"{first.capitalize()}; records speak about {measured or 'none'} of {'' if measured else 'the '}"
        f"{len(rows)} kinds of practice, {'the rest' if measured else 'all'} is assumed."
    )


def went_well(view: GolferView) -> str:
    """Return one thing that went well since the last review, or nothing where nothing clearly did."""
    review = view.review
    if review is None:
        return ""
    level = split_words.of_quantity(review.split, "mean_differential")
    whole = split_words.whole_of(level)
    if whole is not None and split_words.direction(whole["change"]) == "fell":
        fell = number(abs(float(whole["change"]["q50"])))
        return f"Your average round is about {fell} lower than on {day(review.since)}."
    for row in review.tests:
        if review_words.test_verdict(row) == "better":
            return review_words.test_praise(row)
    planned = sum(row["hours_planned"] or 0.0 for row in review.practice)
    kept = sum(min(row["hours_kept"] or 0.0, row["hours_planned"] or 0.0) for row in review.practice)
    if planned > 0 and kept >= KEPT_SHARE * planned:
        return f"You did {time_text(kept)} of {time_text(planned)} planned."
    return ""
