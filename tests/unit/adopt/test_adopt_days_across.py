"""Rounds with a column a day beside rows of courses and ratings; tests under lines with their days."""

from __future__ import annotations

from pathlib import Path

from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder


def adopted(folder: Path, *lines: str) -> Adoption:
    (folder / "own.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, Memory(), today=TODAY)


def told(found: Adoption, table: str, *names: str) -> list[tuple[str, ...]]:
    who = found.people.names
    rows = [{**row, "golfer_id": who[row["golfer_id"]]} for row in found.tables()[table]]
    return [tuple(row.get(name, "") for name in names) for row in rows]


ROUNDS = (
    "Wettspiele;;;;",
    ";;;;",
    "Frauen;12.04.2026;19.04.2026;26.04.2026;Schnitt",
    "Platz;Sandholt;Sandholt (erste neun);Low Barrow;",
    "Löcher;18;9;18;",
    "CR;73.1;36.4;70.9;",
    "Slope;131;130;122;",
    "Maud Ferrin;88;43;n.a.;88.0",
    "Ines Castelar;95;;91;93.0",
    "Schnitt des Tages;91.5;43;91;",
    ";;;;",
    "Männer;12.04.2026;19.04.2026;26.04.2026;Schnitt",
    "Platz;Sandholt;Sandholt (erste neun);Low Barrow;",
    "Löcher;18;9;18;",
    "CR;71.0;35.2;69.3;",
    "Slope;128;127;119;",
    "Olle Brandvik;84;;80;82.0",
)


def test_rows_above_the_golfers_say_where_each_day_was_played(tmp_path: Path) -> None:
    found = adopted(tmp_path, *ROUNDS)
    assert found.questions == []
    names = ("golfer_id", "played_on", "course", "holes", "adjusted_gross_score", "course_rating")
    assert told(found, "rounds", *names) == [
        ("Ines Castelar", "2026-04-12", "Sandholt", "18", "95", "73.1"),
        ("Ines Castelar", "2026-04-26", "Low Barrow", "18", "91", "70.9"),
        ("Maud Ferrin", "2026-04-12", "Sandholt", "18", "88", "73.1"),
        ("Maud Ferrin", "2026-04-19", "Sandholt (erste neun)", "9", "43", "36.4"),
        ("Olle Brandvik", "2026-04-12", "Sandholt", "18", "84", "71"),
        ("Olle Brandvik", "2026-04-26", "Low Barrow", "18", "80", "69.3"),
    ]
    assert found.understood[0].found.passed == {"no score, but 'n.a.'": 1}


def test_rows_that_stand_above_the_days_say_it_too(tmp_path: Path) -> None:
    lines = ("Baan;Sandholt;Low Barrow", "CR;72.4;69.8", "Slope;134;119", "Speler;12/04/2026;19/04/2026")
    found = adopted(tmp_path, *lines, "Maud;84;81", "Gemiddeld;84;81")
    assert told(found, "rounds", "course", "course_rating", "adjusted_gross_score") == [
        ("Sandholt", "72.4", "84"),
        ("Low Barrow", "69.8", "81"),
    ]


def test_minutes_a_day_beside_the_courses_are_no_rounds(tmp_path: Path) -> None:
    lines = ("Player;12/04/2026;19/04/2026", "Course;home;away", "Maud;20 min;15 min", "Olle;10 min;5 min")
    assert adopted(tmp_path, *lines).tables()["rounds"] == []


def test_tests_under_lines_with_their_days_and_what_stands_over_the_distances(tmp_path: Path) -> None:
    head = "Spieler;1 m;3 m;Chips im Kreis 2 m (/12);Bunker aufs Grün (/6)"
    found = adopted(
        tmp_path,
        "Probe am 14.04.2026;Putts gelocht von 8;;;",
        head,
        "Maud;7;3;6;2",
        "Olle;8;5;9;krank",
        ";;;;",
        "Probe am 12.05.2026;Putts gelocht von 8;;;",
        head,
        "Maud;6;4;7;3",
    )
    names = ("golfer_id", "assessed_on", "distance_ft", "made", "tried")
    assert found.questions == []
    assert told(found, "assessments", *names) == [
        ("Maud", "2026-04-14", "3.3", "7", "8"),
        ("Maud", "2026-04-14", "9.8", "3", "8"),
        ("Maud", "2026-04-14", "", "6", "12"),
        ("Maud", "2026-04-14", "", "2", "6"),
        ("Olle", "2026-04-14", "3.3", "8", "8"),
        ("Olle", "2026-04-14", "9.8", "5", "8"),
        ("Olle", "2026-04-14", "", "9", "12"),
        ("Maud", "2026-05-12", "3.3", "6", "8"),
        ("Maud", "2026-05-12", "9.8", "4", "8"),
        ("Maud", "2026-05-12", "", "7", "12"),
        ("Maud", "2026-05-12", "", "3", "6"),
    ]
