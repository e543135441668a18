"""Names that fit one golfer alone: one question for all, confirmed or changed, never taken unasked."""

from __future__ import annotations

import sys
from io import StringIO
from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Memory, adopt_folder
from paryield.adopt.names_together import is_obvious, together
from paryield.adopt.people import NEW, OTHER, SAME
from paryield.cli import main

KNOWN = {
    "G01": "Anna Carrick",
    "G02": "Isla Mowat",
    "G03": "Isla Rennie",
    "G04": "Fergus Doig",
    "G05": "Rhona Bell",
}
HEAD = "Player,Date,Score,Course rating,Slope\n"


def scores(folder: Path, *names: str) -> Path:
    folder.mkdir(exist_ok=True)
    rows = [f"{name},2026-05-{day:02d},88,71.2,128\n" for day, name in enumerate(names, 1)]
    (folder / "cards.csv").write_text(HEAD + "".join(rows))
    return folder


@pytest.mark.parametrize(
    ("name", "other", "obvious"),
    [
        ("anna", "anna carrick", True),
        ("isla m", "isla mowat", True),
        ("a carrick", "anna carrick", True),
        ("carrick anna", "anna carrick", True),
        ("ann", "anna carrick", False),
        ("anne carrick", "anna carrick", False),
        ("a c", "anna carrick", False),
        ("anna b", "anna carrick", False),
    ],
)
def test_what_is_obvious(name: str, other: str, obvious: bool) -> None:
    assert is_obvious(name, other) is obvious


def test_first_names_are_one_question_and_none_is_taken_before(tmp_path: Path) -> None:
    folder = scores(tmp_path, "Anna", "Fergus", "Isla M", "Isla", "Rona Bell")
    memory = Memory()
    found = adopt_folder(folder, memory, known=KNOWN, today=TODAY)
    which, slip, whole = found.questions
    assert {part.label for part in whole.parts} == {
        "Isla M = Isla Mowat (G02)",
        "Anna = Anna Carrick (G01)",
        "Fergus = Fergus Doig (G04)",
    }
    asked = {which.key: which, slip.key: slip}
    assert asked["person isla: which"].options == ("Isla Mowat (G02)", "Isla Rennie (G03)", OTHER)
    assert asked["person isla: which"].proposal is None
    assert asked["person rona bell = rhona bell"].proposal == SAME
    assert found.tables().get("rounds", []) == []
    memory.take([(whole, SAME), (asked["person isla: which"], "Isla Rennie (G03)")])
    memory.take([(asked["person rona bell = rhona bell"], SAME)])
    found = adopt_folder(folder, memory, known=KNOWN, today=TODAY)
    assert found.questions == []
    days = {row["golfer_id"]: row["played_on"][-1] for row in found.tables()["rounds"]}
    assert days == {"G01": "1", "G04": "2", "G02": "3", "G03": "4", "G05": "5"}
    memory = Memory({}, found.people.ids)
    assert adopt_folder(folder, memory, known=KNOWN, today=TODAY).questions == []


def test_a_proposal_that_is_wrong_is_changed_to_somebody_of_the_club_or_a_new_golfer(tmp_path: Path) -> None:
    folder = scores(tmp_path, "Anna", "Fergus")
    for said, golfer in (("Rhona Bell", "G05"), (NEW, "G06")):
        memory = Memory()
        (whole,) = adopt_folder(folder, memory, known=KNOWN, today=TODAY).questions
        memory.take([(part, OTHER if part.label.startswith("Anna") else SAME) for part in whole.parts])
        (who,) = adopt_folder(folder, memory, known=KNOWN, today=TODAY).questions
        assert who.text == "Who is 'Anna' then?"
        assert "Anna Carrick" not in who.options
        memory.take([(who, said)])
        found = adopt_folder(folder, memory, known=KNOWN, today=TODAY)
        assert found.questions == []
        assert {row["golfer_id"] for row in found.tables()["rounds"]} == {golfer, "G04"}


def test_one_such_name_stays_a_question_of_its_own(tmp_path: Path) -> None:
    (question,) = adopt_folder(scores(tmp_path, "Anna"), Memory(), known=KNOWN, today=TODAY).questions
    assert question.parts == ()
    assert together([question]) == [question]


def _typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    typed = StringIO("".join(f"{line}\n" for line in lines))
    monkeypatch.setattr(typed, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys, "stdin", typed)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)


def _listed(folder: Path) -> Path:
    folder.mkdir()
    (folder / "members.csv").write_text("Name,H.I.\nAnna Carrick,6.3\nFergus Doig,12\nRhona Bell,20\n")
    return scores(folder, "Anna", "Fergus", "Rhona")


def test_on_the_terminal_enter_confirms_all_and_numbers_change_some(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = _listed(tmp_path / "own")
    _typed(monkeypatch, "")
    assert main(["adopt", str(folder)]) == 0
    shown = capsys.readouterr().out
    assert (
        "  1 Anna = Anna Carrick (G01)\n  2 Fergus = Fergus Doig (G02)\n  3 Rhona = Rhona Bell (G03)\n"
        in shown
    )
    assert (folder / "tables" / "rounds.csv").read_text("utf-8-sig").count("G0") == 3
    _typed(monkeypatch)
    assert main(["adopt", str(folder)]) == 0
    assert "Is each of them" not in capsys.readouterr().out

    other = _listed(tmp_path / "other")
    _typed(monkeypatch, "4", "two", "2", "Rhona Bell")
    assert main(["adopt", str(other)]) == 0
    assert capsys.readouterr().out.count("write numbers from 1 to 3, or nothing") == 2
    rounds = (other / "tables" / "rounds.csv").read_text("utf-8-sig").splitlines()[1:]
    assert [row.partition(",")[0] for row in rounds] == ["G01", "G03", "G03"]


def test_without_a_terminal_the_list_is_told_and_yes_takes_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = _listed(tmp_path / "own")
    assert main(["adopt", str(folder)]) == 2
    shown = capsys.readouterr()
    assert "Anna = Anna Carrick (G01), Fergus = Fergus Doig (G02), Rhona = Rhona Bell (G03)" in shown.out
    assert "1 question open; nothing was written" in shown.err
    assert main(["adopt", str(folder), "--yes"]) == 0
    assert (folder / "tables" / "rounds.csv").read_text("utf-8-sig").count("G0") == 3
