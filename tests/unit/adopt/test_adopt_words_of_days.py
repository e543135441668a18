"""Dashes before a month, a place before what is struck there, rings in two words, remembered names."""

from __future__ import annotations

from datetime import date

import pytest

from paryield.adopt.days import lacks_year, read_date
from paryield.adopt.kinds_of_tests import settled_name
from paryield.adopt.log import read_log
from paryield.adopt.memory import Memory
from paryield.adopt.people import People
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.tested import as_tests
from paryield.adopt.tests_named import named_test
from paryield.adopt.words import practice_of

TODAY = date(2026, 11, 30)


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("28-abr", date(2026, 4, 28)),
        ("7-May-2026", date(2026, 5, 7)),
        ("29-Apr-26", date(2026, 4, 29)),
        ("03/okt./2025", date(2025, 10, 3)),
        ("6-Apr - 12-Apr", date(2026, 4, 6)),
        ("12 May - 18 May", date(2026, 5, 12)),
        ("irons-30", None),
        ("30-balls", None),
    ],
)
def test_a_day_may_have_dashes_before_its_month(cell: str, day: date | None):
    assert read_date(cell, "day first", TODAY) == day


def test_a_day_with_dashes_says_whether_it_has_a_year():
    assert lacks_year("28-abr")
    assert not lacks_year("28-abr-2026")


@pytest.mark.parametrize(
    ("text", "kinds"),
    [
        ("Range - driver", ["driver"]),
        ("driving range – 7 iron 30 min", ["irons"]),
        ("Range - balls 75", ["irons", "irons"]),
        ("Range - putting", ["irons", "short_putting"]),
        ("Range, driver", ["irons", "driver"]),
    ],
)
def test_a_range_before_a_club_is_a_place(text: str, kinds: list[str]):
    assert [practice_of(one.phrase) for one in read_log(text)][: len(kinds)] == kinds


def test_a_ring_in_two_words_keeps_a_test_what_its_heading_says():
    named = named_test("Chip fra 12 m, inden for 2 m (af 10)", None)
    assert named.test is not None
    assert "inden for 2 m" in named.test
    assert named.tried == 10.0
    assert named_test("Put 2 m (af 10)", None).feet == pytest.approx(6.6)


def test_the_name_of_a_golfer_is_the_same_when_only_spellings_are_remembered():
    first = People(Memory())
    first.settle(["Runa Okonjo-Vale", "Ru"])
    remembered = dict(first.ids) | {"Ru": first.ids["Runa Okonjo-Vale"]}
    again = People(Memory(people=dict(sorted(remembered.items()))))
    again.settle(["Ru"])
    assert again.names[first.ids["Runa Okonjo-Vale"]] == "Runa Okonjo-Vale"


def test_a_column_that_adds_others_up_is_no_test_wherever_it_says_so():
    head: list[Cell] = ["Player", "Date", "Putts 1 m (of 10)", "Putts 2 m (of 10)", "Putts total (of 20)"]
    results = [[who, date(2026, 5, 4), 8.0, 6.0, 14.0] for who in ("Runa Okonjo-Vale", "Wim Aldertree")]
    found = as_tests(Sheet("tests.xlsx", "Tests", [head, *results]), TODAY)
    assert [row[-3:] for row in found.rows[1:]] == [[3.3, 8.0, 10.0], [6.6, 6.0, 10.0]] * 2


@pytest.mark.parametrize(
    ("heading", "name"), [("Put", "putting_ladder"), ("Putts", "putting_ladder"), ("Output", "output")]
)
def test_a_putt_by_its_northern_spelling_is_one(heading: str, name: str):
    assert settled_name(heading, lambda _: None) == name
