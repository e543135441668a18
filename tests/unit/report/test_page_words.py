"""How much a golfer has to read, and that he can: words of the first screen and of the page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from html import unescape
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from paryield import report
from paryield.club import Club
from paryield.report import GolferView, golfer_page
from paryield.report.first_screen import MOST_WORDS, first_screen, went_well
from paryield.report.write import golfer_views
from paryield.tables import SHIPPED

MOST_OF_PAGE = 900
CRAFT = r"\b(R-hat|ESS|posterior|prior|quantile|median|standard deviation|phantom|credible|covariate)\b"
"""Words of the statistician's craft, which a reader of 15 should not have to ask about."""

Make = Callable[..., GolferView]


def words_of(page: str, start: str, end: str) -> list[str]:
    """Return the words between two marks of a page, those inside pictures left out."""
    found = re.sub(r"<svg.*?</svg>", " ", page[page.index(start) :], flags=re.S)
    return unescape(re.sub(r"<[^>]+>", " ", found[: found.index(end)])).split()


def check_words(views: Iterable[GolferView]) -> int:
    """Hold every golfer's page to its words, each finding said once; returns how many pages.

    Praise alone stands twice, on the first screen and for the talk. Days of the week may be alike.
    """
    count = 0
    for view in views:
        page = golfer_page(view)
        first = words_of(page, '<dl class="answers first">', "</dl>")
        assert len(first) <= MOST_WORDS == 120, (view.golfer_id, len(first))
        all_of_it = words_of(page, "<body>", "</body>")
        assert len(all_of_it) <= MOST_OF_PAGE, (view.golfer_id, len(all_of_it))
        assert not re.search(CRAFT, " ".join(all_of_it)), view.golfer_id
        spoken = re.sub(r'<ul class="ticks">.*?</ul>', " ", page, flags=re.S)
        twice = said_twice(words_of(spoken, "<body>", "</body>"))
        assert all(run in went_well(view) for run in twice), (view.golfer_id, twice)
        count += 1
    return count


def said_twice(words: list[str]) -> set[str]:
    """Return runs of nine words that stand on a page more than once."""
    runs = [" ".join(words[place : place + 9]) for place in range(len(words) - 8)]
    return {one for one, other in pairwise(sorted(runs)) if one == other}


def test_every_golfer_of_a_fitted_club_has_a_page_of_few_words(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        views = golfer_views(club, anyway=True)
    assert check_words(views) == 6


@pytest.mark.slow
def test_every_golfer_of_the_demo_has_a_page_of_few_words(tmp_path: Path) -> None:
    from paryield.report.demo import make_demo

    made = make_demo(tmp_path)
    with Club.open(made.club) as club:
        views = golfer_views(club, anyway=not made.health["ok"])
    assert check_words(views) == 24


@pytest.mark.parametrize("verdict", ["change", "try", "keep"])
def test_the_longest_week_leaves_the_first_screen_short(make_view: Make, verdict: str) -> None:
    """Six moves of two-word names, and all causes: what went well gives way before the screen grows."""
    names = sorted((one.name for one in SHIPPED), key=lambda name: (-name.count("_"), name))
    rows = [
        {"category": name, "hours_now": 2.0 * (place % 2), "hours_best": 2.0 * (place % 2 == 0)}
        for place, name in enumerate(names)
    ]
    gain = {"q10": -0.11, "q50": 0.34, "q90": 0.99}
    plan: dict[str, Any] = {
        "golfer_id": "G07", "weeks": 12, "verdict": verdict, "evidence": "part measured", "gain": gain,
        "chance_gain": 0.85, "price_if_wrong": 0.41, "sessions": [], "phases": [], "cautions": [],
        "weeks_plan": [{**row, "hours_advised": row["hours_best"]} for row in rows],
    }  # fmt: skip
    lines = first_screen(make_view(plan=plan))
    assert sum(len(f"{line.about} {line.said}".split()) for line in lines) <= 120


def test_one_who_left_is_advised_nothing(make_view: Make) -> None:
    from datetime import date

    said = {line.about: line.said for line in first_screen(make_view(left=date(2026, 5, 1)))}
    assert said["This week"] == "Left on 1 May 2026: nothing is advised."


def test_a_thing_has_one_name_on_all_pages() -> None:
    """The week as it is, is the present week: no page splits hours "as now"; balls are counted, not reps."""
    folder = Path(report.__file__).parent
    pages = [*folder.rglob("*.html"), *(folder.parent / "desk").rglob("*.html"), folder / "goal_words.py"]
    other = {
        page.name: re.findall(r"split as now|\d reps\b|repetitions\b", page.read_text()) for page in pages
    }
    assert {name: found for name, found in other.items() if found} == {}
