"""What next week's files need not ask: ratings that were listed, days that another file proves, golfers."""

from __future__ import annotations

from pathlib import Path

from own_sheets import TODAY
from typer.testing import CliRunner

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.found import LEAVE
from paryield.cli import app

LIST = ("Bane;Tee;Hvem;CR;Slope", "Sandholt;Blå;Herrer;70,4;127", "Sandholt;Blå;Damer;73,1;131")
SQUAD = ("Navn;Kalles;K/M;Hcp", "Maud Ferrin;Mo;K;12,4", "Olle Brandvik;Olle;M;7,1")
ROUNDS = ("Dato;Spiller;Bane;Tee;Brutto", "14.04.2026;Mo;Sandholt;Blå;84", "14.04.2026;Olle;Sandholt;Blå;80")


def adopted(folder: Path, memory: Memory, **files: tuple[str, ...]) -> Adoption:
    folder.mkdir()
    for name, lines in files.items():
        (folder / f"{name}.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, memory, today=TODAY)


def told(found: Adoption, *names: str) -> list[tuple[str, ...]]:
    return [tuple(row.get(name, "") for name in names) for row in found.tables()["rounds"]]


def test_ratings_and_who_is_a_woman_are_remembered_for_files_without_the_lists(tmp_path: Path) -> None:
    memory = Memory()
    first = adopted(tmp_path / "first", memory, liste=LIST, gruppe=SQUAD, runder=ROUNDS)
    assert first.questions == []
    memory.people |= first.people.ids
    later = tuple(line.replace("14.04", "21.04") for line in ROUNDS)
    found = adopted(tmp_path / "next", memory, runder=later)
    assert found.questions == []
    assert sorted(told(found, "played_on", "course_rating", "slope_rating")) == [
        ("2026-04-21", "70.4", "127"),
        ("2026-04-21", "73.1", "131"),
    ]


def test_a_rating_that_is_listed_anew_holds_before_the_remembered_one(tmp_path: Path) -> None:
    memory = Memory({"listed rating: Sandholt | Blå | everybody": "70.4/127"})
    rounds = ("Dato;Spiller;Bane;Tee;Brutto", "14.04.2026;Maud;Sandholt;Blå;84")
    anew = adopted(
        tmp_path / "a", memory, liste=("Bane;Tee;CR;Slope", "Sandholt;Blå;70,9;129"), runder=rounds
    )
    assert told(anew, "course_rating") == [("70.9",)]
    assert told(adopted(tmp_path / "b", memory, runder=rounds), "course_rating") == [("70.9",)]


def test_an_order_of_day_and_month_that_one_file_proves_holds_for_the_others(tmp_path: Path) -> None:
    log = ("Dato;Spiller;Øvelse;Minutter", "05-04-2026;Maud;Bunker;30", "06-04-2026;Maud;Bunker;30")
    rounds = ("Dato;Spiller;Bane;CR;Slope;Brutto", "14-04-2026;Maud;Sandholt;72,4;134;84")
    found = adopted(tmp_path / "a", Memory(), log=log, runder=rounds)
    assert found.questions == []
    assert {row["practised_on"] for row in found.tables()["practice"]} == {"2026-04-05", "2026-04-06"}
    assert any("as in runder.csv" in line for line in found.lines())


def test_a_column_that_its_cells_told_is_remembered_for_a_week_of_other_words(tmp_path: Path) -> None:
    memory = Memory({"practice: treffmoment": "irons"})
    head = "Dato;Spiller;Emne;Timer;Kommentar"
    log = (head, "14.04.2026;Maud;Bunker;1;", "15.04.2026;Maud;Driver;1;", "16.04.2026;Maud;Treffmoment;1;")
    assert adopted(tmp_path / "a", memory, log=log).questions == []
    later = adopted(tmp_path / "b", memory, log=(head, "21.04.2026;Maud;Treffmoment;1;40 baller"))
    assert later.questions == []
    assert [row["category"] for row in later.tables()["practice"]] == ["irons"]


def test_numbers_in_words_beside_hours_are_not_asked_about(tmp_path: Path) -> None:
    log = ("Date;Player;Practice log;Hours", "14/04/2026;Maud;Bunker 40;0.5", "15/04/2026;Maud;Driver;1")
    found = adopted(tmp_path / "a", Memory(), log=log)
    assert not any(one.key.startswith("bare numbers") for one in found.questions)


def test_nothing_is_left_out_as_said_before_anything_was_said(tmp_path: Path) -> None:
    log = ("Date;Player;Practice log", "14/04/2026;Maud;lesson 40 min", "15/04/2026;Maud;driver 20 min")
    found = adopted(tmp_path / "a", Memory(), log=log)
    (question,) = found.questions
    assert question.proposal == LEAVE
    assert not any("as you said" in line for line in found.lines())
    again = adopted(tmp_path / "b", Memory({question.key: LEAVE}), log=log)
    assert any("as you said" in line for line in again.lines())


def test_golfers_who_are_on_record_are_not_missed_in_the_check(tmp_path: Path) -> None:
    folder, club = tmp_path / "own", tmp_path / "club.db"
    folder.mkdir()
    (folder / "Runder.csv").write_text(
        "\n".join(("Dato;Spiller;Bane;CR;Slope;Brutto", "14.04.2026;Maud Ferrin;Sandholt;72,4;134;84")),
        encoding="utf-8",
    )
    run = CliRunner().invoke
    assert run(app, ["adopt", str(folder)]).exit_code == 0
    assert run(app, ["import", str(club), str(folder / "tables")]).exit_code == 0
    (folder / "Runder.csv").write_text(
        "\n".join(("Dato;Spiller;Bane;Brutto", "21.04.2026;Maud Ferrin;Sandholt;81")), encoding="utf-8"
    )
    (folder / "adopted.json").unlink()
    again = run(app, ["adopt", str(folder), "--club", str(club), "--out", str(tmp_path / "next")])
    assert again.exit_code == 0
    assert "golfers" not in "".join(line for line in again.output.splitlines() if line.startswith("check:"))
    assert "72.4" in (tmp_path / "next" / "rounds.csv").read_text(encoding="utf-8-sig")
