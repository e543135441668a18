"""Practice in letters that a legend explains, with a column a golfer or a column a day."""

from __future__ import annotations

from pathlib import Path

import pytest
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.coded import legend_of
from paryield.adopt.sheets import Sheet


def adopted(folder: Path, *lines: str) -> Adoption:
    (folder / "own.csv").write_text("\n".join(lines), encoding="utf-8")
    return adopt_folder(folder, Memory(), today=TODAY)


def told(found: Adoption) -> list[tuple[str, ...]]:
    who = found.people.names
    rows = found.tables()["practice"]
    names = ("practised_on", "category", "minutes", "reps", "note")
    return [(who[row["golfer_id"]], *(row.get(name, "") for name in names)) for row in rows]


LEGEND = "Eigenes Training in Minuten: C = Chippen, B = Bunker, K = Kraft"


@pytest.mark.parametrize("below", [False, True])
def test_a_column_a_golfer_is_read_by_the_legend(tmp_path: Path, below: bool) -> None:
    grid = (
        "Woche vom;Maud;Olle;Ines;Bemerkung",
        "06.04.2026;C40 B20;;K60;",
        "13.04.2026;B30;C20, K45;;Ferien",
    )
    title = ("Minuten;;;;",) if below else (f"{LEGEND};;;;",)
    found = adopted(tmp_path, *title, *grid, *((";;;;", f"{LEGEND};;;;") if below else ()))
    assert found.questions == []
    assert told(found) == [
        ("Ines", "2026-04-06", "strength", "60", "", ""),
        ("Maud", "2026-04-06", "chipping", "40", "", ""),
        ("Maud", "2026-04-06", "bunker", "20", "", ""),
        ("Maud", "2026-04-13", "bunker", "30", "", "Ferien"),
        ("Olle", "2026-04-13", "chipping", "20", "", "Ferien"),
        ("Olle", "2026-04-13", "strength", "45", "", ""),
    ]


def test_a_column_a_day_is_read_by_the_legend(tmp_path: Path) -> None:
    found = adopted(tmp_path, f"{LEGEND};;", "Spieler;06.04.2026;07.04.2026", "Maud;C40 B20;", "Olle;;30K")
    assert [row[:4] for row in told(found)] == [
        ("Maud", "2026-04-06", "chipping", "40"),
        ("Maud", "2026-04-06", "bunker", "20"),
        ("Olle", "2026-04-07", "strength", "30"),
    ]


def test_a_letter_that_the_legend_does_not_have_is_asked_about(tmp_path: Path) -> None:
    grid = ("Woche vom;Maud;Olle", "06.04.2026;C40;B20", "13.04.2026;C20;K20", "20.04.2026;C30;B10",
            "27.04.2026;C30;B10", "04.05.2026;C30;Z40", "11.05.2026;C10;B10")  # fmt: skip
    found = adopted(tmp_path, f"{LEGEND};;", *grid)
    assert [one.key for one in found.questions] == ["practice: z40"]
    assert len(told(found)) == 11


def test_what_is_a_legend() -> None:
    assert legend_of(Sheet("own.csv", "", [["P = putt, N = near game. R: range"]])) == {
        "P": "putt",
        "N": "near game",
        "R": "range",
    }
    assert legend_of(Sheet("own.csv", "", [["CR: see board", "x"]])) == {}
