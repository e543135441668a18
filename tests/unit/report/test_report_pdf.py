"""Documents as PDF, read back with Poppler's tools: pages, fonts, text; and what a lack of libraries does."""

from __future__ import annotations

import base64
import builtins
import re
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from report_tables import RETURNS, forecast_records, returns_records

from paryield.club import Club
from paryield.errors import InputError
from paryield.plan.saved import KeptWeek
from paryield.plan.sessions import short_notes
from paryield.report import CoachView, GolferView, coach_page, golfer_page
from paryield.report.pdf import PACKAGES, linked, pdf, whole
from paryield.report.reader import Reader, reader, written_for
from paryield.report.week_card import week_card, week_page
from paryield.report.write import golfer_views, report
from paryield.tables.settings import Settings

try:
    import weasyprint  # noqa: F401

    LIBRARIES = True
except OSError:
    LIBRARIES = False

needs_tools = pytest.mark.skipif(
    not (LIBRARIES and shutil.which("pdffonts") and shutil.which("pdftotext")),
    reason="needs Pango and Poppler's tools",
)
DOT = "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNkYPhfDwAChwGA60e6kgAAAABJRU5ErkJggg=="
LOGO = f"data:image/png;base64,{DOT}"
HOSTILE = "<script>alert(1)</script> & {{ 7*7 }} =1+1"


def tool(name: str, content: bytes, folder: Path, *options: str) -> str:
    path = folder / "shown.pdf"
    path.write_bytes(content)
    words = [name, *options, str(path), *(["-"] if name == "pdftotext" else [])]
    return subprocess.run(words, capture_output=True, text=True, check=True).stdout


@needs_tools
def test_a_sheet_has_two_pages_its_text_and_every_font_embedded(
    make_view: Callable[..., GolferView], tmp_path: Path
) -> None:
    made = pdf([golfer_page(make_view(display_name=HOSTILE))])
    assert "Pages:           2" in tool("pdfinfo", made, tmp_path)
    text = " ".join(tool("pdftotext", made, tmp_path).split())
    for line in (
        HOSTILE,
        "worked out here",
        "Where the strokes are lost",
        "What the next hour may save",
        "Stop when something hurts",
        "The official one comes from the golfer's association.",
        "1 of 2",
    ):
        assert line in text
    fonts = tool("pdffonts", made, tmp_path).splitlines()[2:]
    assert len(fonts) >= 2
    assert all(re.search(r"\s(yes|no)\s+(yes|no)\s+(yes|no)\s+\d+\s+\d+$", line) for line in fonts)
    assert all(line.split()[-5] == "yes" for line in fonts)


@needs_tools
def test_nothing_stands_outside_the_paper(make_view: Callable[..., GolferView], tmp_path: Path) -> None:
    made = pdf([golfer_page(make_view(display_name="A rather long name " * 6))])
    layout = tool("pdftotext", made, tmp_path, "-bbox")
    wide, high = 595.3, 841.9  # A4 in points (ISO 216: 210 mm x 297 mm)
    boxes = re.findall(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)"', layout)
    assert len(boxes) > 400
    for box in boxes:
        left, top, right, bottom = map(float, box)
        assert left >= 20
        assert right <= wide - 20
        assert top >= 10
        assert bottom <= high - 10


@needs_tools
def test_many_categories_still_fit_two_sheets(make_view: Callable[..., GolferView], tmp_path: Path) -> None:
    rows = [(f"own_{k}", *RETURNS[1][1:]) for k in range(11)] + [RETURNS[-1]]
    made = pdf([golfer_page(make_view(returns=returns_records(rows=rows)))])
    assert "Pages:           2" in tool("pdfinfo", made, tmp_path)


@needs_tools
def test_the_book_links_the_list_to_each_golfers_sheet(
    make_view: Callable[..., GolferView], make_coach: Callable[..., CoachView], tmp_path: Path
) -> None:
    views = tuple(
        make_view(
            golfer_id=name,
            display_name=f"Golfer {name}",
            page=f"golfer-{name}.html",
            forecast=forecast_records(name),
        )
        for name in ("A", "B")
    )
    made = pdf([linked(coach_page(make_coach(views))), *(golfer_page(view) for view in views)])
    text = tool("pdftotext", made, tmp_path)
    assert text.index("Who needs attention?") < text.index("worked out here")
    # Once above the list, and once on each golfer's sheet.
    assert text.count("worked out here") == 3
    found = tool("pdfinfo", made, tmp_path, "-dests")
    assert "golfer-A" in found
    assert "golfer-B" in found


def test_links_lead_into_the_book_and_nothing_else_is_touched() -> None:
    page = '<a href="golfer-G1.html">x</a> <a href="other.html">y</a>'
    assert linked(page) == '<a href="#golfer-G1">x</a> <a href="other.html">y</a>'


@needs_tools
def test_nothing_is_fetched_from_outside_the_page(tmp_path: Path) -> None:
    secret = tmp_path / "secret.svg"
    secret.write_text('<svg xmlns="http://www.w3.org/2000/svg"><text y="20">secret</text></svg>')
    page = f'<html><body><p>shown</p><img src="{secret.as_uri()}"></body></html>'
    text = tool("pdftotext", pdf([page]), tmp_path)
    assert "shown" in text
    assert "secret" not in text


def test_without_libraries_html_is_written_and_the_packages_are_named(
    fitted_club: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = builtins.__import__

    def refuse(name: str, *rest: Any, **more: Any) -> Any:
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", refuse)
    with Club.open(fitted_club) as club, pytest.raises(InputError) as found:
        report(club, "golfer", golfer="G01", format="pdf", out=tmp_path / "out", anyway=True)
    assert found.value.exit_code == 2
    assert all(package in found.value.remedy for package in PACKAGES)
    assert "written as HTML" in found.value.message
    assert (tmp_path / "out" / "golfer-G01.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert not list((tmp_path / "out").glob("*.pdf"))


def full_plan(view: GolferView) -> dict[str, Any]:
    """A plan with all that one can hold: every category, four phases, competitions, notes and cautions."""
    assert view.plan is not None
    names = ["short_putting", "lag_putting", "chipping", "pitching", "bunker", "irons", "driver", "strength"]
    hours = dict.fromkeys(names, 0.5)
    rows = [
        {
            "category": name,
            "hours_now": 0.5,
            "hours_advised": 0.5,
            "hours_best": 0.75,
            "reps_advised": 120,
            "usual_low": 0.1,
            "usual_high": 1.2,
        }
        for name in names
    ]
    starts = [date(2026, 7, 6) + timedelta(weeks=13 * place) for place in range(4)]
    phases = [
        {
            "starts_on": start.isoformat(),
            "ends_on": (start + timedelta(days=90)).isoformat(),
            "weeks": 13,
            "phase": phase,
            "hours": hours,
        }
        for start, phase in zip(starts, ("in_season", "break", "off_season", "pre_season"), strict=True)
    ]
    days = [0, 1, 2, 3, 5, *(7 * week + 3 for week in range(2, 14))]
    sessions = [
        {"on": (starts[0] + timedelta(days=day)).isoformat(), "category": name, "minutes": 30, "reps": 40}
        for day in days
        for name in names[:4]
    ]
    return {
        **view.plan,
        "weeks_plan": rows,
        "phases": phases,
        "sessions": sessions,
        "notes": ["green times are short for all who want them", "a limit holds one category down"],
        "cautions": [
            *view.plan["cautions"],
            "Full swings: 142 minutes a week planned, 26 on average in the last 4 weeks; a fact to weigh.",
            "Strength: 90 minutes a week planned, 20 on average in the last 4 weeks; a fact to weigh.",
        ],
    }


@needs_tools
def test_a_golfer_with_everything_has_two_pages_and_the_book_keeps_the_rest(
    fitted_club: Path, tmp_path: Path
) -> None:
    with Club.open(fitted_club) as club:
        (plain,) = golfer_views(club, "G01", anyway=True)
    assert plain.review is not None
    assert len(plain.goals) >= 3
    for view in (plain, replace(plain, plan=full_plan(plain))):
        page = golfer_page(view)
        made = pdf([page])
        assert "Pages:           2" in tool("pdfinfo", made, tmp_path)
        text = " ".join(tool("pdftotext", made, tmp_path).split())
        for line in (
            "worked out here",
            "What can be reached",
            "Where the strokes are lost",
            "What the next hour may save",
            "My week",
            "Next time",
            "Stop when something hurts",
        ):
            assert line in text
        assert "Chance of being best" not in text
    book = tool("pdftotext", pdf([whole(golfer_page(replace(plain, long=True)))]), tmp_path)
    assert "Chance of being best" in " ".join(book.split())


@needs_tools
def test_report_writes_pdf(fitted_club: Path, tmp_path: Path) -> None:
    with Club.open(fitted_club) as club:
        files = report(club, "golfer", golfer="G01", format="pdf", out=tmp_path, anyway=True)
    assert [file.name for file in files] == ["golfer-G01.pdf"]
    assert files[0].read_bytes().startswith(b"%PDF-")


def test_the_logo_stands_at_the_head_and_the_policy_lets_it(make_view: Callable[..., GolferView]) -> None:
    with written_for(Settings(logo=LOGO)):
        page = golfer_page(make_view())
    assert f'<img src="{LOGO}" alt="">' in page
    assert "; img-src data:" in page
    bare = golfer_page(make_view())
    assert "<img" not in bare
    assert "img-src" not in bare
    assert base64.b64decode(DOT).startswith(b"\x89PNG")


def test_dates_and_decimals_are_the_readers_and_come_back(make_view: Callable[..., GolferView]) -> None:
    """German and American forms as in the Unicode CLDR (which Babel carries)."""
    view = make_view()
    with written_for(Settings(locale="de_DE")):
        german = golfer_page(view)
    with written_for(Settings(locale="en_US")):
        american = golfer_page(view)
    assert "Handicap Index 13,4" in german
    assert "12,7 (8 in 10: 11,5 to 13,9)" in german
    assert "27. September 2026" in german
    assert "4.000 draws" in german
    assert "September 27, 2026" in american
    assert "12.7 (8 in 10: 11.5 to 13.9)" in american
    assert reader() == Reader()
    # No number keeps a point: what is left are the limits of the health lines, given as text.
    body = re.sub(r"<svg.*?</svg>|<style>.*?</style>", "", german, flags=re.S)
    assert set(re.findall(r"\d\.\d+", body)) <= {"1.006", "1.01", "4.000"}


@needs_tools
def test_the_card_of_a_week_is_one_sheet_of_a6(make_view: Callable[..., GolferView], tmp_path: Path) -> None:
    """ISO 216: A6 is 105 by 148 mm; a point is 1/72 inch. The size is read by Poppler."""
    many = [
        {"on": f"2026-07-{7 + day:02d}", "category": name, "minutes": 30, "reps": 75}
        for day in range(6)
        for name in ("chipping", "short_putting")
    ]
    made = pdf([week_page(week_card(make_view(plan={"sessions": many, "weeks_plan": []})))])
    told = tool("pdfinfo", made, tmp_path)
    assert "Pages:           1" in told
    short = short_notes(["bunker", "pitching", "driver"], np.full(3, 0.1), {})
    kept = KeptWeek("A long name of a plan for the summer", date(2026, 9, 1), many, short)
    full = pdf([week_page(week_card(make_view(kept=kept)))])
    assert "Pages:           1" in tool("pdfinfo", full, tmp_path)
    assert "put together" in " ".join(tool("pdftotext", full, tmp_path).split())
    size = re.search(r"Page size: +([\d.]+) x ([\d.]+) pts", told)
    assert size is not None
    assert [float(side) * 25.4 / 72 for side in size.groups()] == pytest.approx([105, 148], abs=0.5)
    text = " ".join(tool("pdftotext", made, tmp_path).split())
    assert text.count("chipping, 30 min") == 6
    assert "Stop when something hurts" in text


@needs_tools
def test_report_writes_a_card_a_golfer_and_tells_how_far_it_is(fitted_club: Path, tmp_path: Path) -> None:
    heard: list[tuple[int, int, str]] = []
    with Club.open(fitted_club) as club:
        files = report(club, "week", out=tmp_path, anyway=True, tell=lambda *one: heard.append(one))
        (one,) = report(club, "week", golfer="G01", format="pdf", out=tmp_path, anyway=True)
    assert [file.name for file in files] == [f"week-G0{number}.html" for number in range(1, 7)]
    assert one.name == "week-G01.pdf"
    assert "Page size:       297.6" in tool("pdfinfo", one.read_bytes(), tmp_path)
    assert [(done, whole) for done, whole, _ in heard] == [(place, 6) for place in range(6)]
