from __future__ import annotations

import base64
import hashlib
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from report_tables import forecast_records, quantiles, returns_records, rounds_frame

from paryield.errors import InputError
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.report import CoachView, GolferView, Health, RunFacts, coach_page, golfer_page
from paryield.report.first_screen import first_screen
from paryield.report.html import facility_page
from paryield.report.rendering import part

Make = Callable[..., GolferView]
MakeCoach = Callable[..., CoachView]
HOSTILE = '"><script>alert(1)</script><img src=x onerror=alert(2)> $x^2$ {{ 7*7 }} =1+1 שלום 🏌'


class Reader(HTMLParser):
    """Collects elements, attributes and visible text of a page."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in ("meta", "link", "img", "br", "input"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if "style" not in self.open:
            self.words.append(data)

    @property
    def text(self) -> str:
        return " ".join("".join(self.words).split())


def both_pages(make_view: Make, make_coach: MakeCoach, **changed: object) -> list[str]:
    view = make_view(**changed)
    return [golfer_page(view), coach_page(make_coach((view,)))]


def test_pages_run_nothing_and_ask_nobody(make_view: Make, make_coach: MakeCoach) -> None:
    for page in both_pages(make_view, make_coach, page="golfer-g07.html"):
        read = Reader(page)
        assert not read.open
        assert "http:" not in page
        assert "https:" not in page
        assert {tag for tag, _ in read.elements}.isdisjoint(
            {"script", "img", "link", "iframe", "object", "image"}
        )
        for _, attributes in read.elements:
            assert "src" not in attributes
            assert "style" not in attributes
            assert not [key for key in attributes if key.startswith("on")]
            assert (attributes.get("href") or "#").startswith(("#", "golfer-g07.html"))
        assert re.findall(r"url\((?!#)", page) == []


def test_policy_allows_exactly_the_style_sheet_of_the_page(make_view: Make) -> None:
    page = golfer_page(make_view())
    sheet = re.search(r"<style>(.*?)</style>", page, re.S)
    assert sheet
    digest = base64.b64encode(hashlib.sha256(sheet[1].encode()).digest()).decode()
    policy = next(a["content"] for tag, a in Reader(page).elements if tag == "meta" and "http-equiv" in a)
    assert policy == (f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'")


def test_ids_are_unique_and_every_reference_is_in_the_page(make_view: Make) -> None:
    page = golfer_page(make_view())
    ids = [a["id"] for _, a in Reader(page).elements if "id" in a]
    assert len(ids) == len(set(ids)) > 100
    used = set(re.findall(r'href="#([^"]+)"', page)) | set(re.findall(r"url\(#([^)]+)\)", page))
    assert used <= set(ids)


@pytest.mark.parametrize(
    "field", ["display_name", "club", "banner", "notes", "cautions", "health", "category"]
)
def test_hostile_text_is_shown_as_text(make_view: Make, make_coach: MakeCoach, field: str) -> None:
    returns = returns_records()
    if field == "category":
        returns[0]["category"] = HOSTILE
        changed = {"returns": returns, "long": True}
    elif field == "health":
        changed = {"health": Health(True, (HOSTILE,)), "long": True}
    else:
        changed = {field: (HOSTILE,) if field in ("notes", "cautions") else HOSTILE}
    read = Reader(golfer_page(make_view(**changed)))
    assert HOSTILE.replace("_", " ") in read.text
    assert {tag for tag, _ in read.elements}.isdisjoint({"script", "img"})
    whole = both_pages(make_view, make_coach, **changed)[1]
    assert "<script" not in whole
    assert "<img" not in whole


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.text(min_size=1, max_size=40))
def test_any_name_is_shown_and_leaves_the_page_whole(
    make_view: Make, make_coach: MakeCoach, name: str
) -> None:
    view = make_view(display_name=name)
    read = Reader(coach_page(make_coach((view,))))
    assert not read.open
    assert len([tag for tag, _ in read.elements if tag == "tr"]) == 2  # the head, and one golfer
    assert view.name in read.text


def test_the_first_screen_answers(make_view: Make) -> None:
    page = golfer_page(make_view())
    shown = page[page.index('<dl class="answers first">') :]
    text = " ".join(re.sub(r"<[^>]+>", " ", shown[: shown.index("</dl>")]).split())
    for piece in (
        "Now Handicap Index 13.4 (worked out here) from 34 rounds.",
        # 12.7 -/+ 1.2816 x (0.02 + 0.26 x sqrt(12)) by the normal law.
        "In 12 weeks Practising as now, about 12.7, 8 in 10 times 11.5 to 13.9.",
        "Goal 11.0 by 1 June 2027: a chance of 31",
        "This week Write down what you practise",
        "How sure The fit is sound; records speak about 3 of 5 kinds of practice, the rest is assumed.",
    ):
        assert piece in text


def test_a_newcomer_without_rounds_and_practice_is_told_his_average_round_and_where_to_begin(
    make_view: Make,
) -> None:
    unknown = {"reportable": False, "reason": "no counting round yet"}
    known = [
        {**one, **(unknown if one["quantity"] == "handicap_index" else {})} for one in forecast_records()
    ]
    nothing = {"weeks_plan": [{"category": "chipping", "hours_now": 0.0, "hours_advised": 0.0}]}
    said = {one.about: one.said for one in first_screen(replace(make_view(forecast=known), plan=nothing))}
    mean = next(one for one in known if one["quantity"] == "mean_differential" and one["weeks"] == 12)
    ahead = f"about {mean['q50']:.1f} (8 in 10: {mean['q10']:.1f} to {mean['q90']:.1f})"
    assert said["In 12 weeks"] == (
        f"The index cannot be given yet: no counting round yet. An average round would be {ahead}."
    )
    assert said["This week"].startswith("No practice is on record: say how many hours a week there are")


def test_everything_below_the_first_screen_folds_and_stands_in_the_contents(make_view: Make) -> None:
    read = Reader(golfer_page(make_view()))
    elements = [(tag, dict(attributes)) for tag, attributes in read.elements]
    folds = [one["id"] for tag, one in elements if tag == "div" and one.get("class") == "folded"]
    assert [tag for tag, _ in elements].count("details") == len(folds)
    assert folds == ["rounds", "areas", "practice", "evidence"]
    links = [attributes["href"] for tag, attributes in read.elements if tag == "a"]
    assert links == [f"#{name}" for name in folds]


def test_a_dot_tells_its_values_to_pointer_and_keyboard(make_view: Make) -> None:
    page = golfer_page(make_view())
    # 0.42 -/+ 1.2816 x 0.14 by the normal law.
    assert page.count('aria-label="0.42 (8 in 10: 0.24 to 0.60)"') == 2  # a wide and a narrow figure
    assert page.count('class="tip"') == page.count('class="told"') == page.count('tabindex="0"') > 10
    assert "figure:has(.ranges input:not(:checked)) .span { display: none; }" in page
    assert page.count('class="span"') > 10


def test_the_forecast_names_its_largest_causes_where_it_knows_them(make_view: Make) -> None:
    sizes = {"practice": -0.6, "season": 0.3, "form": 0.02}
    because = [{"part": name, "mean": size, "q10": size, "q90": size} for name, size in sizes.items()]
    known = [{**one, "because": because} for one in forecast_records()]
    assert "Mostly practice." in golfer_page(make_view(forecast=known))


def test_tables_of_the_book_show_every_number_with_spread_and_evidence(make_view: Make) -> None:
    text = Reader(golfer_page(make_view(long=True))).text.replace("\u00a0", " ")
    assert "irons0.80.21 (0.00 to 0.42)20 %20.20part measureddoes not stand out" in text
    assert "noise floor0.02 (−0.10 to 0.14)other golfers' practice, which cannot have helped" in text


def test_cautions_stand_on_every_page_and_own_ones_are_added_once(
    make_view: Make, make_coach: MakeCoach
) -> None:
    own = (STANDING_CAUTIONS[0], "No driver for six weeks.")
    for page in both_pages(make_view, make_coach):
        items = [" ".join(line.split()) for line in Reader(page).words]
        assert [items.count(caution) for caution in STANDING_CAUTIONS] == [1] * len(STANDING_CAUTIONS)
        assert "official one comes from the golfer's association" in Reader(page).text
    text = Reader(golfer_page(make_view(cautions=own))).text
    assert text.count(own[0]) == text.count(own[1]) == 1


def test_banner_and_quick_mark_stand_before_everything(make_view: Make) -> None:
    run = RunFacts(3, 1, 200, quick=True)
    page = golfer_page(make_view(banner="The health gate was not passed.", run=run))
    body = page[page.index("<body>") :]
    assert body.index("The health gate was not passed.") < body.index("A rough fit") < body.index("<h1>")
    assert "200 draws, rough fit" in Reader(page).text
    assert "banner" not in golfer_page(make_view()).partition("<body>")[2]


def test_an_empty_golfer_gets_reasons_and_the_next_step(make_view: Make, make_coach: MakeCoach) -> None:
    blank = dict.fromkeys(quantiles(0, 1))
    refused = [
        {**one, **blank, "reportable": False, "reason": "fewer than 3 scores"} for one in forecast_records()
    ]
    view = make_view(display_name="", rounds=rounds_frame().iloc[:0], forecast=refused, returns=[], goal=None)
    text = Reader(golfer_page(view)).text
    for line in (
        "There are no rounds on record yet.",
        "The index cannot be given yet: fewer than 3 scores.",
        "Write down what you practise: then a week can be advised.",
        "no practice is on record yet",
        "Nothing to show yet. Log practice for some weeks.",
    ):
        assert line in text
    assert "G07" in text
    assert "not given: fewer than 3 scores" in Reader(coach_page(make_coach((view,)))).text


def test_a_newcomer_stands_where_he_says_he_stood(make_view: Make) -> None:
    came = make_view(rounds=rounds_frame().iloc[:0], brought=22.4)
    assert first_screen(came)[0].said == (
        "Handicap Index 22.4, brought along. There are no rounds on record yet."
    )
    few = make_view(rounds=rounds_frame().iloc[:2].assign(index_after=None), brought=22.4)
    assert first_screen(few)[0].said == (
        "Handicap Index 22.4, brought along. Too few rounds on record for a new one: 2."
    )


def test_coach_page_without_golfers_says_what_to_do(make_coach: MakeCoach) -> None:
    assert "Import a folder with golfers and rounds, then fit." in Reader(coach_page(make_coach(()))).text


def test_coach_page_lists_the_pressing_first_and_links_to_them(
    make_view: Make, make_coach: MakeCoach
) -> None:
    calm = make_view(golfer_id="a", display_name="Calm Carver", goal=None, page="golfer-a.html")
    risk = make_view(golfer_id="b", display_name="Risk Rowley", page="golfer-b.html")
    page = coach_page(make_coach((calm, risk)))
    assert re.findall(r'<a href="([^"]+)"', page) == ["golfer-b.html"] * 2 + ["golfer-a.html"]
    assert "1 of 2 golfers need a look. First: Risk Rowley." in Reader(page).text


def test_what_holds_for_every_golfer_is_said_once(make_view: Make, make_coach: MakeCoach) -> None:
    assumed = [{**one, "evidence": one["evidence"] and "assumed"} for one in returns_records()]
    views = tuple(make_view(golfer_id=f"g{k}", display_name=f"Golfer {k}", returns=assumed) for k in range(3))
    text = Reader(coach_page(make_coach(views))).text
    assert text.casefold().count("not measured yet which practice pays") == 1
    assert text.count("Goal at risk") == 3


def test_a_large_club_is_drawn_in_parts_that_fit_a_sheet(make_view: Make, make_coach: MakeCoach) -> None:
    club = tuple(
        make_view(golfer_id=f"g{k}", display_name=f"Golfer {k}", forecast=forecast_records(f"g{k}", 30.0 - k))
        for k in range(26)
    )
    page = coach_page(make_coach(club))
    drawings = re.findall(r'<svg class="figure wide".*?viewBox="0 0 ([\d.]+) ([\d.]+)".*?</svg>', page, re.S)
    assert len(drawings) == 2
    # A4 leaves 273 mm of height; the print style draws figures 110 mm wide.
    assert max(float(high) / float(wide) * 110 for wide, high in drawings) < 200
    first = page[page.index("overview-1-wide") : page.index("overview-2-wide")]
    assert [f">Golfer {k}<" in first for k in (25, 1, 0)] == [True, True, False]


def test_views_refuse_what_cannot_be_shown(make_view: Make, make_coach: MakeCoach) -> None:
    with pytest.raises(ValueError, match="plain file name"):
        make_view(page="../../etc/passwd.html")
    with pytest.raises(ValueError, match="golfers shown twice: G07"):
        make_coach((make_view(), make_view()))
    with pytest.raises(ValueError, match="every golfer is shown 12 weeks on, found \\[26\\]"):
        make_coach((make_view(weeks=26),))
    with pytest.raises(InputError, match="column index_after is missing"):
        make_view(rounds=rounds_frame().drop(columns="index_after"))
    with pytest.raises(InputError, match="unknown evidence"):
        make_view(returns=[{**returns_records()[0], "evidence": "certain"}])


def test_the_same_view_gives_the_same_bytes(make_view: Make) -> None:
    assert golfer_page(make_view()) == golfer_page(make_view())


def luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    digits = digits if len(digits) == 6 else "".join(2 * one for one in digits)
    parts = [int(digits[k : k + 2], 16) / 255 for k in (0, 2, 4)]
    red, green, blue = (p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_text_contrast_reaches_the_double_a_level(make_view: Make) -> None:
    # WCAG 2.1, success criterion 1.4.3: at least 4.5 to 1 for text; relative luminance as defined there.
    page = golfer_page(make_view())
    named = [dict(re.findall(r"--([\w-]+): (#\w+);", sheet)) for sheet in re.findall(r":root {(.*?)}", page)]
    assert len(named) == 2  # light and dark
    for colours in named:
        for paper in (colours["paper"], colours["pale"]):
            for ink in (colours["ink"], colours["grey"], colours["hue"]):
                lighter, darker = sorted((luminance(paper), luminance(ink)), reverse=True)
                assert (lighter + 0.05) / (darker + 0.05) >= 4.5
    drawn = {a.get("fill") or "#000000" for tag, a in Reader(page).elements if tag == "text"}
    for ink in drawn:
        assert 1.05 / (luminance(ink) + 0.05) >= 4.5


def test_pages_load_without_the_model() -> None:
    code = "import sys, paryield.report; print([m for m in ('pymc', 'pytensor', 'jax') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_facility_page_shows_answers_then_parts_then_evidence(make_view: Make, make_coach: MakeCoach) -> None:
    view = make_coach((make_view(),), notes=("Eleven members were in the programme.",))
    parts = (part("evidence.html", lines=(HOSTILE, *view.health.lines)),)
    text = Reader(facility_page(view, answers=[("Did it work?", ["We cannot tell yet."])], parts=parts)).text
    expected = ["Did it work?", "We cannot tell yet.", HOSTILE, "Eleven members"]
    places = [text.index(line) for line in expected]
    assert places == sorted(places)
    assert STANDING_CAUTIONS[0] not in text  # a board plans nobody's week
