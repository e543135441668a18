"""Made and tried of putting that is shared between short and lag putting are kept, and that is said."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.found import BOTH_PUTTING

HEAD = "Date,Player,What,Minutes,Made,Note\n"


def read(folder: Path, row: str, said: str = BOTH_PUTTING) -> Adoption:
    (folder / "log.csv").write_text(HEAD + row, encoding="utf-8")
    return adopt_folder(folder, Memory({"practice: putting": said}), today=TODAY)


@pytest.mark.parametrize(("note", "kept"), [("windy", "; windy"), ("", "")])
def test_they_are_kept_as_a_remark_and_counted(tmp_path: Path, note: str, kept: str) -> None:
    found = read(tmp_path, f"13.04.2026,Maud Ferrin,putting,30,7/10,{note}\n")
    assert found.questions == []
    rows = found.tables()["practice"]
    assert sorted((row["category"], row["minutes"]) for row in rows) == [
        ("lag_putting", "15"),
        ("short_putting", "15"),
    ]
    assert [row["note"] for row in rows if "note" in row] == [
        f"short and lag putting together: 7 of 10 made{kept}"
    ]
    assert all("made" not in row and "tried" not in row for row in rows)
    assert any("kept as a remark: 1 taken" in line for line in found.lines())


def test_of_one_kind_of_putting_they_are_its_own(tmp_path: Path) -> None:
    (row,) = read(tmp_path, "13.04.2026,Maud Ferrin,putting,30,7/10,\n", "lag_putting").tables()["practice"]
    assert (row["made"], row["tried"], "note" in row) == ("7", "10", False)
