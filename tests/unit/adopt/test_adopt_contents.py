"""Columns whose cells say what their headings do not: results, kinds of practice, adjusted scores, sexes."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.sexes import MAN, WOMAN, sexes_in
from paryield.adopt.values import read_score


def adopted(folder: Path, *lines: str, memory: Memory | None = None) -> Adoption:
    (folder / "own.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, memory or Memory(), today=TODAY)


def told(found: Adoption, table: str, *names: str) -> list[tuple[str, ...]]:
    return [tuple(row.get(name, "") for name in names) for row in found.tables()[table]]


@pytest.mark.parametrize("made", ["réussis", "Bons", "lyckade"])
def test_what_made_and_tried_with_distances_is_a_test(tmp_path: Path, made: str) -> None:
    found = adopted(
        tmp_path,
        f"Date;Joueur;Exercice;{made};Essais",
        "14/04/2026;Maud;Putt 1 m;9;10",
        "14/04/2026;Maud;Putt 3 m;4;10",
        "14/04/2026;Maud;Chip à moins de 2 m;6;15",
    )
    assert found.questions == []
    assert found.tables()["practice"] == []
    assert told(found, "assessments", "test", "distance_ft", "made", "tried") == [
        ("putting_ladder", "3.3", "9", "10"),
        ("putting_ladder", "9.8", "4", "10"),
        ("chip_a_moins_de_2_m", "", "6", "15"),
    ]


def test_minutes_beside_what_was_made_leave_a_sheet_one_of_practice(tmp_path: Path) -> None:
    lines = ("Date;Player;Drill;Minutes;Made;Tried", "14/04/2026;Maud;Putts 6 ft;20;7;10")
    found = adopted(tmp_path, *lines)
    assert told(found, "practice", "minutes", "made", "tried") == [("20", "7", "10")]


def test_a_heading_nobody_knows_says_what_was_practised_before_remarks_do(tmp_path: Path) -> None:
    found = adopted(
        tmp_path,
        "Datum;Spieler;Schwerpunkt;Stunden;Bemerkung",
        "13.04.2026;Maud;Bunkerschläge;0,5;",
        "14.04.2026;Maud;Eisen;1;80 Bälle",
        "15.04.2026;Olle;Treffmoment;1;mit Video",
        "16.04.2026;Olle;Driver;0,5;60 Bälle",
    )
    assert [one.key for one in found.questions] == ["practice: treffmoment"]
    assert told(found, "practice", "category", "minutes", "note") == [
        ("bunker", "30", ""),
        ("irons", "60", "80 Bälle"),
        ("driver", "30", "60 Bälle"),
    ]


def test_words_that_may_say_what_was_practised_are_asked_about_before_remarks_are_read(
    tmp_path: Path,
) -> None:
    lines = (
        "Datum;Spieler;Block;Bemerkung",
        "13.04.2026;Maud;Treffmoment;50 Bälle Eisen",
        "14.04.2026;Maud;Tempo;Eisen",
        "15.04.2026;Olle;Tempo;",
    )
    found = adopted(tmp_path, *lines)
    (question,) = found.questions
    assert question.options == ("Block", "Bemerkung")
    assert found.tables()["practice"] == []
    words = adopted(tmp_path, *lines, memory=Memory({question.key: "Block"}))
    assert [one.key for one in words.questions] == ["practice: treffmoment", "practice: tempo"]
    remarks = adopted(tmp_path, *lines, memory=Memory({question.key: "Bemerkung"}))
    assert told(remarks, "practice", "category", "reps") == [("irons", "50"), ("irons", "")]


@pytest.mark.parametrize(
    "heads", ["Brutto;Korr. Brutto", "Brut;Brut corr.", "Bruto;Bruto corregido", "Slag;Justert slag"]
)
def test_an_adjusted_score_is_taken_and_where_it_is_blank_the_one_beside_it(
    tmp_path: Path, heads: str
) -> None:
    found = adopted(
        tmp_path,
        f"Date;Player;Course;{heads};CR;Slope",
        "14/04/2026;Maud;Sandholt;93;90;72.4;134",
        "15/04/2026;Maud;Sandholt;88;;72.4;134",
    )
    assert told(found, "rounds", "adjusted_gross_score") == [("90",), ("88",)]


@pytest.mark.parametrize(
    ("cell", "score"),
    [
        ("91 (adj 88)", 88),
        ("91 (bereinigt: 88)", 88),
        ("91/88 adj.", 88),
        ("adj. 88 (91)", 88),
        ("91 (wind)", 91),
        ("45 (9h)", 45),
    ],
)
def test_an_adjusted_score_within_a_cell(cell: str, score: int) -> None:
    assert read_score(cell) == score


@pytest.mark.parametrize(
    ("cells", "heading", "found"),
    [
        (("M", "F"), "M/F", {"m": MAN, "f": WOMAN}),
        (("F", "F"), "M/F", {"f": WOMAN}),
        (("V", "M"), "geslacht", {"v": WOMAN, "m": MAN}),
        (("H", "M"), "", {"h": MAN, "m": WOMAN}),
        (("Damen", "Herren"), "", {"damen": WOMAN, "herren": MAN}),
        (("M", "X"), "M/F", {}),
        (("M", "M"), "Gruppe", {}),
        (("3", "5"), "M", {}),
    ],
)
def test_letters_and_words_for_men_and_women(
    cells: tuple[str, ...], heading: str, found: dict[str, str]
) -> None:
    assert sexes_in(cells, heading) == found


def test_a_column_of_letters_for_men_and_women_is_no_distance(tmp_path: Path) -> None:
    found = adopted(tmp_path, "Name;M/F;Hcp", "Maud Ferrin;F;12.4", "Olle Brandvik;M;7.1")
    assert sorted(told(found, "golfers", "display_name", "sex")) == [
        ("Maud Ferrin", "F"),
        ("Olle Brandvik", "M"),
    ]
