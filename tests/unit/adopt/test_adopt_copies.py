"""A file that comes under another name is known by its rows; answers and rows read before hold for it."""

from __future__ import annotations

from pathlib import Path

from own_sheets import TODAY
from typer.testing import CliRunner

from paryield.adopt import Adoption, Memory, adopt_folder, read_memory
from paryield.adopt.copies import COPY, OTHER
from paryield.cli import app
from paryield.club import Club

HEAD = "Date,Course,Score\n"
ROWS = [f"{day}.04.2026,Low Barrow,{70 + day}\n" for day in range(13, 23)]
RATED = {"whose: log 2026.csv": "Maud Ferrin", "ratings: low barrow": "69.8/119"}


def read(folder: Path, name: str, rows: list[str], memory: Memory) -> Adoption:
    folder.mkdir(exist_ok=True)
    for old in folder.glob("*.csv"):
        old.unlink()
    (folder / name).write_text(HEAD + "".join(rows), encoding="utf-8")
    return adopt_folder(folder, memory, today=TODAY)


def kept(found: Adoption) -> Memory:
    return Memory({**found.memory.answers, **found.kept}, dict(found.people.ids))


def test_a_copy_with_more_rows_asks_nothing_and_is_said(tmp_path: Path) -> None:
    first = read(tmp_path, "log 2026.csv", ROWS[:8], Memory(dict(RATED)))
    assert first.questions == []
    again = read(tmp_path, "log 2026 (1).csv", ROWS, kept(first))
    assert again.questions == []
    assert "log 2026 (1).csv: taken for a newer copy of log 2026.csv, brought in before" in again.lines()
    assert {row["golfer_id"] for row in again.tables()["rounds"]} == {"G01"}
    assert len(again.tables()["rounds"]) == 10
    third = read(tmp_path, "log 2026 v2.csv", ROWS, kept(again))
    assert third.memory.copies == {"log 2026 v2.csv": "log 2026.csv"}


def test_where_half_of_the_rows_are_those_it_is_asked(tmp_path: Path) -> None:
    first = read(tmp_path, "log 2026.csv", ROWS[:8], Memory(dict(RATED)))
    memory = kept(first)
    other = [*ROWS[:6], *(row.replace("Low Barrow", "Sandholt") for row in ROWS[6:])]
    found = read(tmp_path, "copy.csv", other, memory)
    (question,) = [one for one in found.questions if one.key.startswith("copy: ")]
    assert (question.options, question.proposal) == ((COPY, OTHER), COPY)
    assert question.key == "copy: copy.csv = log 2026.csv"
    memory.take([(question, OTHER)])
    assert read(tmp_path, "copy.csv", other, memory).memory.copies == {}


def test_another_file_with_the_same_headings_is_no_copy(tmp_path: Path) -> None:
    first = read(tmp_path, "log 2026.csv", ROWS[:5], Memory(dict(RATED)))
    found = read(tmp_path, "may.csv", ROWS[5:], kept(first))
    assert found.memory.copies == {}
    assert any(one.key.startswith("whose: ") for one in found.questions)


def test_what_a_copy_has_read_otherwise_takes_the_place_of_what_was_stored(tmp_path: Path) -> None:
    own, club = tmp_path / "own", tmp_path / "club.db"
    head = "Date,Player,Score,CR,Slope\n"
    rows = [f"0{day}/04/2026,Maud Ferrin,{80 + day},71.2,128\n" for day in range(1, 8)]
    run = CliRunner().invoke
    for name, order in (("log.csv", "day first"), ("log (1).csv", "month first")):
        own.mkdir(exist_ok=True)
        for old in own.glob("*.csv"):
            old.unlink()
        (own / name).write_text(head + "".join(rows), encoding="utf-8")
        memory = read_memory(own / "adopted.json")
        memory.answers["order of day and month: date | player | score | cr | slope"] = order
        memory.write(own / "adopted.json")
        assert run(app, ["adopt", str(own), "--yes"]).exit_code == 0
        assert run(app, ["import", str(club), str(own / "tables")]).exit_code == 0
    with Club.open(club) as opened:
        days = sorted(day.date().isoformat() for day in opened.tables().rounds["played_on"])
    assert days == [f"2026-0{month}-04" for month in range(1, 8)]


def test_erasing_a_golfer_forgets_what_is_kept_of_files(tmp_path: Path) -> None:
    from paryield.club import adopted

    first = read(tmp_path / "own", "Maud.csv", ROWS, Memory({**RATED, "whose: Maud.csv": "Maud Ferrin"}))
    first.write(tmp_path / "tables")
    with Club.open(tmp_path / "club.db", create=True) as club:
        club.import_folder(tmp_path / "tables")
        club.remember(first.kept, {})
        assert any(key.startswith(adopted.ABOUT_FILES) for key in club.adopted()[0])
        club.erase("G01")
        assert not any(key.startswith(adopted.ABOUT_FILES) for key in club.adopted()[0])
