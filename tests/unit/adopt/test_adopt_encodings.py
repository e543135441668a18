"""Text files in the code pages that spreadsheets save in."""

from __future__ import annotations

import pytest

from paryield.adopt.sheets import decoded

WESTERN = (
    "Fecha;Jugadora;Golpes\n4/5/2026;Begoña Añil;88\n5/5/2026;Íñigo;91\n",
    "Datum;Spieler;Brutto\n4.5.2026;Jörg Weiß;88\n5.5.2026;Änne;91\n",
    "Date;Joueuse;Coups\n4/5/2026;Élise Façon, n°3;88\n",
    "Datum;Spelare;Brutto\n2026-05-04;Åsa Öhrn;88\n",
    "Dato;Spiller;Brutto\n4.5.2026;Søren Æbelø;88\n",
    "Data;Giocatore;Lordo\n4/5/2026;Nicolò Città – D’Arno;88\n",
)


@pytest.mark.parametrize("text", WESTERN)
@pytest.mark.parametrize("encoding", ["cp1252", "utf-8", "utf-8-sig"])
def test_letters_of_western_languages_stay_as_they_are(text: str, encoding: str) -> None:
    assert decoded(text.encode(encoding)) == text


def test_another_code_page_is_still_found_out() -> None:
    text = "Datum;Hráč;Rány\n4.5.2026;Tomáš Žižkův;88\n5.5.2026;Věra Říhová a Ondřej Šťastný;91\n" * 5
    assert decoded(text.encode("utf-16")) == text
    assert decoded(text.encode("utf-8")) == text


@pytest.mark.parametrize(
    ("text", "encoding"),
    [("Игрок;Дата\nИван Петров;4.5.2026\nОльга Смирнова;5.5.2026\n" * 4, "cp1251")],
)
def test_another_alphabet_is_not_western(text: str, encoding: str) -> None:
    assert decoded(text.encode(encoding)) == text
