"""My week: index, goal and the sessions of the first advised week, for a telephone or a calendar."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from types import MappingProxyType

from icalendar import Calendar, Event

from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.sessions import GIVEN_ON, PUT_TOGETHER
from paryield.report.first_screen import HERE
from paryield.report.rendering import environment, style
from paryield.report.views import GolferView
from paryield.report.words import (
    as_date,
    balls_text,
    category_text,
    chance_text,
    day,
    index_text,
    missing,
    one_line,
    sentence,
)

RECENT_DAYS = 14
"""A record that ended longer ago is no diary of this week: the card is then for the week after the record.
[judgement]"""


@dataclass(frozen=True)
class Entry:
    """One entry of the diary: its day, and its minutes and balls where they are on record."""

    on: date
    minutes: float | None = None
    balls: float | None = None

    @property
    def words(self) -> str:
        """What was done and on which day: 60 min done on Tuesday."""
        much = "" if self.balls is None else f"{self.balls:g} balls "
        much = much if self.minutes is None else f"{self.minutes:g} min "
        return f"{much}done on {self.on:%A}"


NO_PRACTICE: Mapping[str, Sequence[Entry]] = MappingProxyType({})


@dataclass(frozen=True)
class Session:
    """One session: its day, what is practised, minutes, balls where counted, the entry that it is done by."""

    on: date
    category: str
    minutes: int
    reps: int | None
    entry: Entry | None = None

    @property
    def done(self) -> bool:
        """Whether an entry of the diary stands for it."""
        return self.entry is not None

    @property
    def words(self) -> str:
        """What to do: chipping, 34 min (100 balls)."""
        balls = "" if self.reps is None else f" ({balls_text(self.reps, self.category)})"
        return f"{category_text(self.category)}, {self.minutes} min{balls}"


@dataclass(frozen=True)
class WeekCard:
    """What the card holds; ``sessions`` in the order of their days, ``plan`` where it is a saved one.

    ``together`` says which practice is too short for a session of its own; ``begins`` is the Monday of a week
    of the calendar, None where the week begins on the day after the last one on record.
    """

    name: str
    index: str
    goal: str
    sessions: tuple[Session, ...]
    plan: str = ""
    together: str = ""
    begins: date | None = None

    def marked(self) -> dict[str, Session]:
        """Return the sessions by a mark that tells one from another, also when the week is made anew."""
        found: dict[str, Session] = {}
        for one in self.sessions:
            alike = f"{one.on.isoformat()} {one.category} {one.minutes}"
            number = sum(mark.startswith(f"{alike} ") for mark in found)
            found[f"{alike} {number}"] = one
        return found

    def days(self) -> dict[date, list[tuple[str, Session]]]:
        """Return the sessions by day, each with its mark."""
        found: dict[date, list[tuple[str, Session]]] = {}
        for mark, session in self.marked().items():
            found.setdefault(session.on, []).append((mark, session))
        return found


def monday_of(day: date) -> date:
    """Return the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def current_week(as_of: date, today: date) -> date:
    """Return the Monday of the week that a card is for: today's, or that after the record where it is old."""
    recent = as_of <= today <= as_of + timedelta(days=RECENT_DAYS)
    return monday_of(today if recent else as_of + timedelta(days=1))


def week_card(
    view: GolferView, begins: date | None = None, practised: Mapping[str, Sequence[Entry]] = NO_PRACTICE
) -> WeekCard:
    """Return the card of a golfer: of the saved plan that runs, else of the advised week.

    Without either it holds no session.

    Parameters
    ----------
    view : GolferView
    begins : date, optional
        A Monday: sessions stand on their weekdays of that week. Without it they stand on the seven days after
        the last one on record.
    practised : mapping
        Entries on record in that week by category, in the order of their days: each stands for a session,
        the earliest first. Where a saved plan begins within the week, neither sessions nor entries before
        its first day count; where no session is left, the card is for the week after.
    """
    kept = view.kept
    rows = kept.sessions if kept is not None else [] if view.plan is None else view.plan["sessions"]
    notes = kept.notes if kept is not None else [] if view.plan is None else view.plan.get("notes", [])
    made = [Session(as_date(row["on"]), row["category"], row["minutes"], row["reps"]) for row in rows]
    end = view.as_of + timedelta(days=7)
    first = [one for one in made if one.on <= end]
    if begins is not None:
        moved = [replace(one, on=begins + timedelta(days=one.on.weekday())) for one in first]
        starts = kept.starts_on if kept is not None and kept.starts_on is not None else begins
        left = [one for one in moved if one.on >= starts]
        if moved and not left:
            begins, practised = begins + timedelta(days=7), NO_PRACTICE
            left = [replace(one, on=one.on + timedelta(days=7)) for one in moved]
        first = _ticked(sorted(left, key=lambda one: one.on), practised, starts)
    goal = view.goal
    under = "" if kept is None else " with the present week"
    known = goal is not None and not missing(goal.chance)
    chance = f": a chance of {chance_text(goal.chance)}{under}" if goal is not None and known else ""
    return WeekCard(
        name=view.name,
        index=_index(view.index_now),
        goal="" if goal is None else f"Goal {index_text(goal.goal)} by {day(goal.by)}{chance}",
        sessions=tuple(first),
        plan="" if kept is None else f"From the plan {one_line(kept.plan)}, until {day(kept.ends_on)}",
        together=next((sentence(line) for line in notes if line.endswith((PUT_TOGETHER, GIVEN_ON))), ""),
        begins=begins,
    )


def _ticked(
    sessions: Sequence[Session], practised: Mapping[str, Sequence[Entry]], starts: date
) -> list[Session]:
    left = {name: [one for one in held if one.on >= starts] for name, held in practised.items()}
    return [
        replace(one, entry=left[one.category].pop(0) if left.get(one.category) else None) for one in sessions
    ]


def _index(index: float | None) -> str:
    return "No Handicap Index yet" if index is None else f"Handicap Index {index_text(index)} ({HERE})"


NOTHING = "No session is planned yet. Log practice for some weeks; then a week can be advised."


def week_page(card: WeekCard) -> str:
    """Return the card as a document of its own, which prints on A6 with boxes to tick by hand."""
    css, policy = style()
    return (
        environment()
        .get_template("week.html")
        .render(card=card, css=css, policy=policy, nothing=NOTHING, caution=STANDING_CAUTIONS[0])
    )


def week_calendar(card: WeekCard, key: str) -> bytes:
    """Return the sessions as a calendar file (iCalendar, RFC 5545): one event a session, on its day.

    Parameters
    ----------
    card : WeekCard
    key : str
        Tells this golfer's events from another's and gives no name away; the same week again replaces them.
    """
    calendar = Calendar()
    calendar.add("prodid", "-//paryield//my week//EN")
    calendar.add("version", "2.0")
    for place, session in enumerate(card.sessions):
        told = f"{key} {session.on.isoformat()} {session.category} {place}"
        event = Event()
        event.add("uid", f"{hashlib.sha256(told.encode()).hexdigest()[:32]}@paryield")
        event.add("dtstamp", datetime(session.on.year, session.on.month, session.on.day, tzinfo=UTC))
        event.add("dtstart", session.on)
        event.add("summary", f"Practice: {session.words}")
        calendar.add_component(event)
    return bytes(calendar.to_ical())
