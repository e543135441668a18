"""The whole way of a coach: bring in, fit, look, move hours, save a plan, log a round, undo."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from desk_fixtures import ON_A_TELEPHONE, Served
from steps import move, open_golfer, open_what_if

from paryield.club import Club

pytestmark = pytest.mark.browser


@pytest.fixture
def own_desk(beside: Callable[[Path], Served], tiny_club: Path) -> Served:
    return beside(tiny_club)


def stored(club: Path) -> str:
    with Club.open(club) as opened:
        return opened.data_fingerprint()


@ON_A_TELEPHONE
def test_a_plan_a_round_and_back(page: Any, own_desk: Served):
    before = stored(own_desk.club)
    open_what_if(page, own_desk.address)
    move(page, "#h-1", 1.5)
    assert "Kept up for 12 weeks" in page.inner_text("#answer")
    page.fill("#plan", "more putting")
    page.get_by_role("button", name="Save").click()
    page.wait_for_selector("text=The plan is stored")
    with Club.open(own_desk.club) as club:
        assert "more putting" in set(club.tables().plans["plan"])
    open_golfer(page, own_desk.address)
    page.get_by_role("link", name="Log something").click()
    page.fill("#f-day", "2026-06-30")
    page.fill("#f-score_differential", "bad")
    page.get_by_role("button", name="Store").click()
    page.wait_for_selector("text=Not stored")
    assert page.get_attribute("#f-score_differential", "aria-invalid") == "true"
    page.fill("#f-score_differential", "13.4")
    page.get_by_role("button", name="Store").click()
    page.wait_for_selector("text=Stored: round of")
    changed = stored(own_desk.club)
    page.get_by_role("button", name="Undo", exact=True).first.click()
    page.wait_for_selector("text=Taken back: round of")
    assert stored(own_desk.club) != changed
    page.get_by_role("button", name="Undo: plan 'more putting'").click()
    page.wait_for_selector("text=Taken back: plan")
    assert stored(own_desk.club) == before


@ON_A_TELEPHONE
def test_bring_in_and_fit(page: Any, serve: Callable[[Path], Served], fitted_club: Path, tmp_path: Path):
    """An empty club, the demo's kind of folder, and a fit that is watched, reloaded and stopped."""
    folder = tmp_path / "tables"
    with Club.open(fitted_club) as opened:
        opened.export(folder)
    club = tmp_path / "new.db"
    small = tmp_path / "small"
    small.mkdir()
    (small / "golfers.csv").write_text("golfer_id\nZ1\n")
    (small / "rounds.csv").write_text("golfer_id,played_on,score_differential\nZ1,2026-06-01,20\n")
    with Club.open(club, create=True) as opened:
        opened.import_folder(small)
    desk = serve(club)
    page.goto(f"{desk.address}/")
    assert "no fit yet" in page.inner_text("main")
    page.get_by_role("link", name="Bring in").first.click()
    files = [str(path) for path in sorted(folder.iterdir()) if path.suffix in (".csv", ".toml")]
    page.set_input_files("#files", files)
    page.get_by_role("button", name="Read them").click()
    page.wait_for_selector("text=What was read")
    page.get_by_role("button", name="Store").first.click()
    page.wait_for_selector("text=Stored.", timeout=60_000)
    with Club.open(club) as opened:
        assert len(opened.tables().golfers) == 7
    page.get_by_role("link", name="Work out the answers (a fit)").click()
    page.get_by_role("button", name="Rough fit").click()
    page.wait_for_selector("text=is running")
    page.reload()
    page.wait_for_selector("text=is running")
    page.get_by_role("button", name="Stop it").click()
    page.wait_for_selector("text=stopped; nothing was stored")
    with Club.open(club) as opened:
        assert opened.latest_run() is None


@pytest.mark.slow
def test_a_fit_to_the_end(page: Any, own_desk: Served):
    page.goto(f"{own_desk.address}/health")
    page.get_by_role("button", name="Rough fit").click()
    page.wait_for_selector("text=Done in", timeout=900_000)
    with Club.open(own_desk.club) as opened:
        run = opened.latest_run()
    assert run is not None
    assert run[0] == 2


def test_hostile_names_are_harmless(
    page: Any, beside: Callable[[Path], Served], fitted_club: Path, tmp_path: Path
):
    name = "<img src=x onerror=document.title='taken'><script>document.title='taken'</script>"
    club = Path(shutil.copy(fitted_club, tmp_path / "club.db"))
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "golfers.csv").write_text(f'golfer_id,display_name\nX1,"{name}"\n', encoding="utf-8")
    with Club.open(club) as opened:
        opened.import_folder(folder)
    desk = beside(club)
    page.goto(f"{desk.address}/log")
    page.select_option("#f-golfer", label=name)
    page.fill("#f-day", "2026-06-30")
    page.fill("#f-score_differential", "20")
    page.get_by_role("button", name="Store").click()
    page.wait_for_selector("text=Stored: round of <img")
    assert page.title() == "Log"


QUICK = """async ([first, wait]) => {
  const box = document.querySelector('[name=keep_total]'), slider = document.querySelector(first);
  let last = performance.now();
  new MutationObserver(() => { last = performance.now(); })
    .observe(document.getElementById('answer'), {childList: true});
  box.click();
  await new Promise(done => setTimeout(done, wait));
  slider.value = 1.5;
  slider.dispatchEvent(new Event('input', {bubbles: true}));
  last = performance.now();
  while (performance.now() - last < 4000) await new Promise(done => setTimeout(done, 100));
  const said = one => document.getElementById(one.id.replace('h-', 'out-')).textContent;
  const part = (text, unit) => Number((text.match(new RegExp('([0-9]+)\\\\s' + unit)) || [0, 0])[1]);
  const hours = text => part(text, 'h') + part(text, 'min') / 60;
  const sliders = [...document.querySelectorAll('input[type=range]')];
  return sliders.map(one => [Number(one.value), hours(said(one))]);
}"""
"""Ticks that the total stays, moves a slider at once, and returns each slider's place and what is said of it
once the page has been quiet."""


@pytest.mark.parametrize("wait", [0, 30, 100])
def test_a_slider_moved_while_a_box_is_ticked_stays_where_it_was_put(page: Any, desk: Served, wait: int):
    open_what_if(page, desk.address)
    found = page.evaluate(QUICK, ["#h-1", wait])
    assert found[0][0] == 1.5
    for place, said in found:
        assert place == pytest.approx(said, abs=0.001)
