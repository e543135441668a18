"""Since we last met: the reader chooses the first day."""

from __future__ import annotations

from datetime import date, timedelta

from desk_reader import Reader, text_of

from paryield.plan.review import review_tables
from paryield.report.review_words import practice_sentence
from paryield.report.words import day


def address(reader: Reader) -> str:
    return f"/golfers/{reader.desk.snapshot().ids['G02']}/review"


def test_the_review_begins_on_the_day_that_is_chosen(shared_reader: Reader):
    snapshot = shared_reader.desk.snapshot()
    since = snapshot.today() - timedelta(days=30)
    page = shared_reader.get(f"{address(shared_reader)}?since={since}")
    assert page.status_code == 200
    words = text_of(page.text)
    assert "<h1>Since we last met</h1>" in page.text
    assert f"{day(since)} to {day(snapshot.today())}" in words
    found = review_tables(snapshot.posterior, snapshot.tables, "G02", since=since)
    said = practice_sentence(found.practice, 30, found.days_unknown, found.days_planned)
    assert said in words
    assert f'value="{since}"' in page.text


def test_by_default_it_begins_where_the_golfers_page_begins_and_a_month_is_offered(shared_reader: Reader):
    snapshot = shared_reader.desk.snapshot()
    usual = shared_reader.desk.view(snapshot, "G02").review.since
    page = shared_reader.get(address(shared_reader)).text
    assert f'value="{usual}"' in page
    assert "<h1>The last six weeks</h1>" in page
    assert "<h1>Since we last met</h1>" not in page
    month = snapshot.today() - timedelta(days=30)
    assert f'href="{address(shared_reader)}?since={month}">One month</a>' in page
    golfer = shared_reader.get(shared_reader.page_of("G02")).text
    fold = golfer[golfer.index('id="review"') :]
    assert f'href="{address(shared_reader)}"' in fold[: fold.index("</details>")]


def test_a_day_outside_the_record_is_said(shared_reader: Reader):
    for since, words in (
        ("1999-01-01", "1 January 1999 is not on record: choose a day from"),
        ((date.today() + timedelta(days=900)).isoformat(), "is not on record"),
        ("soon", "'soon' is no day"),
    ):
        page = shared_reader.get(f"{address(shared_reader)}?since={since}")
        assert page.status_code == 400
        assert words in text_of(page.text)
