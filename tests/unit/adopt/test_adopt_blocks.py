"""Rounds in blocks under lines that say day, course, ratings and event."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder


def adopted(folder: Path, *lines: str, name: str = "Ladder 2026", memory: Memory | None = None) -> Adoption:
    (folder / f"{name}.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, memory or Memory(), today=TODAY)


def rounds(found: Adoption) -> list[tuple[str, ...]]:
    names = found.people.names
    columns = ("played_on", "adjusted_gross_score", "course", "course_rating", "slope_rating")
    return sorted(
        (row["played_on"], names[row["golfer_id"]], *(row.get(name, "") for name in columns[1:]))
        for row in found.tables()["rounds"]
    )


BLOCKS = (
    "Winter ladder;;;;",
    ";;;;",
    "Sun 4/5 - Low Barrow (home) - 72.1/127 - Opening day;;;;",
    "Player;Out;In;Total;Remarks",
    "Maud;41;43;84;cold",
    "Olle;44;40;84;",
    "Team (low 4);;;168;",
    ";;;;",
    "Sun 4/12 - Fell Dyke - 70.6/119 - Visit;;;;",
    "Player;Total;Putts;Out;In",
    "Maud;88;31;44;44",
    "Olle;91;;;",
    ";179;;;",
)


def test_blocks_with_headers_of_their_own_and_days_that_the_weekdays_prove(tmp_path: Path) -> None:
    found = adopted(tmp_path, *BLOCKS)
    assert found.questions == []
    assert rounds(found) == [
        ("2026-04-05", "Maud", "84", "Low Barrow", "72.1", "127"),
        ("2026-04-05", "Olle", "84", "Low Barrow", "72.1", "127"),
        ("2026-04-12", "Maud", "88", "Fell Dyke", "70.6", "119"),
        ("2026-04-12", "Olle", "91", "Fell Dyke", "70.6", "119"),
    ]
    assert [row.get("putts") for row in found.tables()["rounds"]] == [None, "31", None, None]


def test_the_year_is_that_of_the_title_before_that_of_the_file(tmp_path: Path) -> None:
    found = adopted(tmp_path, "Winter ladder 2025;;;;", *(line.replace("Sun ", "") for line in BLOCKS[1:]))
    (question,) = found.questions
    assert question.key.startswith("order of day and month")
    told = adopted(
        tmp_path,
        "Winter ladder 2025;;;;",
        *(line.replace("Sun ", "") for line in BLOCKS[1:]),
        memory=Memory({question.key: "month first"}),
    )
    assert {row[0] for row in rounds(told)} == {"2025-04-05", "2025-04-12"}


def test_a_day_above_twelve_proves_the_order(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "14/3 | Low Barrow | 72.1/127 | Cup",
        "Player;Total",
        "Maud;84",
        "4/5 | Low Barrow | 72.1/127 | Cup",
        "Player;Total",
        "Maud;86",
    )
    assert found.questions == []
    assert [row[0] for row in rounds(found)] == ["2026-03-14", "2026-05-04"]


@pytest.mark.parametrize(
    ("event", "row", "said"),
    [
        ("@ Nether Wick", "Maud;41;;41", "first nine alone"),
        ("vs Nether Wick (back 9)", "Maud;;42;42", "second nine alone"),
        ("front nine", "Maud;;;42", "half a round"),
        ("Cup", "Maud;41;44;86", "41 + 44 is not 86"),
        ("Cup", "Maud;41;;WD", "WD"),
        ("Cup", "Maud;41;;", "first nine alone"),
    ],
)
def test_what_is_no_score_of_eighteen_holes_is_left_out_with_a_line(
    tmp_path: Path, event: str, row: str, said: str
) -> None:
    found = adopted(
        tmp_path,
        *BLOCKS,
        f"Tue 4/14 - Low Barrow - {event};;;;",
        "Player;Out;In;Total;",
        row,
    )
    assert found.questions == []
    assert len(rounds(found)) == 4
    assert any(f"no score, but '{said}'" in line for line in found.lines())


def test_a_block_without_ratings_of_its_own_asks_once_for_each_course(tmp_path: Path) -> None:
    more = ("Tue 4/14 - Nether Wick - Cup;;;;", "Player;Out;In;Total;", "Maud;41;42;83;", "Olle;41;43;84;")
    found = adopted(tmp_path, *BLOCKS, *more)
    (question,) = found.questions
    assert question.key == "ratings: nether wick"
    assert len(rounds(found)) == 4
    told = adopted(tmp_path, *BLOCKS, *more, memory=Memory({question.key: "71.2/121"}))
    assert rounds(told)[-2:] == [
        ("2026-04-14", "Maud", "83", "Nether Wick", "71.2", "121"),
        ("2026-04-14", "Olle", "84", "Nether Wick", "71.2", "121"),
    ]


def test_rows_under_a_line_without_a_day_do_not_take_that_of_the_block_before(tmp_path: Path) -> None:
    more = ("Rained off, new day open;;;;", "Player;Out;In;Total;", "Maud;41;42;83;")
    found = adopted(tmp_path, *BLOCKS, *more)
    assert len(rounds(found)) == 4
    assert any("the date cannot be read" in line for line in found.lines())


@pytest.mark.parametrize("heading", ["Abschl.", "Dép.", "Salida", "Batt.", "Afsl.", "Utsl.", "Tee box"])
def test_a_heading_made_short_is_that_of_the_tee(tmp_path: Path, heading: str) -> None:
    (tmp_path / "Courses.csv").write_text(
        "Course;Tee;CR;Slope\nFell Dyke;blue;70,6;119\nFell Dyke;green;72,6;125", encoding="utf-8"
    )
    found = adopted(
        tmp_path,
        f"Date;Player;Course;{heading};Gross",
        "13.4.2026;Maud;Fell Dyke;green;88",
        "14.4.2026;Olle;Fell Dyke;blue;85",
    )
    assert found.questions == []
    assert [row[4:] for row in rounds(found)] == [("72.6", "125"), ("70.6", "119")]
