"""No table of an answer is wider than a terminal, and none loses a word for it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from paryield.cli import main
from paryield.report.columns import WIDTH, columns

TABLES = (
    ["index"], ["index", "--golfer", "G01"], ["forecast"], ["forecast", "--golfer", "G01", "--weeks", "4"],
    ["returns"], ["returns", "--golfer", "G01"], ["areas"], ["areas", "--golfer", "G01"],
    ["split", "--golfer", "G01"], ["plan"], ["plan", "--golfer", "G01"], ["block"],
    ["tests"], ["tests", "--golfer", "G01"], ["plans"], ["health"], ["audit"],
)  # fmt: skip
CELLS = st.lists(st.text("abcdefg", min_size=1, max_size=7), max_size=5).map(" ".join)
FIGURES = st.sampled_from(["0.35 (0.15 to 0.67)", "−1.6 (−2.4 to −0.9)", "12", "30 %", ""])


@pytest.mark.parametrize("words", TABLES, ids=" ".join)
def test_a_table_fits_a_terminal(fitted_club: Path, words: list[str], capsys: pytest.CaptureFixture[str]):
    main([words[0], str(fitted_club), *words[1:], *(["--anyway"] if words[0] not in PLAIN else [])])
    said = capsys.readouterr().out.splitlines()
    assert said
    wide = [line for line in said if "  " in line.strip() and cell_len(line) > WIDTH]
    assert wide == []


PLAIN = ("index", "audit", "plans", "health", "tests")
"""Commands that need no sound fit."""


def test_a_table_that_fits_is_left_alone():
    assert columns(["golfer", "index"], [["G01", "12.3"]]) == ["golfer  index", "G01     12.3"]


def test_a_header_is_broken_before_the_words_below_it():
    found = columns(["practice", "best by the record"], [["short putting", "12 %"]], 24)
    assert found == [
        "practice       best by",
        "               the",
        "               record",
        "short putting  12 %",
    ]


def test_a_long_last_cell_goes_below_where_that_takes_fewer_lines():
    rows = [["1", "17.4", "does not count for the index: 9 holes"], ["2", "25.1", ""]]
    assert columns(["no.", "differential", ""], rows, 28) == [
        "no.  differential",
        "1    17.4",
        "      does not count for the",
        "      index: 9 holes",
        "2    25.1",
    ]


@given(st.lists(st.tuples(CELLS, FIGURES, FIGURES, CELLS), max_size=5), st.integers(40, 100))
def test_no_word_is_lost_and_no_figure_is_torn(rows, width):
    found = columns(["practice area", "strokes saved", "best by record", "rests on"], rows, width)
    assert max(map(cell_len, found)) <= max(width, 66)
    said = " ".join(found)
    assert sorted(re.findall(r"\w+", said)) == sorted(
        re.findall(
            r"\w+", " ".join(["practice area strokes saved best by record rests on", *map(" ".join, rows)])
        )
    )
    for row in rows:
        assert row[1] in said
