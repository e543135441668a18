"""A coach brings in a small workbook of his own by telephone, signed in: every step is counted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from desk_fixtures import Served

from paryield.club import Club
from paryield.club.accounts import Accounts

pytestmark = pytest.mark.browser

MOST_STEPS = 12
PASSWORD = "quiet kestrel over low barrow"
ROUNDS = [
    ["Medal cards 2026"],
    ["Player", "Date", "Gross", "CR", "Slope"],
    ["Wilhelmina Starling", "13/06/2026", 88, 71.2, 128],
    ["Ottilie Fenwarth", "20/06/2026", 95, 70.4, 121],
]
DIARY = [
    ["Who", "Day", "What"],
    ["Wilhelmina", "15/06/2026", "bunker 1 h"],
    ["Ottilie", "16/06/2026", "chips 20 min, driver 30 min"],
    ["Ottilie", "17/06/2026", "tempo drill 15 min"],
]


@dataclass
class Steps:
    """Taps, typed fields and scrolls to something that is not on the screen: each is a step."""

    page: Any
    done: list[str] = field(default_factory=list)

    def see(self, what: Any, name: str) -> None:
        box = what.bounding_box()
        if box["y"] < 0 or box["y"] + box["height"] > self.page.viewport_size["height"]:
            self.done.append(f"scroll to {name}")
            what.scroll_into_view_if_needed()

    def tap(self, what: Any, name: str, *, leaves: bool = False) -> None:
        self.see(what, name)
        self.done.append(f"tap {name}")
        if not leaves:
            what.click()
            return
        with self.page.expect_navigation(wait_until="load"):
            what.click()

    def type(self, what: Any, text: str, name: str) -> None:
        self.see(what, name)
        self.done.append(f"type {name}")
        what.fill(text)


def book(path: Path) -> Path:
    made = openpyxl.Workbook()
    made.remove(made.active)
    for name, rows in (("Cards", ROUNDS), ("Diary", DIARY)):
        sheet = made.create_sheet(name)
        for row in rows:
            sheet.append(row)
    made.save(path)
    return path


@pytest.mark.parametrize("width", [360], indirect=True)
@pytest.mark.parametrize("rows", [False, True], ids=["trusting", "row by row"])
def test_a_workbook_of_ones_own_takes_few_steps(
    page: Any, serve: Callable[..., Served], tiny_club: Path, tmp_path: Path, rows: bool
):
    with Club.open(tiny_club) as club:
        accounts = Accounts(club)
        issued = accounts.add("Maud", "coach", [])
        accounts.change_password(issued.person, issued.password, PASSWORD)
    address = serve(tiny_club, "--sign-in").address
    page.set_viewport_size({"width": 360, "height": 640})
    steps = Steps(page)
    page.goto(f"{address}/")
    steps.type(page.get_by_label("Name"), "Maud", "name")
    steps.type(page.get_by_label("Password"), PASSWORD, "password")
    steps.tap(page.get_by_role("button", name="Sign in"), "sign in", leaves=True)
    steps.tap(page.get_by_role("link", name="Bring in").first, "bring in", leaves=True)
    steps.see(page.locator("#files"), "file field")
    page.set_input_files("#files", book(tmp_path / "mine.xlsx"))
    steps.done.append("choose the file")
    steps.tap(page.get_by_role("button", name="Read them"), "read them", leaves=True)
    for number in range(page.locator("select:visible").count()):
        one = page.locator("select:visible").nth(number)
        if not one.input_value():
            steps.see(one, "an open question")
            steps.done.append("answer")
            one.select_option(index=1)
    if not rows:
        steps.tap(page.get_by_role("button", name="Go on and store"), "go on and store", leaves=True)
    else:
        steps.tap(page.get_by_role("button", name="See it first"), "see it first", leaves=True)
        steps.tap(page.get_by_role("link", name="See it row by row"), "row by row", leaves=True)
        steps.tap(page.get_by_role("link", name="Rounds ("), "the rounds", leaves=True)
        steps.tap(page.get_by_role("button", name="Store all"), "store all", leaves=True)
    assert "Stored." in page.inner_text("main")
    with Club.open(tiny_club) as club:
        held = set(club.tables().golfers["display_name"].dropna())
    assert {"Wilhelmina Starling", "Ottilie Fenwarth"} <= held
    assert len(steps.done) <= MOST_STEPS, steps.done
