"""Days without a year: the year of a title, a name or other days; asked where nothing tells."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.days import Season, lacks_year, season_in
from paryield.adopt.yearless import LATEST

HEADER = ("Fecha", "Jugador", "Campo", "Golpes", "CR", "Slope")
ROUNDS = (("16/4", "Maud", "Sandholt", 84, 72.4, 134), ("23/4", "Maud", "Sandholt", 88, 72.4, 134))


def book(path: Path, **sheets: tuple[tuple[object, ...], ...]) -> Path:
    made = Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title.replace("_", " "))
        for row in rows:
            sheet.append(row)
    made.save(path)
    return path


def days(found: Adoption) -> list[str]:
    return [row["played_on"] for row in found.tables()["rounds"]]


def adopted(folder: Path, memory: Memory | None = None) -> Adoption:
    return adopt_folder(folder, memory or Memory(), today=TODAY)


@pytest.mark.parametrize(
    ("file", "sheet", "title"),
    [
        ("vueltas", "Hoja", "Vueltas de abril 2025"),
        ("vueltas", "Abril_2025", "Vueltas"),
        ("Grupo 2025", "Hoja", "Vueltas"),
        ("Grupo desde 2019", "Hoja", "Temporada 2024-25"),
        ("temporada 24-25", "Hoja", "Vueltas"),
    ],
)
def test_a_title_or_a_name_tells_the_year(tmp_path: Path, file: str, sheet: str, title: str) -> None:
    rows = ((title,), (), HEADER, *ROUNDS)
    book(tmp_path / f"{file}.xlsx", **{sheet: rows, "Campos": (("Campo", "CR"), ("x", 1))})
    found = adopted(tmp_path)
    assert found.questions == []
    assert days(found) == ["2025-04-16", "2025-04-23"]


def test_a_season_over_new_year_has_its_autumn_in_the_first_year(tmp_path: Path) -> None:
    winter = (("15/11", *ROUNDS[0][1:]), ("14/2", *ROUNDS[0][1:]))
    book(tmp_path / "vueltas.xlsx", Hoja=(("Invierno 2024/25",), HEADER, *winter))
    assert days(adopted(tmp_path)) == ["2024-11-15", "2025-02-14"]


def test_whole_days_beside_them_tell_the_year(tmp_path: Path) -> None:
    diary = (("Fecha", "Jugador", "Ejercicio", "Minutos"), ("14/4/2025", "Maud", "putt largo", 30))
    book(tmp_path / "libro.xlsx", Vueltas=(HEADER, *ROUNDS), Diario=diary)
    assert days(adopted(tmp_path)) == ["2025-04-16", "2025-04-23"]


def test_titles_of_two_years_in_one_sheet_each_hold_for_what_is_below(tmp_path: Path) -> None:
    rows = (HEADER, ("Temporada 2024",), ROUNDS[0], ("Temporada 2025",), ROUNDS[1])
    book(tmp_path / "vueltas.xlsx", Hoja=rows)
    assert days(adopted(tmp_path)) == ["2024-04-16", "2025-04-23"]


def test_where_nothing_tells_the_year_it_is_asked_once_a_year(tmp_path: Path) -> None:
    book(tmp_path / "vueltas.xlsx", Hoja=(HEADER, *ROUNDS))
    found = adopted(tmp_path)
    (question,) = found.questions
    assert "'16/4'" in question.text
    assert question.proposal == LATEST
    assert days(found) == []
    assert days(adopted(tmp_path, Memory({question.key: LATEST}))) == ["2026-04-16", "2026-04-23"]
    assert days(adopted(tmp_path, Memory({question.key: "2024"}))) == ["2024-04-16", "2024-04-23"]
    later = adopt_folder(tmp_path, Memory({question.key: "2024"}), today=TODAY.replace(year=2027))
    assert len(later.questions) == 1


@pytest.mark.parametrize("title", ["Vueltas 2026", "Vueltas 2025"])
def test_days_to_come_or_a_new_year_among_the_rows_speak_against_a_title(tmp_path: Path, title: str) -> None:
    autumn = (*ROUNDS, ("20/12", *ROUNDS[0][1:]), ("17/1", *ROUNDS[0][1:]), ("24/1", *ROUNDS[0][1:]))
    book(tmp_path / "libro.xlsx", Hoja=((title,), HEADER, *autumn))
    found = adopted(tmp_path)
    assert [one.key[:12] for one in found.questions] == ["year of days"]
    assert days(found) == []


def test_days_across_are_of_the_year_of_the_title(tmp_path: Path) -> None:
    rows = (("Sandholt 2025, CR 72.4 Slope 134",), ("Jugador", "16/4", "23/4"), ("Maud", 84, 88))
    book(tmp_path / "libro.xlsx", Hoja=rows)
    assert days(adopted(tmp_path)) == ["2025-04-16", "2025-04-23"]


@pytest.mark.parametrize(
    ("text", "season"),
    [
        ("Saison 2025", Season(2025, 2025)),
        ("2024-25", Season(2024, 2025)),
        ("2024/2025 winter", Season(2024, 2025)),
        ("updated 12.5.2026", Season(2026, 2026)),
        ("seit 2019", None),
        ("2024 and 2025", None),
        ("2031", None),
        ("12/25", None),
        ("hole 7", None),
    ],
)
def test_the_year_that_a_text_tells(text: str, season: Season | None) -> None:
    assert season_in(text, TODAY) == season


def test_what_lacks_a_year() -> None:
    assert [lacks_year(one) for one in ("5/4", "12. mai", "6.4.-12.4.", "Sat 5 April", "29/2")] == [True] * 5
    assert not any(lacks_year(one) for one in ("5/4/2025", "12 mai 25", "78", "KW 14", None, 5.0))
