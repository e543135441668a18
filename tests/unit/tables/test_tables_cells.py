"""One cell at a time: what is read, and what is refused with which words."""

import math
from datetime import date

import pytest

from malformed import TODAY
from paryield.tables.cells import CellReader, protect, text_of
from paryield.tables.schema import TABLES


def reader(table: str, column: str) -> CellReader:
    return CellReader(TABLES[table].column(column), TODAY)


@pytest.mark.parametrize(
    ("table", "column", "text", "value"),
    [
        ("golfers", "start_index", "+2.1", -2.1),
        ("golfers", "low_index", "+2,1", -2.1),
        ("golfers", "goal_index", "-2.1", -2.1),
        ("golfers", "start_index", "'+2.1", -2.1),
        ("rounds", "score_differential", "+0.4", -0.4),
        ("rounds", "score_differential", "−1.5", -1.5),
        ("rounds", "score_differential", "12,4", 12.4),
        ("rounds", "course_rating", "71,123", 71.123),
        ("rounds", "putting", "+0.5", 0.5),
        ("rounds", "putts", "9.0", 9.0),
        ("rounds", "putts", "31,0", 31.0),
        ("rounds", "putts", "0", 0.0),
        ("rounds", "pcc", "", 0.0),
        ("rounds", "holes", "", 18.0),
        ("rounds", "round_no", "", 1.0),
        ("rounds", "counts_for_index", "", 1.0),
        ("rounds", "competition", "", 0.0),
        ("rounds", "competition", " TRUE ", 1.0),
        ("rounds", "competition", "N", 0.0),
        ("rounds", "slope_rating", "55", 55.0),
        ("rounds", "slope_rating", "155", 155.0),
        ("practice", "minutes", "1e2", 100.0),
    ],
)
def test_numbers_and_their_traps(table, column, text, value):
    cells = reader(table, column)
    assert cells.read([text]) == [value]
    assert not cells.faults


def test_a_blank_is_unknown_and_zero_is_none():
    blank, none = reader("rounds", "putts").read(["  ", "0"])
    assert math.isnan(blank)
    assert none == 0


@pytest.mark.parametrize("text", ["2026-03-01", "2026-03-01T00:00:00", "2026-03-01 00:00:00.000"])
def test_iso_dates_are_days_since_1970(text):
    expected = (date(2026, 3, 1) - date(1970, 1, 1)).days
    assert reader("rounds", "played_on").read([text]) == [expected]


def test_today_is_not_the_future():
    cells = reader("rounds", "played_on")
    cells.read(["2026-07-05", "2026-07-06"])
    assert list(cells.faults) == ["2026-07-06"]


@pytest.mark.parametrize(
    ("table", "column", "text", "message", "remedy"),
    [
        ("rounds", "putts", "9.5", "is not a whole number", "leave it blank"),
        ("rounds", "putts", "1_000", "is not a whole number", "without unit or words"),
        ("rounds", "putts", "9" * 400, "must lie between", "check the value"),
        ("rounds", "course_rating", "71.5.1", "is not a number", "leave it blank"),
        ("rounds", "course_rating", "inf", "is not a number", "leave it blank"),
        ("rounds", "score_differential", "1e999", "must lie between -20 and 120", "check the value"),
        ("assessments", "value", "1,234", "may be thousands or a decimal comma", "write 1234 or 1.234"),
        ("practice", "minutes", "1h30", "is a time, not a number of minutes", "write 90 for 1 h 30 min"),
        ("practice", "minutes", "90 min", "is not a number", "without unit or words"),
        (
            "practice",
            "schedule",
            "randon",
            "is not a word",
            "blocked, random; nearest is random",
        ),
        ("rounds", "played_on", "3.4.26", "day first or month first", "write 2026-04-03 (day first)"),
        ("rounds", "played_on", "04/04/2026", "not written as year-month-day", "write 2026-04-04"),
        ("rounds", "played_on", "2026/3/1", "not written as year-month-day alone", "write 2026-03-01"),
        ("rounds", "played_on", "20260301", "not written as year-month-day alone", "write 2026-03-01"),
        ("rounds", "played_on", "2026-03-01 14:30", "not written as year-month-day alone", "2026-03-01"),
        ("rounds", "played_on", "1 March", "is not a date", "such as 2026-03-01"),
        ("rounds", "golfer_id", "  ", "is blank", "fill it in"),
        ("practice", "note", "a\x07b", "control character", "type the cell again"),
        ("practice", "note", "x" * 10_001, "10001 characters", "shorten"),
    ],
)
def test_refused_with_what_to_do(table, column, text, message, remedy):
    cells = reader(table, column)
    cells.read([text])
    fault = cells.faults[text]
    assert message in fault.message
    assert remedy in fault.remedy


def test_day_numbers_count_from_1900():
    # 36526 is 1 January 2000 in the 1900 date system (ECMA-376, part 1, 18.17.4.1).
    cells = reader("rounds", "played_on")
    cells.read(["36526"])
    assert cells.faults["36526"].remedy == "write 2000-01-01 if that is the day meant"


@pytest.mark.parametrize(
    "text", ["=1+1", "+2", "-note", "@who", "#1", "\tx", "\rx", " x", "x ", "'=x", "''=x", "' x"]
)
def test_protected_text_comes_back_and_begins_harmlessly(text):
    cell = protect(text)
    assert cell[0] == "'"
    assert text_of(cell) == text


@pytest.mark.parametrize(
    "text", ["O'Brien", "'quoted'", "a=b", "Ünal", "שלום", "⛳ club", "a,b;c\td", 'say "hi"']
)
def test_harmless_text_is_left_alone(text):
    assert protect(text) == text
    assert text_of(text) == text


def test_text_is_trimmed():
    assert text_of("  G1 ") == "G1"
    assert text_of(" \t ") is None
