"""What an answer opens is asked beside it: on the terminal right behind, on the desk beneath."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Memory, adopt_folder
from paryield.adopt.ahead import MOST_READINGS, looked_ahead
from paryield.adopt.memory import Question
from paryield.commands import adopting
from paryield.desk.answers import given_answers

TESTED = "Date;Player;Chipping;Bunker\n13.4.2026;Maud Ferrin;7;3\n20.4.2026;Maud Ferrin;9;5\n"


class Sent(dict[str, list[str]]):
    """A form."""

    def getlist(self, key: str) -> list[str]:
        return self.get(key, [])


def test_what_each_answer_opens_is_known_beforehand_and_nothing_is_remembered(tmp_path: Path):
    (tmp_path / "Skills tests.csv").write_text(TESTED, encoding="utf-8")
    memory = Memory()
    (question,) = adopt_folder(tmp_path, memory, today=TODAY, ahead=True).questions
    assert [one.answer for one in question.follows] == ["practice", "tests"]
    (count,) = question.opened_by("tests")
    assert count.text.startswith("Out of how many are the tests")
    assert [one.key[:12] for one in question.opened_by("practice")] == ["bare numbers"]
    assert question.opened_by("leave it out") == ()
    assert memory.answers == {}
    memory.take([(question, "tests"), (count, "12, 8")])
    assert adopt_folder(tmp_path, memory, today=TODAY).questions == []


def test_on_the_terminal_it_is_asked_right_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    (tmp_path / "Skills tests.csv").write_text(TESTED, encoding="utf-8")
    monkeypatch.setattr("sys.stdin", io.StringIO("2\n12, 8\n"))
    given = [
        pair
        for one in adopt_folder(tmp_path, Memory(), today=TODAY, ahead=True).questions
        for pair in adopting._answers(one)
    ]
    assert [answer for _, answer in given] == ["tests", "12, 8"]
    assert "Out of how many" in capsys.readouterr().out


def test_an_answer_is_taken_only_where_the_one_that_opens_it_was_given():
    form = Sent(
        question=["kind", "count", "time", "unit", "name"],
        answer=["tests", "10", "minutes", "hours", "x"],
        number=["1", "1-1", "1-2", "1-2-1", "2"],
        when=["", "1=tests", "1=practice", "1-2=minutes", ""],
    )
    assert given_answers(form) == {"kind": "tests", "count": "10", "name": "x"}
    assert given_answers(Sent(question=["kind", "more"], answer=["tests", " "])) == {"kind": "tests"}


def test_readings_are_bounded_and_one_tells_of_many_answers_that_open_nothing():
    read: list[Mapping[str, str]] = []
    questions = [Question(str(one), "?", "here", ("a", "b"), "a") for one in range(40)]

    def reread(said: Mapping[str, str]) -> list[Question]:
        read.append(said)
        return [Question("more", "?", "here")] if said.get("7") == "b" else []

    found = looked_ahead(questions, reread)
    assert [one.key for one in found if one.follows] == ["7"]
    assert len(read) <= MOST_READINGS
    read.clear()
    looked_ahead(questions, lambda said: read.append(said) or [])  # type: ignore[func-returns-value]
    assert len(read) == 2


def test_what_opens_whatever_is_answered_stands_once_behind(tmp_path: Path):
    rows = "".join(f"Wk {week};{name};bunker;1 h\n" for week, name in enumerate(("Maud", "Olle", "Jory"), 3))
    (tmp_path / "work.csv").write_text(f"Wk;Who;What;How long\n{rows}", encoding="utf-8")
    known = {"G01": "Maud Ferrin", "G02": "Olle Brandvik", "G03": "Ines Castelar"}
    asked = adopt_folder(tmp_path, Memory(), known=known, today=TODAY, ahead=True).questions
    assert [one.text[:24] for one in asked] == [
        "In which year are weeks ", "Nobody on record is call", "These names each fit one"
    ]  # fmt: skip
    assert not any(one.follows for one in asked[:1])


def test_somebody_who_is_another_than_was_thought_is_asked_for_beside_the_name(tmp_path: Path):
    (tmp_path / "cards.csv").write_text(
        "Player;Date;Gross;CR;Slope\nMaud;2026-06-13;88;71.2;128\n", encoding="utf-8"
    )
    known = {"G01": "Maud Ferrin", "G02": "Olle Brandvik"}
    (name,) = adopt_folder(tmp_path, Memory(), known=known, today=TODAY, ahead=True).questions
    assert [(one.answer, one.questions[0].text) for one in name.follows] == [
        (name.options[1], "Who is 'Maud' then?")
    ]
