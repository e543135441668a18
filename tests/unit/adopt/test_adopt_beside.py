"""Blocks that stand side by side on one sheet: each is read, and what is not is named."""

from __future__ import annotations

from pathlib import Path

from openpyxl import Workbook
from own_sheets import TODAY

from paryield.adopt import Adoption, Memory, adopt_folder
from paryield.adopt.log import Entry, read_log

TOP: list[list[object]] = [
    ["Elevene våre 2026"],
    ["RUNDER", None, None, None, None, "TRENING", None, None, "TESTER"],
    [
        "Dato",
        "Bane",
        "CR/Slope",
        "Brutto",
        None,
        "Dato",
        "Hva",
        None,
        "Dato",
        "Putt 4'",
        "Putt 9'",
        "Opp og ned",
    ],
]
LOG, RESULTS = "20 min bunker, 15 min chipping", ("8/10", "5/10", "3/9")
ROWS: list[list[object]] = [
    ["14.04.2026", "Sandholt", "72.4/134", 84, None, "13.04.2026", LOG, None, "15.04.2026", *RESULTS],
    ["21.04.2026", "Sandholt", "72.4/134", 81, None, "16.04.2026", "driver - 60 balls", None],
    [None, None, None, None, None, "18.04.2026", "bunker 1 hr", None],
]


def adopted(folder: Path, *names: str, extra: list[list[object]] | None = None) -> Adoption:
    book = Workbook()
    book.remove(book.active)
    for name in names:
        sheet = book.create_sheet(name)
        for row in [*TOP, *ROWS]:
            sheet.append(row)
    if extra is not None:
        sheet = book.create_sheet("Blandet")
        for row in extra:
            sheet.append(row)
    book.save(folder / "gruppe.xlsx")
    return adopt_folder(folder, Memory(), today=TODAY)


def told(found: Adoption, table: str, *names: str) -> list[tuple[str, ...]]:
    who = found.people.names
    rows = [{**row, "golfer_id": who[row["golfer_id"]]} for row in found.tables()[table]]
    return [tuple(row.get(name, "") for name in names) for row in rows]


def test_each_of_three_blocks_is_read(tmp_path: Path) -> None:
    found = adopted(tmp_path, "Maud", "Olle")
    assert found.questions == []
    assert found.problems == []
    for who in ("Maud", "Olle"):
        rounds = told(found, "rounds", "golfer_id", "played_on", "adjusted_gross_score")
        assert [row[1:] for row in rounds if row[0] == who] == [("2026-04-14", "84"), ("2026-04-21", "81")]
        practice = told(found, "practice", "golfer_id", "practised_on", "category", "minutes", "reps")
        assert [row[1:] for row in practice if row[0] == who] == [
            ("2026-04-13", "bunker", "20", ""),
            ("2026-04-13", "chipping", "15", ""),
            ("2026-04-16", "driver", "", "60"),
            ("2026-04-18", "bunker", "60", ""),
        ]
        tests = told(found, "assessments", "golfer_id", "test", "distance_ft", "made", "tried")
        assert [row[1:] for row in tests if row[0] == who] == [
            ("putting_ladder", "4", "8", "10"),
            ("putting_ladder", "9", "5", "10"),
            ("opp_og_ned", "", "3", "9"),
        ]


def test_a_block_that_says_too_little_is_asked_about(tmp_path: Path) -> None:
    extra: list[list[object]] = [
        ["Dato", "Spiller", "Bane", "CR/Slope", "Brutto", None, "Dato", "Vær"],
        ["14.04.2026", "Maud", "Sandholt", "72.4/134", 84, None, "14.04.2026", 17],
        ["21.04.2026", "Maud", "Sandholt", "72.4/134", 81, None, "21.04.2026", 12],
    ]
    found = adopted(tmp_path, extra=extra)
    assert [row[1] for row in told(found, "rounds", "golfer_id", "adjusted_gross_score")] == ["84", "81"]
    assert any("Vær" in one.options for one in found.questions)


def test_blank_columns_within_one_list_set_nothing_apart(tmp_path: Path) -> None:
    extra: list[list[object]] = [
        ["Dato", "Spiller", None, "Bane", "CR/Slope", None, "Brutto", "Putter"],
        ["14.04.2026", "Maud", None, "Sandholt", "72.4/134", None, 84, 31],
    ]
    assert told(adopted(tmp_path, extra=extra), "rounds", "adjusted_gross_score") == [("84",)]


def test_balls_behind_what_was_practised_are_of_it() -> None:
    assert read_log("driver - 60 balls") == [Entry("driver", reps=60.0)]
