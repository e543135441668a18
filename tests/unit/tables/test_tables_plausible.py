"""Tables that read well and cannot be: each is told, as an error where it cannot be, else as a warning."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from paryield.tables import read_folder
from paryield.tables.plausible import looks_like

TODAY = date(2026, 7, 5)
GOLFERS = "golfer_id,birth_year,goal_index,goal_on\nG1,1980,10,2027-05-01\n"
SCORED = "golfer_id,played_on,score_differential,adjusted_gross_score,course_rating,slope_rating"

Read = Callable[..., list[str]]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Return a function that reads golfers and rounds and returns the problems, severity first."""

    def found(rounds: str, golfers: str = GOLFERS, head: str = SCORED) -> list[str]:
        (tmp_path / "golfers.csv").write_text(golfers, encoding="utf-8")
        (tmp_path / "rounds.csv").write_text(f"{head}\n{rounds}\n", encoding="utf-8")
        problems = read_folder(tmp_path, today=TODAY).problems
        return [f"{one.severity}: {one.line()}" for one in problems]

    return found


def test_a_sound_table_has_no_problem(read: Read) -> None:
    """(113 / 128) x (92 - 71.2) = 18.4 (Rules of Handicapping, Rule 5.1a)."""
    assert read("G1,2026-05-01,18.4,92,71.2,128\nG1,2026-05-02,48.0,,,") == []


def test_gross_scores_as_differentials_cannot_be(read: Read) -> None:
    rows = "\n".join(f"G1,2026-05-0{day},{84 + day},,," for day in range(1, 7))
    lines = read(rows)
    assert len(lines) == 1
    assert "error: rounds.csv, row 2" in lines[0]
    assert "these are gross scores (6 rows)" in lines[0]
    assert "adjusted_gross_score" in lines[0]


def test_one_large_differential_is_only_unlikely(read: Read) -> None:
    lines = read("G1,2026-05-01,61.5,,,\nG1,2026-05-02,31.0,,,")
    assert [line.split(":")[0] for line in lines] == ["warning"]
    assert "is it a gross score?" in lines[0]


@pytest.mark.parametrize(
    ("given", "severity"),
    [("92", "error"), ("12.0", "error"), ("20.0", "error"), ("17.5", "warning"), ("16.0", "warning")],
)
def test_a_differential_that_contradicts_the_score_beside_it(read: Read, given: str, severity: str) -> None:
    """18.4 by Rule 5.1a; playing conditions move it by 113/128 a stroke: 15.7 for +3 and 19.2 for -1."""
    lines = read(f"G1,2026-05-01,{given},92,71.2,128")
    assert any(line.startswith(severity) and "which gives 18.4" in line for line in lines)


@pytest.mark.parametrize(
    "other",
    ["g1", "G 1", "G\u200b1", "\uff27\uff11", "G\u00ad1"],
    ids=["capital", "blank", "no width", "wide", "soft hyphen"],
)
def test_ids_that_look_alike_are_one_golfer_or_a_trap(read: Read, other: str) -> None:
    lines = read("G1,2026-05-01,18.4,,,", f"golfer_id\nG1\n{other}\n")
    assert len(lines) == 1
    assert "error: golfers.csv, row 3" in lines[0]
    assert "looks like the id 'G1'" in lines[0]


def test_composed_letters_are_alike_and_other_names_are_not() -> None:
    assert looks_like("Ren\u00e9e") == looks_like("Rene\u0301e")
    assert len({looks_like(name) for name in ("G1", "G01", "G11", "G-1", "Renee", "Ren\u00e9e")}) == 6


def test_an_id_like_one_that_the_club_holds_is_told(tmp_path: Path, read: Read) -> None:
    read("G1,2026-05-01,18.4,,,")
    known = read_folder(tmp_path, today=TODAY).tables
    (tmp_path / "golfers.csv").write_text("golfer_id\ng1\n")
    (tmp_path / "rounds.csv").write_text("golfer_id,played_on,score_differential\ng1,2026-05-03,18\n")
    found = read_folder(tmp_path, today=TODAY, known=known)
    assert any("looks like the id 'G1'" in one.line() for one in found.errors)


def test_rounds_before_birth_and_years_to_come_cannot_be(read: Read) -> None:
    lines = read("G1,2026-05-01,18.4,,,\nG2,2026-05-01,20,,,", "golfer_id,birth_year\nG1,2027\nG2,2020\n")
    assert any(line.startswith("error: golfers.csv, row 2") and "in the future" in line for line in lines)
    lines = read("G1,2019-05-01,18.4,,,\nG1,2019-05-02,18.4,,,", "golfer_id,birth_year\nG1,2020\n")
    assert [line.split(",")[0] for line in lines] == ["error: rounds.csv"]
    assert "before the golfer's birth_year 2020 (2 rows)" in lines[0]
    lines = read("G1,2022-05-01,18.4,,,", "golfer_id,birth_year\nG1,2020\n")
    assert [line.split(",")[0] for line in lines] == ["warning: rounds.csv"]


def test_a_goal_long_past_is_unlikely_to_be_meant(read: Read) -> None:
    rows = "G1,2026-05-01,18.4,,,"
    lines = read(rows, "golfer_id,goal_index,goal_on\nG1,10,2025-04-01\n")
    assert [line.split(",")[0] for line in lines] == ["warning: golfers.csv"]
    assert "before the last round (2026-05-01)" in lines[0]
    assert read(rows, "golfer_id,goal_index,goal_on\nG1,10,2025-06-01\n") == []


@pytest.mark.parametrize(
    ("rating", "slope", "severity", "said"),
    [
        ("128", "71.2", "error", "may be swapped"),
        ("84.9", "71", "warning", "swapped"),
        ("86", "130", "error", "between 20 and 85"),
        ("81", "150", "warning", "which hardly a course is"),
    ],
)
def test_rating_and_slope_swapped_or_beyond_what_exists(
    read: Read, rating: str, slope: str, severity: str, said: str
) -> None:
    lines = read(f"G1,2026-05-01,,92,{rating},{slope}")
    assert any(line.startswith(severity) and said in line for line in lines), lines
