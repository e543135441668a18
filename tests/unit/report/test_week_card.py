"""The card of a week and its calendar, read back by another reader than the one that wrote it: the lines."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from paryield.plan.saved import KeptWeek
from paryield.plan.sessions import short_notes
from paryield.report.week_card import Entry, current_week, week_calendar, week_card, week_page

SESSIONS = [
    {"on": "2026-07-07", "category": "short_putting", "minutes": 34, "reps": 60},
    {"on": "2026-07-09", "category": "strength", "minutes": 40, "reps": None},
    {"on": "2026-08-20", "category": "chipping", "minutes": 20, "reps": 40},
]


def test_the_card_holds_the_first_week(make_view: Any) -> None:
    card = week_card(make_view(plan={"sessions": SESSIONS, "weeks_plan": []}))
    assert card.index == "Handicap Index 13.4 (worked out here)"
    assert card.goal.startswith("Goal 11.0 by 1 June 2027: a chance of 31")
    assert [one.words for one in card.sessions] == ["short putting, 34 min (60 balls)", "strength, 40 min"]
    assert week_card(make_view()).sessions == ()


def test_strength_is_counted_without_a_ball(make_view: Any) -> None:
    rows = [{"on": "2026-07-09", "category": "strength", "minutes": 40, "reps": 60}]
    card = week_card(make_view(plan={"sessions": rows, "weeks_plan": []}))
    assert card.sessions[0].words == "strength, 40 min (60 repetitions)"


def test_the_calendar_is_as_the_standard_says(make_view: Any) -> None:
    """RFC 5545: lines end in CR LF (3.1), a calendar has PRODID and VERSION (3.6), an event UID and DTSTAMP
    (3.6.1), a day is a DATE (3.3.4), and a comma in a text is escaped (3.3.11)."""
    card = week_card(make_view(plan={"sessions": SESSIONS, "weeks_plan": []}))
    made = week_calendar(card, "0123")
    assert made == week_calendar(card, "0123") != week_calendar(card, "4567")
    lines = made.decode().split("\r\n")
    assert "\n" not in "".join(lines)
    assert lines[0] == "BEGIN:VCALENDAR"
    assert {"VERSION:2.0", "PRODID:-//paryield//my week//EN"} <= set(lines)
    assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") == 2
    assert "DTSTART;VALUE=DATE:20260707" in lines
    assert "SUMMARY:Practice: short putting\\, 34 min (60 balls)" in lines
    uids = {line for line in lines if line.startswith("UID:")}
    assert len(uids) == 2
    assert len([line for line in lines if line.startswith("DTSTAMP:")]) == 2
    assert "Maren" not in made.decode()


def test_without_a_session_the_card_says_what_to_do(make_view: Any) -> None:
    assert "then a week can be advised" in week_page(week_card(make_view()))


def test_the_card_says_what_is_too_short_for_a_session_of_its_own(make_view: Any) -> None:
    names = ["bunker", "chipping"]
    notes = ["another note", *short_notes(names, np.array([0.1, 1.0]), {})]
    card = week_card(make_view(plan={"sessions": SESSIONS, "weeks_plan": [], "notes": notes}))
    assert card.together.startswith("Bunker: under 10 minutes a week")
    assert f"{card.together}." in week_page(card)
    kept = KeptWeek("summer", date(2026, 9, 1), SESSIONS, short_notes(["putting"], np.array([0.1]), {}))
    assert week_card(make_view(kept=kept)).together.startswith("Putting: under 10 minutes")
    plain = week_card(make_view(plan={"sessions": SESSIONS, "weeks_plan": [], "notes": ["another note"]}))
    assert plain.together == ""


def test_a_week_of_the_calendar_stays_while_its_days_come_on_record(make_view: Any) -> None:
    """Sessions keep their weekday, and what is on record is ticked, the earliest of its kind first."""
    rows = [
        {"on": "2026-07-10", "category": "chipping", "minutes": 20, "reps": 40},
        {"on": "2026-07-12", "category": "bunker", "minutes": 25, "reps": None},
        {"on": "2026-07-14", "category": "chipping", "minutes": 25, "reps": 50},
    ]
    monday = date(2026, 7, 6)
    view = make_view(as_of=date(2026, 7, 8), plan={"sessions": rows, "weeks_plan": []})
    done = [Entry(date(2026, 7, 8), 60.0, 90.0)]
    card = week_card(view, monday, {"chipping": done, "putting": [*done, *done]})
    assert [(one.on.isoformat(), one.minutes, one.done) for one in card.sessions] == [
        ("2026-07-07", 25, True), ("2026-07-10", 20, False), ("2026-07-12", 25, False),
    ]  # fmt: skip
    assert card.begins == monday
    page = week_page(card)
    assert "Week of Monday, 6 July 2026" in page
    assert page.count("checked disabled") == page.count("60 min done on Wednesday") == 1
    assert [mark.rpartition(" ")[0] for mark in card.marked()] == [
        "2026-07-07 chipping 25", "2026-07-10 chipping 20", "2026-07-12 bunker 25",
    ]  # fmt: skip
    assert page.count('name="done"') == 2
    assert [Entry(monday, balls=50.0).words, Entry(monday).words] == [
        "50 balls done on Monday",
        "done on Monday",
    ]


def test_nothing_stands_before_the_first_day_of_a_plan(make_view: Any) -> None:
    """A plan from Tuesday has no Monday in its first week, and Monday's practice is none of it."""
    tuesday = date(2026, 12, 1)
    monday = tuesday - timedelta(days=1)
    rows = [
        {"on": "2026-12-03", "category": "irons", "minutes": 40, "reps": 55},
        {"on": "2026-12-07", "category": "irons", "minutes": 50, "reps": 65},
    ]
    kept = KeptWeek("winter", date(2027, 2, 23), rows, starts_on=tuesday)
    done = {"irons": [Entry(monday, 30.0), Entry(tuesday, 60.0)]}
    card = week_card(make_view(as_of=tuesday, kept=kept), monday, done)
    assert [(one.on, one.entry) for one in card.sessions] == [(date(2026, 12, 3), Entry(tuesday, 60.0))]
    late = replace(kept, sessions=rows[1:])
    after = week_card(make_view(as_of=tuesday, kept=late), monday, done)
    assert [(one.on, one.done) for one in after.sessions] == [(date(2026, 12, 7), False)]
    assert after.begins == date(2026, 12, 7)


def test_the_week_is_that_of_today_unless_the_record_is_old() -> None:
    as_of = date(2026, 7, 8)  # a Wednesday
    this, next_one = date(2026, 7, 6), date(2026, 7, 13)
    assert [current_week(as_of, as_of + timedelta(days=ahead)) for ahead in (0, 4, 5, 11)] == [
        this, this, next_one, next_one,
    ]  # fmt: skip
    assert current_week(as_of, date(2026, 11, 30)) == this
    assert current_week(date(2026, 7, 12), date(2026, 7, 12)) == this
    assert current_week(date(2026, 7, 12), date(2027, 7, 12)) == next_one
