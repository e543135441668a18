"""Cells as people write them, read by hand."""

from __future__ import annotations

from datetime import date

import pytest

from paryield.adopt.days import Order, day_order, read_date, week_number
from paryield.adopt.log import Entry, read_log
from paryield.adopt.values import read_minutes, read_number, read_share
from paryield.adopt.words import meaning_of, practice_of

TODAY = date(2026, 7, 5)


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("12/04/2026", "day first", date(2026, 4, 12)),
        ("12/04/2026", "month first", date(2026, 12, 4)),
        ("12/04/2026", None, None),
        ("13/04/2026", None, date(2026, 4, 13)),
        ("04/13/26", None, date(2026, 4, 13)),
        ("2026-03-01", None, date(2026, 3, 1)),
        ("2026/3/1", None, date(2026, 3, 1)),
        ("Sa 12.4.2026", "day first", date(2026, 4, 12)),
        ("12.4.", "day first", date(2026, 4, 12)),
        ("12.9.", "day first", date(2025, 9, 12)),
        ("12. April 2026", None, date(2026, 4, 12)),
        ("April 12, 2026", None, date(2026, 4, 12)),
        ("3rd March", None, date(2026, 3, 3)),
        ("le 5 juin 2026", None, date(2026, 6, 5)),
        ("1 de mayo de 2026", None, date(2026, 5, 1)),
        ("Sat 10 Jan 2026", None, date(2026, 1, 10)),
        (46023.0, None, date(2026, 1, 1)),
        ("31/02/2026", "day first", None),
        ("hello", None, None),
        (85.0, None, None),
    ],
)
def test_dates(text: str | float, order: Order | None, day: date | None) -> None:
    assert read_date(text, order, TODAY) == day


def test_the_order_of_day_and_month_is_proved_or_left_open() -> None:
    assert day_order(["12/04/2026", "13/04/2026"], TODAY).order == "day first"
    assert day_order(["04/12/2026", "04/13/2026"], TODAY).order == "month first"
    assert day_order(["13/04/2026", "04/13/2026"], TODAY).order is None
    # Day first, the first date would be 5 December, which is to come.
    ahead = day_order(["05/12/2026", "05/06/2026"], TODAY)
    assert (ahead.order, ahead.sure) == ("month first", False)
    nothing = day_order(["05/06/2026", "02/01/2026", "03/02/2026"], TODAY)
    assert nothing.order is None or not nothing.sure
    assert day_order([date(2026, 4, 12), "12 April 2026"], TODAY).sure


@pytest.mark.parametrize(
    ("cell", "minutes"),
    [("45", 45), ("45 min", 45), ("90'", 90), ("1h30", 90), ("1:30", 90), ("1,5 h", 90), ("2 Std", 120)],
)
def test_minutes(cell: str, minutes: float) -> None:
    assert read_minutes(cell) == minutes
    assert read_minutes(40.0) == 40


def test_numbers_shares_and_weeks() -> None:
    assert read_number("71,2") == 71.2
    assert read_number("85*") == 85
    assert read_number("eighty") is None
    assert read_share("7/10") == read_share("7 von 10") == (7, 10)
    assert read_share("12/10") is None
    assert week_number("KW 14", 2026) == date(2026, 3, 30)  # ISO 8601
    assert week_number("Week 60", 2026) is None


def test_a_log_is_read_piece_by_piece() -> None:
    assert read_log("50 chips, ladder 20 min") == [Entry("chips", reps=50), Entry("ladder", minutes=20)]
    assert read_log("3x30 putts + 45' range") == [Entry("putts", reps=90), Entry("range", minutes=45)]
    assert read_log("1,5 h irons and gym 40 min") == [Entry("irons", minutes=90), Entry("gym", minutes=40)]
    assert read_log("short putts 100, 20 min") == [Entry("short putts", reps=100, minutes=20)]
    assert read_log("50 chips, 20 min, ladder") == [
        Entry("chips", reps=50, minutes=20),
        Entry("ladder", state="unknown"),
    ]
    assert read_log("chips 7/10") == [Entry("chips", reps=10, made=7, tried=10)]
    assert read_log("Ladder: 15min. Bunker 40 balls") == [
        Entry("ladder", minutes=15),
        Entry("bunker", reps=40),
    ]
    assert read_log("putting 30") == [Entry("putting", bare=30)]
    assert read_log("gym") == [Entry("gym", state="unknown")]
    assert read_log("nothing") == [Entry("", state="none")]
    assert read_log("?") == [Entry("", state="unknown")]


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("Range 1h15", 75),
        ("1h15 Range", 75),
        ("Range 1 h 15'", 75),
        ("Range 1h15min", 75),
        ("Range 1:15", 75),
        ("Range 0:45 h", 45),
        ("Range 2 h", 120),
    ],
)
def test_hours_and_minutes_behind_a_word(text: str, minutes: float) -> None:
    assert read_log(text) == [Entry("range", minutes=minutes)]


def test_a_time_of_the_day_is_no_length() -> None:
    assert read_log("gym at 10:30") == [Entry("gym at 10:30", state="unknown")]
    assert read_log("gym at 4:30 pm")[0].minutes is None


def test_repetitions_behind_a_word_in_several_languages() -> None:
    for balls in ("Bälle", "Ba\u0308lle", "Baelle", "balls", "balles", "bolas", "Schläge", "Stück"):
        assert read_log(f"Driver 60 {balls}") == [Entry("driver", reps=60)]
    assert read_log("Driver 1 h 60 balls")[0].minutes == 60


def test_a_bucket_holds_an_unknown_number_of_balls() -> None:
    assert read_log("2 Eimer Bälle") == [Entry("bälle", state="unknown")]
    assert read_log("2 buckets") == [Entry("buckets", state="unknown")]
    assert read_log("2 buckets of balls, driver 1 Korb") == [
        Entry("balls", state="unknown"),
        Entry("driver", state="unknown"),
    ]
    assert read_log("driver 2 buckets 45 min") == [Entry("driver", minutes=45)]
    assert read_log("driver 2 buckets of 50") == [Entry("driver", reps=100)]


def test_headers_and_practice_are_known_in_several_languages() -> None:
    assert meaning_of("Größe") is None
    assert (
        meaning_of("Schläge") == meaning_of("GROSS") == meaning_of("Gross (adj.)") == "adjusted_gross_score"
    )
    assert meaning_of("Joueur") == meaning_of("Spieler/in") == "golfer"
    assert practice_of("Putting ladder") == "short_putting"
    assert practice_of("lange Putts") == "lag_putting"
    assert practice_of("Maud Ferrin") is None


def test_a_practice_word_is_a_whole_word_or_a_known_compound() -> None:
    surnames = ("Sanderling, Chidi", "Sander", "Holzmann", "Platzer", "Lagerfeld", "Gateley", "Rundell")
    assert [practice_of(name) for name in surnames] == [None] * len(surnames)
    kinds = {
        "chipping": ("Chips", "chipping", "Chippen", "landing spot", "short games"),
        "bunker": ("sand", "Bunkerschläge", "Sandspiel", "splashes"),
        "mobility": ("Dehnübungen", "Beweglichkeit", "mobilité", "Mobilitätstraining", "stretching"),
        "strength": ("Krafttraining", "Fitnessstudio", "musculation", "weights", "lifting"),
        "irons": ("Eisen 7", "Rangebälle", "7-iron", "iron play", "fers", "approaches", "Bälle"),
        "driver": ("Hölzer", "driving", "drives", "fairway woods", "Drivertraining"),
        "lag_putting": ("lange Putts", "lag putts"),
        "short_putting": ("Putten", "puttning", "putts", "gates"),
        "half_swing": ("half swings", "halbe Schwünge"),
        "on_course": ("Platzrunde", "on course", "Runden"),
    }
    for kind, phrases in kinds.items():
        assert {phrase: practice_of(phrase) for phrase in phrases} == dict.fromkeys(phrases, kind)


def test_a_time_without_a_word_goes_to_what_stands_beside_it() -> None:
    assert read_log("30 min. Sand") == [Entry("sand", minutes=30)]
    assert read_log("ladder, 20 min") == [Entry("ladder", minutes=20)]
    assert read_log("bump & run 20 min") == [Entry("bump-and-run", minutes=20)]


def test_a_course_of_lessons_is_no_time_on_the_course() -> None:
    assert practice_of("platzreife-kurs") is None
    assert practice_of("platzrunde") == "on_course"


def test_a_length_beside_another_number_is_not_known() -> None:
    """Either may be the length; a distance, a count and a span are none."""
    assert [(one.minutes, one.state) for one in read_log("1h range: irons 40, bunker 20 min")] == [
        (None, "unknown"), (20.0, "done"),
    ]  # fmt: skip
    assert read_log("100 balls: 60 irons 40 drv")[0].state == "unknown"
    for text in ("putts 10 ft 20 min", "wedges 50-100 yds 20 min", "20 min 7 iron", "driver 60 balls 20 min"):
        assert read_log(text)[0].minutes == 20, text


@pytest.mark.parametrize(
    "text", ["ca. 20 min chipping", "chipping 20ish min", "~20 min chipping", "rund 20 Min. chipping"]
)
def test_a_length_that_is_not_exact_is_taken_as_it_stands(text: str) -> None:
    assert [(one.phrase, one.minutes) for one in read_log(text)] == [("chipping", 20.0)]


def test_a_number_before_a_slash_parts_entries() -> None:
    assert [(one.phrase, one.bare) for one in read_log("wedges 30/chip 15")] == [
        ("wedges", 30.0),
        ("chip", 15.0),
    ]
