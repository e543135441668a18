"""The list of a club says what the golfers' pages say."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club
from paryield.forecast.current import current_fit
from paryield.posterior import Posterior
from paryield.report import sections
from paryield.report.attention import Reason, by_attention
from paryield.report.first_screen import first_screen
from paryield.report.glance import Glance, glance
from paryield.report.views import GolferView
from paryield.report.words import weekday
from paryield.report.write import coach_view, views_of
from paryield.tables import Tables

GOALS = (
    "golfer_id,goal_index,goal_on\nG01,9.5,2026-12-01\nG02,30.0,2026-10-01\nG03,5.0,2026-01-01\nG04,12.1,\n"
)
"""Far off, reached, of a day that has passed, and without a day."""
PLAN = (
    "plan,golfer_id,category,starts_on,ends_on,minutes_per_week\n"
    "a quiet summer,G06,chipping,2026-07-01,2026-09-30,45\n"
)


@pytest.fixture(scope="module")
def club(fitted_club: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Posterior, Tables]:
    place = tmp_path_factory.mktemp("glance")
    path = place / "club.db"
    path.write_bytes(fitted_club.read_bytes())
    (place / "tables").mkdir()
    (place / "tables" / "golfers.csv").write_text(GOALS, encoding="utf-8")
    left = "golfer_id,left_on\nG05,2026-06-01\n"
    with Club.open(path) as opened:
        opened.import_folder(place / "tables", replace=True, today=date(2026, 7, 5))
        (place / "tables" / "golfers.csv").write_text(left, encoding="utf-8")
        (place / "tables" / "plans.csv").write_text(PLAN, encoding="utf-8")
        opened.import_folder(place / "tables", replace=True, today=date(2026, 7, 5))
        return current_fit(opened)[1], opened.tables()


@pytest.fixture(scope="module")
def pages(club: tuple[Posterior, Tables]) -> tuple[GolferView, ...]:
    return views_of(*club, number=1, club="club", banner="")


@pytest.fixture(scope="module")
def glances(club: tuple[Posterior, Tables]) -> tuple[Glance, ...]:
    return tuple(glance(*club, golfer, number=1, club="club", banner="") for golfer in club[0].golfers)


def test_every_number_of_the_list_is_that_of_the_page(
    pages: tuple[GolferView, ...], glances: tuple[Glance, ...]
) -> None:
    for page, short in zip(pages, glances, strict=True):
        assert (short.goal, short.plan, short.index_now, short.left, short.follows) == (
            page.goal, page.plan, page.index_now, page.left, page.follows,
        )  # fmt: skip
        assert (short.evidence, short.name, short.page) == (page.evidence, page.name, page.page)
        for quantity in ("mean_differential", "handicap_index"):
            mine, his = short.ahead(quantity), page.ahead(quantity)
            assert mine is not None
            assert his is not None
            assert {name: mine[name] for name in ("q10", "q50", "q90", "reportable")} == {
                name: his[name] for name in ("q10", "q50", "q90", "reportable")
            }
    assert [one.goal.reached for one in glances if one.goal] == [False, True, False, False]


def test_the_list_is_drawn_the_same_from_both(
    pages: tuple[GolferView, ...], glances: tuple[Glance, ...]
) -> None:
    first, other = (sections.golfers_section(by_attention(one), 12) for one in (pages, glances))
    assert first == other
    drawn = [section(coach_view(one)) for one in (pages, glances) for section in sections.COACH]
    assert drawn[0] == drawn[1]


def test_who_has_settled_on_a_plan_follows_it_on_the_list_and_on_the_page(
    pages: tuple[GolferView, ...], glances: tuple[Glance, ...]
) -> None:
    assert {one.golfer_id: one.follows for one in glances if one.follows} == {"G06": "a quiet summer"}
    assert "follows the plan &#39;a quiet summer&#39;" in sections.golfers_section(by_attention(glances), 12)
    page = next(one for one in pages if one.golfer_id == "G06")
    said = {line.about: line.said for line in first_screen(page)}
    assert page.kept is not None
    begun = page.kept.sessions[0]
    named = f"{weekday(begun['on']).split()[0]} {begun['category']} {begun['minutes']:g} min"
    assert said["This week"].startswith(f"Plan 'a quiet summer', to 30 September 2026: {named}")
    week = sections.plan_section(page)
    assert "The week of the plan <bdi>a quiet summer</bdi>, which runs to 30 September 2026:" in week
    first = week[week.index("<ul") : week.index("</ul>")]
    assert "chipping" in first
    assert first.count(" min") == sum(one["on"] < "2026-07-13" for one in page.kept.sessions) > 0


def test_every_reason_to_look_at_a_golfer_can_be_opened(glances: tuple[Glance, ...]) -> None:
    reasons = [Reason(number, f"reason {number}") for number in range(3)]
    table = sections.golfers_section([(glances[0], reasons), (glances[1], reasons[:1])], 12)
    assert table.count("<details>") == 1
    assert "<summary>and 2 more</summary><p>Reason 1</p><p>Reason 2</p></details>" in table
    assert table.count("Reason 0") == 2
