"""Every page at two widths: nothing cut off, nobody kept out, and no script needed."""

from __future__ import annotations

import re
import shutil
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from desk_fixtures import AXE, ON_A_TELEPHONE, Served
from steps import AXE_RUN, leave, move, open_club, open_golfer, open_what_if

from paryield.club import Accounts, Club

pytestmark = pytest.mark.browser
PASSWORD = "seven owls under one roof"
WHOLE = ("/log", "/log?kind=practice", "/log?kind=assessment", "/bring-in", "/programme", "/health")
WHOLE += ("/group", "/group?task=putting_ladder&task=approach_balls&category=chipping")
WHOLE += ("/loads/", "/people", "/audit", "/settings", "/contents")


def check(page: Any, width: int) -> None:
    page.add_init_script(path=AXE)
    page.reload()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(AXE_RUN) == []


@pytest.mark.parametrize("path", WHOLE)
def test_pages_of_the_club(page: Any, desk: Served, width: int, path: str):
    page.goto(desk.address + path)
    check(page, width)


def test_the_club_and_a_golfer(page: Any, desk: Served, width: int):
    open_club(page, desk.address)
    check(page, width)
    open_golfer(page, desk.address)
    check(page, width)


@pytest.mark.parametrize("own", ["goal", "rounds", "review", "week", "entries/practice"])
def test_the_other_pages_of_a_golfer(page: Any, desk: Served, width: int, own: str):
    address = open_golfer(page, desk.address).removesuffix(".html")
    page.goto(f"{address}/{own}")
    check(page, width)


@ON_A_TELEPHONE
def test_a_practice_entry_is_corrected(
    page: Any, beside: Callable[..., Served], fitted_club: Path, width: int, tmp_path: Path
):
    address = beside(Path(shutil.copy(fitted_club, tmp_path / "club.db"))).address
    golfer = open_golfer(page, address).removesuffix(".html")
    page.goto(f"{golfer}/entries/practice")
    leave(page, page.get_by_role("link", name="Change").first)
    check(page, width)
    page.fill("#f-minutes", "17")
    leave(page, page.get_by_role("button", name="Store the correction"))
    assert "17 min" in page.inner_text("div.notice")
    leave(page, page.get_by_role("link", name="The golfer's practice"))
    assert "17 min" in page.inner_text("table")


def test_what_was_read_stands_row_by_row(page: Any, desk: Served, width: int, tmp_path: Path):
    sheet = tmp_path / "week.csv"
    sheet.write_text(
        "Who,Day,What\nOttilie Fenwarth,14/06/2026,bunker 1 h\nOttilie Fenwarth,15/06/2026,chips 20 min\n",
        encoding="utf-8",
    )
    page.goto(desk.address + "/bring-in")
    page.set_input_files("#files", sheet)
    leave(page, page.get_by_role("button", name="Read them"))
    leave(page, page.get_by_role("link", name="See it row by row"))
    check(page, width)
    assert "bunker, 60 min" in page.inner_text("table")
    leave(page, page.get_by_role("button", name="Store nothing"))


def test_what_a_coachs_own_sheets_leave_open_is_answered_on_one_page(
    page: Any, beside: Callable[..., Served], fitted_club: Path, width: int, tmp_path: Path
):
    address = beside(Path(shutil.copy(fitted_club, tmp_path / "club.db"))).address
    sheets = {
        "members.csv": "Name,H.I.\nOttilie Fenwarth,12\nWilhelmina Starling,20\n",
        "work.csv": "Wk,Who,What,How long\nWk 3,Ottilie,bunker,1 h\nWk 3,Wilhelmina,chips,20 min\n",
        "Skills tests.csv": "Player,Date,Chipping,Bunker\nOttilie,2026-06-13,7,3\n",
    }
    for name, text in sheets.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    page.goto(address + "/bring-in")
    page.set_input_files("#files", [tmp_path / name for name in sheets])
    leave(page, page.get_by_role("button", name="Read them"))
    check(page, width)
    count = page.get_by_label("Out of how many are the tests")
    assert not count.is_visible()
    page.get_by_label("Does this sheet tell what was practised").select_option("tests")
    assert count.is_visible()
    assert not page.get_by_label("Does a number without a unit").is_visible()
    year = page.get_by_label("In which year are weeks such as 'Wk 3'")
    year.fill("last winter")
    assert not year.evaluate("one => one.checkValidity()")
    year.fill("2026-01-12")
    page.get_by_text("2 names each fit one golfer alone").click()
    names = page.get_by_role("group", name="These names each fit one golfer alone")
    assert names.get_by_role("combobox").count() == 2
    assert names.get_by_label("Ottilie = Ottilie Fenwarth").input_value() == "the same"
    count.fill("12, 8")
    leave(page, page.get_by_role("button", name="See it first"))
    leave(page, page.get_by_role("link", name="See it row by row"))
    assert "2026-01-26" in page.content() or "26 January 2026" in page.content()
    leave(page, page.get_by_role("button", name="Store nothing"))


def test_the_form_of_a_round_follows_the_golfer_chosen_after_the_course(page: Any, desk: Served):
    page.goto(desk.address + "/log")
    page.select_option("#f-golfer", index=1)
    page.select_option("#f-known", index=1)
    filled = page.locator("#entry input[name=filled_for]")
    filled.wait_for(state="attached")
    first = filled.input_value()
    assert first == page.input_value("#f-golfer")
    page.fill("#f-adjusted_gross_score", "88")
    page.select_option("#f-golfer", index=2)
    page.locator(f"#entry input[name=filled_for]:not([value='{first}'])").wait_for(state="attached")
    assert filled.input_value() == page.input_value("#f-golfer") != first
    assert page.input_value("#f-adjusted_gross_score") == "88"


def test_the_contents_open_what_they_lead_to(page: Any, desk: Served):
    open_golfer(page, desk.address)
    links = page.locator("nav.contents a")
    for place in range(links.count()):
        name = str(links.nth(place).get_attribute("href")).removeprefix("#")
        links.nth(place).click()
        page.locator(f"details[open]:has([id='{name}']), details[open][id='{name}']").first.wait_for()


def test_a_refused_entry(page: Any, desk: Served, width: int):
    page.add_init_script(path=AXE)
    page.goto(desk.address + "/log")
    page.select_option("#f-golfer", index=1)
    page.fill("#f-adjusted_gross_score", "999999999999999999999999")
    page.fill("#f-course_rating", "a rating in words that is far too long to be one " * 4)
    leave(page, page.get_by_role("button", name="Store"))
    assert page.locator("div.banner").is_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(AXE_RUN) == []


@ON_A_TELEPHONE
def test_a_round_hole_by_hole(
    page: Any, beside: Callable[..., Served], fitted_club: Path, width: int, tmp_path: Path
):
    """A course played before fills itself in; strokes are typed from hole to hole with the keyboard alone."""
    address = beside(Path(shutil.copy(fitted_club, tmp_path / "club.db"))).address
    for known in (False, True):
        page.goto(address + "/log")
        if known:
            page.select_option("#f-known", label="Kestrel Down")
            page.wait_for_selector("#f-course[value='Kestrel Down']")
        page.select_option("#f-golfer", index=1)
        if known:  # the ratings that hold for him come in
            page.locator("#entry input[name=filled_for]:not([value=''])").wait_for(state="attached")
        page.fill("#f-day", "2026-06-02" if known else "2026-06-01")
        if not known:
            page.fill("#f-course", "Kestrel Down")
            page.fill("#f-course_rating", "70.4")
            page.fill("#f-slope_rating", "124")
        page.locator("details.by-hole > summary").click()
        if not known:
            page.locator("details.by-hole details summary").click()
        for name in ("hole", *(() if known else ("par", "index"))):
            page.focus(f"[name='{name}.1']")
            for hole in range(1, 19):
                page.keyboard.type(str(hole if name == "index" else 4 if name == "par" else 5))
                page.keyboard.press("Tab")
        check_now(page, width)
        leave(page, page.get_by_role("button", name="Store", exact=True))
        assert "at Kestrel Down, with 18 holes" in page.inner_text("div.notice")


def check_now(page: Any, width: int) -> None:
    page.evaluate(AXE.read_text(encoding="utf-8"))
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(AXE_RUN) == []


def test_the_load_of_a_golfer(page: Any, desk: Served, width: int):
    page.goto(desk.address + "/loads/")
    leave(page, page.locator("main a[href^='/loads/']").first)
    check(page, width)


def test_signing_in(page: Any, beside: Callable[..., Served], fitted_club: Path, width: int, tmp_path: Path):
    where = Path(shutil.copy(fitted_club, tmp_path / "club.db"))
    with Club.open(where) as club:
        issued = Accounts(club).add("Bela Norwood", "administrator")
    address = beside(where, sign_in=True).address
    page.goto(address)
    check(page, width)
    page.fill("#f-name", "Bela Norwood")
    page.fill("#f-password", issued.password)
    leave(page, page.get_by_role("button", name="Sign in"))
    check(page, width)
    for name, value in (("old", issued.password), ("new", PASSWORD), ("again", PASSWORD)):
        page.fill(f"#f-{name}", value)
    leave(page, page.get_by_role("button", name="Change"))
    page.goto(address + "/account")
    assert "Bela Norwood" in page.inner_text("main")
    check(page, width)
    leave(page, page.get_by_role("button", name="Sign out everywhere"))
    assert page.locator("#f-password").is_visible()


def test_the_sliders(page: Any, desk: Served, width: int):
    open_what_if(page, desk.address)
    check(page, width)
    high = page.evaluate(
        "[...document.querySelectorAll('.slider > label:first-child')].map(a => a.offsetHeight)"
    )
    assert len(high) > 5
    assert max(high) < 30  # each name stands on one line
    stands = "document.querySelector('#h-1').getBoundingClientRect().top + scrollY"
    before = page.evaluate(stands)
    move(page, "#h-1", 1.5)
    if width < 800:
        # A finger on the next slider meets that slider.
        assert page.evaluate(stands) == pytest.approx(before, abs=2)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(AXE_RUN) == []


def test_what_is_not_there(page: Any, desk: Served, width: int):
    page.route("**/nothing", lambda route: route.continue_())
    answer = page.request.get(f"{desk.address}/nothing")
    assert answer.status == 404


def test_keyboard_alone(page: Any, desk: Served):
    open_what_if(page, desk.address)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    seen = []
    for _ in range(40):
        page.keyboard.press("Tab")
        seen.append(page.evaluate("document.activeElement.id || document.activeElement.name"))
        if seen[-1] == "h-1":
            break
    assert seen[-1] == "h-1"
    before = page.input_value("#h-1")
    with page.expect_response("**/what-if/move"):
        page.keyboard.press("ArrowRight")
    assert float(page.input_value("#h-1")) > float(before)
    assert page.evaluate("document.activeElement.id") == "h-1"
    page.locator("#answer", has_text="12 weeks").wait_for()


def test_print_leaves_out_what_paper_cannot_do(page: Any, desk: Served):
    open_golfer(page, desk.address)
    page.emulate_media(media="print")
    assert not page.locator("nav.pages").is_visible()
    assert not page.locator("ul.ways").is_visible()
    assert page.locator("dl.answers").is_visible()
    assert page.locator("section.cautions").is_visible()
    assert page.pdf(format="A4")[:5] == b"%PDF-"


def test_without_scripts(chromium: Any, desk: Served, width: int):
    context = chromium.new_context(java_script_enabled=False, viewport={"width": width, "height": 800})
    page = context.new_page()
    page.goto(f"{desk.address}/")
    for _ in range(60):
        if page.locator("table.roster a").count():
            break
        page.wait_for_timeout(1500)
        page.goto(f"{desk.address}/")
    leave(page, page.locator("table.roster a").first)
    page.get_by_role("link", name="Try another week").click()
    page.locator("#h-1").fill("2")
    leave(page, page.get_by_role("button", name="Work it out"))
    assert "Kept up for 12 weeks" in page.inner_text("#answer")
    assert float(page.input_value("#h-1")) == pytest.approx(2.0)
    context.close()


def test_nothing_of_a_golfer_stands_in_an_address(page: Any, desk: Served):
    url = open_golfer(page, desk.address)
    assert re.fullmatch(r".*/golfers/[0-9a-f]{20}\.html", url)


def test_a_group_of_eight_is_entered_with_a_key_or_two_a_number(
    page: Any, beside: Callable[..., Served], fitted_club: Path, tmp_path: Path, width: int
):
    """Two tests of eight golfers: four clicks, and one entry a number; the time is the script's own."""
    place = Path(shutil.copy(fitted_club, tmp_path / "club.db"))
    with Club.open(place) as club:
        eight = [f"N{number}" for number in range(1, 9)]
        folder = tmp_path / "groups"
        folder.mkdir()
        lines = ["golfer_id,display_name,group", *(f"{one},Golfer {one},Tuesday" for one in eight)]
        (folder / "golfers.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
        club.import_folder(folder, replace=True)
        before = len(club.tables().assessments)
    page.goto(beside(place).address + "/group")
    begun, acts = time.perf_counter(), 0
    page.select_option("#f-group", "Tuesday")
    acts += 1
    page.wait_for_selector("input[name='group'][value='Tuesday']", state="attached")
    for title in ("Landing-spot chips", "Lag putts"):
        page.get_by_label(title).check()
        acts += 1
        page.wait_for_selector(f"h2:has-text('{title}')")
    page.wait_for_selector("input[name^='v.lag_putts']")
    typed = page.locator("#numbers input[name^='v.']")
    assert typed.count() == 16
    typed.first.focus()
    for number in range(16):
        page.keyboard.type(str(3 + number % 6))
        page.keyboard.press("Tab")
        acts += 1
    page.get_by_role("button", name="Store").click()
    acts += 1
    page.wait_for_selector(".notice")
    seconds = time.perf_counter() - begun
    page.wait_for_load_state("load")  # a page whose style is still on its way is wider
    assert acts <= 4 + 16
    assert seconds < 60
    print(f"a group of eight, two tests each, {width} px: {acts} clicks and numbers, {seconds:.1f} s")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    with Club.open(place) as club:
        after = club.tables().assessments
    assert len(after) == before + 16
    new = after[after["assessed_on"] == pd.Timestamp(date.today())]
    assert sorted(new["made"].tolist()) == sorted([3 + number % 6 for number in range(16)])
    page.get_by_role("button", name="Undo").first.click()
    page.wait_for_selector("text=Taken back")
    with Club.open(place) as club:
        assert len(club.tables().assessments) == before


def test_the_club_is_sorted_and_searched(page: Any, desk: Served):
    open_club(page, desk.address)
    page.wait_for_selector(".tools input[type=search]")
    page.get_by_role("button", name="Index").click()
    shown = page.evaluate(
        "[...document.querySelectorAll('.roster tbody tr')].map(row => row.cells[2].innerText)"
    )
    values = [float(one) for one in shown if one and not one.startswith("+")]
    assert values == sorted(values)
    assert len(values) > 3
    name = page.locator("table.roster a").first.inner_text()
    page.fill(".tools input[type=search]", name)
    assert page.inner_text(".tools [role=status]") == f"1 of {len(shown)} golfers"


def test_a_group_is_found(page: Any, beside: Callable[..., Served], fitted_club: Path, tmp_path: Path):
    place = Path(shutil.copy(fitted_club, tmp_path / "club.db"))
    folder = tmp_path / "groups"
    folder.mkdir()
    rows = ("golfer_id,group", "G01,Larks", "G02,Larks", "G03,Owls <b>")
    (folder / "golfers.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    with Club.open(place) as club:
        club.import_folder(folder, replace=True)
    open_club(page, beside(place).address)
    page.wait_for_selector(".tools input[type=search]")
    page.fill(".tools input[type=search]", "larks")
    assert page.inner_text(".tools [role=status]").startswith("2 of ")
    page.fill(".tools input[type=search]", "")
    page.select_option(".tools select", "Owls <b>")
    assert page.inner_text(".tools [role=status]").startswith("1 of ")


SMALLEST = 24
"""CSS pixels that a target measures at least each way (WCAG 2.2, 2.5.8)."""
FAR_RIGHT = """
() => [...document.querySelectorAll(".pages a, .ways a")].map(one => one.getBoundingClientRect())
  .filter(box => box.right > document.documentElement.clientWidth + 1).length
"""
LOW = """
least => [...document.querySelectorAll(".people a, main p > a, .row > a, .ways a, .pages a")]
  .map(one => [one.textContent, one.getBoundingClientRect().height])
  .filter(([, height]) => height > 0 && height < least)
"""


@pytest.mark.parametrize("path", ["/health"])
def test_menus_are_seen_whole_and_links_are_large_enough(desk: Served, page: Any, path: str):
    page.goto(desk.address + path)
    assert page.evaluate(FAR_RIGHT) == 0
    assert page.evaluate(LOW, SMALLEST) == []
