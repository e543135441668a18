"""My week on the desk: ticked sessions go on record, nothing else does."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pandas as pd
import pytest
from desk_reader import Reader, text_of

from paryield.club import Club
from paryield.desk.pages import week
from paryield.report.week_card import WeekCard

MARK = re.compile(r'name="done" value="([^"]+)"')


def practice_of(reader: Reader, golfer: str) -> pd.DataFrame:
    with Club.open(reader.desk.where) as club:
        practice = club.tables().practice
    return practice[practice["golfer_id"] == golfer]


def test_ticking_puts_sessions_on_record(reader: Reader) -> None:
    address = reader.page_of("G02").removesuffix(".html") + "/week"
    shown = reader.get(address).text
    assert "worked out here" in text_of(shown)
    marks = MARK.findall(shown)
    assert len(marks) > 2
    before = len(practice_of(reader, "G02"))
    refused = reader.post(address, {})
    assert refused.status_code == 400
    assert "nothing is ticked" in text_of(refused.text)
    stored = reader.post(address, {"done": marks[:2]})
    assert "2 sessions put on record" in text_of(stored.text)
    assert len(practice_of(reader, "G02")) == before + 2
    again = reader.get(address).text
    assert again.count("checked disabled") == 2
    assert len(re.findall(rf"[0-9]+ min done on {date.today():%A}", text_of(again))) >= 1
    assert re.findall(r"Week of Monday, [^<]+", again) == re.findall(r"Week of Monday, [^<]+", shown)
    stale = reader.post(address, {"done": marks[:2]})
    assert stale.status_code == 400
    assert "the week has changed" in text_of(stale.text)


def test_each_ticked_session_of_a_kind_is_an_entry_of_its_own(
    reader: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two sessions of a kind that are done before their days go on record for one day, as two entries."""
    real = week.week_card

    def twice(view: Any, begins: date, practised: Any) -> WeekCard:
        card = real(view, begins, practised)
        first = card.sessions[0]
        on = date.today() + timedelta(days=1)
        more = [replace(first, on=on + timedelta(days=later), reps=40, entry=None) for later in (0, 1)]
        return replace(card, sessions=(*card.sessions, *more))

    monkeypatch.setattr(week, "week_card", twice)
    address = reader.page_of("G02").removesuffix(".html") + "/week"
    shown = reader.get(address).text
    assert "goes on record for today" in shown
    for _ in range(2):
        before = len(practice_of(reader, "G02"))
        assert "2 sessions put on record" in text_of(
            reader.post(address, {"done": MARK.findall(reader.get(address).text)[-2:]}).text
        )
        rows = practice_of(reader, "G02")
        assert len(rows) == before + 2
    today = rows[rows["practised_on"] == pd.Timestamp(date.today())]
    assert len(today) == 4
    assert not today.duplicated(["category", "entry_no"]).any()
    assert (today["reps"] == 40).sum() >= 2


def test_the_calendar_of_a_week(reader: Reader) -> None:
    answer = reader.get(reader.page_of("G02").removesuffix(".html") + "/week.ics")
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    assert answer.text.startswith("BEGIN:VCALENDAR\r\n")
    assert "G02" not in answer.text
