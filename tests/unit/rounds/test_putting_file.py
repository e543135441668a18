"""The putting command's file: what is read, and one clear line for what cannot be."""

from pathlib import Path

import openpyxl
import pytest

from paryield.errors import InputError
from paryield.rounds import fit_putting, putting

SOUND = "distance_ft,tried,made\n3,10,8\n6,10,5\n"


def write(tmp_path: Path, content: str | bytes, name: str = "ladder.csv") -> Path:
    path = tmp_path / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


@pytest.mark.parametrize(
    "content",
    [
        SOUND,
        "# a ladder\n" + SOUND,
        SOUND.replace(",", ";"),
        SOUND.replace(",", "\t"),
        SOUND.encode("utf-16"),
        "made;tried;Distance ft\n8,0;10;3,0\n5;10;6\n",
        "distance_ft,tried,made\n3,4,3\n3,6,5\n6,10,5\n\n",
    ],
)
def test_sound_files_say_the_same(tmp_path, content):
    found = putting(write(tmp_path, content))
    angle = fit_putting([3, 6], [10, 10], [8, 5]).to_dict()["sigma_angle_degrees"]
    assert found.to_dict()["sigma_angle_degrees"] == pytest.approx(angle)
    assert (found.tried, found.made, found.warnings) == (20, 13, ())


def test_a_workbook_is_read(tmp_path):
    book = openpyxl.Workbook()
    book.active.title = "notes"
    sheet = book.create_sheet("Putts")
    for row in (("distance_ft", "tried", "made"), (3, 10, 8), (6, 10, 5)):
        sheet.append(row)
    book.save(tmp_path / "ladder.xlsx")
    assert putting(tmp_path / "ladder.xlsx").to_dict() == putting(write(tmp_path, SOUND)).to_dict()


def test_an_unknown_column_is_a_warning(tmp_path):
    found = putting(write(tmp_path, "distance_ft,tried,made,weather\n3,10,8,wet\n"))
    assert [problem.severity for problem in found.warnings] == ["warning"]
    assert "weather" in found.warnings[0].line()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("distance_ft,tried,holed\n3,10,8\n", ("row 1, column made", "is missing", "rename 'holed'")),
        ("distance_ft,tried,made\n3,10,11\n", ("row 2, column made", "is more than tried", "11 against 10")),
        ("distance_ft,tried,made\n0,10,1\n", ("row 2, column distance_ft", "between 0.2 and 200", "'0'")),
        ("distance_ft,tried,made\n-3,10,1\n", ("row 2, column distance_ft", "between 0.2", "'-3'", "feet")),
        ("distance_ft,tried,made\n3,ten,1\n", ("row 2, column tried", "is not a whole number", "'ten'")),
        ("distance_ft,tried,made\n3,9.5,1\n", ("row 2, column tried", "is not a whole number", "'9.5'")),
        ("distance_ft,tried,made\n3,,1\n", ("row 2, column tried", "is blank", "fill it in")),
        ("distance_ft,tried,made\n3,-1,1\n", ("row 2, column tried", "cannot be negative", "'-1'")),
        ("distance_ft,tried,made\nx,1,1\n3,1,2\n", ("row 2", "'x'", "and 1 more problem in the file")),
        ("distance_ft,tried,made\n", ("ladder.csv", "there is not one putt", "give putts")),
        ("distance_ft,tried,made\n3,0,0\n", ("ladder.csv", "there is not one putt")),
        ("", ("ladder.csv", "the file is empty (0 bytes)")),
        ("# nothing\n", ("ladder.csv", "there is no header row", "distance_ft, tried, made")),
        ("distance_ft,tried,made\n3,10", ("row 2", "breaks off", "cut off")),
        (b"PK\x03\x04....", ("ladder.csv", "a workbook, not text", ".xlsx")),
        (b"distance_ft,tried,made\n3,1\x000,1\n", ("ladder.csv", "NUL bytes")),
    ],
)
def test_bad_files_end_in_one_line(tmp_path, content, words):
    with pytest.raises(InputError) as caught:
        putting(write(tmp_path, content))
    line = caught.value.line()
    assert "\n" not in line
    for word in words:
        assert word in line


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("absent.csv", ("there is no such file", "distance_ft, tried and made")),
        ("ladder.txt", ("'.txt'", "CSV or XLSX")),
        ("ladder.xlsx", ("not a complete workbook", "save it")),
    ],
)
def test_files_of_another_kind(tmp_path, name, words):
    if name != "absent.csv":
        write(tmp_path, SOUND, name)
    with pytest.raises(InputError) as caught:
        putting(tmp_path / name)
    for word in words:
        assert word in caught.value.line()
    with pytest.raises(InputError, match="no such file"):
        putting(tmp_path)
