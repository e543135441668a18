"""My week on the desk: ticked sessions go on record, nothing else does."""

from __future__ import annotations

import re

from desk_reader import Reader, text_of

from paryield.club import Club


def test_ticking_puts_sessions_on_record(reader: Reader) -> None:
    address = reader.page_of("G02").removesuffix(".html") + "/week"
    shown = reader.get(address).text
    assert "worked out here" in text_of(shown)
    ticks = re.findall(r'name="(done-\d+)"', shown)
    assert len(ticks) > 1
    with Club.open(reader.desk.where) as club:
        before = len(club.tables().practice)
    refused = reader.post(address, {})
    assert refused.status_code == 400
    assert "nothing is ticked" in text_of(refused.text)
    stored = reader.post(address, dict.fromkeys(ticks[:2], "yes"))
    assert "2 sessions put on record" in text_of(stored.text)
    with Club.open(reader.desk.where) as club:
        practice = club.tables().practice
    assert len(practice) == before + 2
    again = reader.get(address).text
    assert again.count("checked disabled") == 2
    assert (
        re.search(r"Week of Monday, [^<]+", again).group()
        == re.search(r"Week of Monday, [^<]+", shown).group()
    )
    stale = reader.post(address, dict.fromkeys(ticks[:2], "yes"))
    assert stale.status_code == 400


def test_the_calendar_of_a_week(reader: Reader) -> None:
    answer = reader.get(reader.page_of("G02").removesuffix(".html") + "/week.ics")
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    assert answer.text.startswith("BEGIN:VCALENDAR\r\n")
    assert "G02" not in answer.text
