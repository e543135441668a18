from __future__ import annotations

from datetime import date

import pytest

from paryield.report import words
from paryield.units import counted, listed


@pytest.mark.parametrize(
    ("value", "text"),
    [(13.4, "13.4"), (-2.1, "+2.1"), (0.0, "0.0"), (-0.04, "0.0"), (54.0, "54.0"), (None, "not known")],
)
def test_index_is_written_as_golfers_write_it(value: float | None, text: str) -> None:
    # Rules of Handicapping: a plus handicap is written +2.1 and is the number -2.1.
    assert words.index_text(value) == text


@pytest.mark.parametrize(
    ("chance", "text"),
    [(0.0, "under 1 %"), (0.004, "under 1 %"), (0.31, "31 %"), (0.994, "over 99 %"), (1.0, "over 99 %")],
)
def test_chance_never_claims_certainty(chance: float, text: str) -> None:
    assert words.chance_text(chance).replace(words.NBSP, " ") == text


def test_chance_outside_zero_to_one_is_refused() -> None:
    with pytest.raises(ValueError, match=r"between 0 and 1, found 31\.0"):
        words.chance_text(31.0)


def test_numbers_have_a_real_minus_and_no_negative_zero() -> None:
    assert words.number(-0.42, 2) == "−0.42"
    assert words.number(-0.004, 2) == "0.00"
    assert words.number(float("nan")) == "not known"


def test_strokes_and_weeks_agree_in_number() -> None:
    assert words.strokes(1.0) == "1.0 stroke"
    assert words.strokes(0.5) == "0.5 strokes"
    assert [words.weeks_text(1), words.weeks_text(12)] == ["1 week", "12 weeks"]


def test_dates_are_written_out_from_any_kind() -> None:
    assert words.day("2026-07-05") == words.day(date(2026, 7, 5)) == "5 July 2026"
    with pytest.raises(ValueError, match="not a date"):
        words.day(None)


def test_one_line_drops_control_characters_and_cuts() -> None:
    assert words.one_line("Ana\r\n\x00 Bo\x1b[1m") == "Ana Bo [1m"
    assert words.one_line("abcdefghij", 6) == "abcde…"
    assert listed(["a", "b", "c"]) == "a, b and c"


@pytest.mark.parametrize(("count", "said"), [(0, "0 golfers"), (1, "1 golfer"), (2, "2 golfers")])
def test_one_is_told_as_one(count: int, said: str):
    assert counted(count, "golfer") == said


def test_names_stand_in_order_without_accents() -> None:
    names = ["Xenia", "Łukasz", "Áine O'Brannock", "zoë", "Aine", "Ørsted"]
    assert sorted(names, key=words.by_name) == ["Aine", "Áine O'Brannock", "Łukasz", "Ørsted", "Xenia", "zoë"]
