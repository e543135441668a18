"""Answers in a terminal, from made-up records: what is said, and that hostile names stay on their line."""

from __future__ import annotations

import pytest
from report_tables import forecast_records, returns_records

from paryield.report import console
from paryield.report.columns import columns
from paryield.report.write import health_lines, page_names

LINE = {"quantity": "trend", "element": "", "ess_bulk": 900.0, "ess_tail": 700.0}


def at(weeks: int, golfer: str = "G07") -> list[dict[str, object]]:
    return [record for record in forecast_records(golfer) if record["weeks"] == weeks]


def test_columns_are_aligned_by_width_on_screen():
    """A wide character takes two columns (Unicode Standard Annex 11, East Asian Width)."""
    lines = columns(["name", "index"], [["王", 5], ["Ada\nQuill", 12]])
    assert lines == ["name       index", "王         5", "Ada Quill  12"]


def test_one_golfer_has_a_line_a_quantity_with_its_range():
    lines = console.forecast_lines(at(4) + at(12))
    assert lines[0] == "Golfer G07, from 5 July 2026"
    assert lines[1].split() == ["in", "4", "weeks", "in", "12", "weeks"]
    index = next(line for line in lines if line.startswith("Handicap Index"))
    assert "12.7 (11.5 to 13.9)" in index
    assert lines[-1] == console.UNOFFICIAL


def test_several_golfers_have_a_line_each():
    lines = console.forecast_lines(at(12) + at(12, "=cmd|'\n/c'!A0"))
    assert lines[0].startswith("Handicap Index  in 12 weeks")
    assert lines[1].startswith("G07")
    assert lines[2].startswith("=cmd|' /c'!A0")


def test_a_withheld_forecast_says_why():
    records = [record | {"reportable": False, "q50": None, "reason": "no rounds"} for record in at(4)]
    assert "not given: no rounds" in "\n".join(console.forecast_lines(records))


def test_a_plus_handicap_goal_is_written_with_plus():
    goal = at(12)[0] | {"goal": -2.1, "by": "2026-09-27", "chance": 0.004}
    text = "\n".join(console.forecast_lines([*at(4), goal]))
    assert "G07: index +2.1 by 27 September 2026: chance under 1" in text


def test_returns_are_sorted_by_size_with_the_noise_floor_among_them():
    lines = console.returns_lines(returns_records(), ["Stop when something hurts."])
    body = [line for line in lines[2:] if not line.startswith(" ")]
    names = [line.split("  ")[0] for line in body[:6]]
    assert names == ["chipping", "irons", "short putting", "driver", "strength", "(noise floor)"]
    assert "0.42 (0.24 to 0.60)" in body[0]
    assert body[0].endswith("yes")
    assert body[1].endswith("no")
    assert lines[-1] == "Stop when something hurts."


def test_several_golfers_get_their_likeliest_best():
    lines = console.returns_lines(returns_records("A") + returns_records("B"))
    assert [line.split()[:2] for line in lines if line[:1] in "AB"] == [["A", "chipping"], ["B", "chipping"]]


def test_no_diary_is_said():
    assert console.returns_lines([])[0].startswith("Nothing can be said about practice")


@pytest.mark.parametrize(("ok", "word"), [(True, "passes"), (False, "does not pass")])
def test_health_names_what_to_do_once(ok, word):
    line = LINE | {"rhat": 1.004 if ok else 1.02, "ok": ok, "remedy": "" if ok else "fit again"}
    found = {
        "run": 2,
        "quick": True,
        "ok": ok,
        "divergences": 0,
        "divergences_ok": True,
        "lines": [line, line],
    }
    lines = console.health_report(found)
    assert lines[0].startswith(f"Run 2 (rough fit) {word} the health gate")
    assert lines.count("What to do: fit again") == (0 if ok else 1)


def test_a_page_counts_failures_and_names_no_golfer():
    bad = LINE | {"element": "G03", "rhat": 1.02, "ok": False}
    good = LINE | {"rhat": 1.004, "ok": True}
    shown = health_lines({"lines": [bad, good], "divergences": 9, "divergences_ok": False})
    assert shown == ("1 of 2 checks failed", "9 divergences")
    shown = health_lines({"lines": [good], "divergences": 0, "divergences_ok": True})
    assert shown == ("R-hat at most 1.004 (limit 1.01)", "ESS at least 700 (limit 400)")


def test_every_golfer_has_a_page_of_his_own_on_any_file_system():
    ids = ["G1", "g1", "../etc/passwd", "Ø", "Å", "a b", "a-b", "CON", "x" * 90, "x" * 91]
    names = page_names(ids)
    assert names["CON"] == "golfer-CON.html"
    assert len({name.casefold() for name in names.values()}) == len(ids)
    assert all(name.isascii() and "/" not in name and len(name) < 80 for name in names.values())
