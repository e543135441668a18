"""The goal of one golfer: set, answered at once, changed, cleared and taken back."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from desk_reader import Reader, text_of
from house import House

from paryield.club import Club
from paryield.report.words import day

BY = (date.today() + timedelta(days=200)).isoformat()


def golfer_row(reader: Any, golfer_id: str = "G02") -> dict[str, Any]:
    with Club.open(reader.desk.where) as club:
        golfers = club.tables().golfers.set_index("golfer_id")
    return dict(golfers.loc[golfer_id])


def goal_of(reader: Any, golfer_id: str = "G02") -> tuple[Any, Any]:
    row = golfer_row(reader, golfer_id)
    return row["goal_index"], row["goal_on"]


def address(reader: Any, golfer_id: str = "G02") -> str:
    return f"/golfers/{reader.desk.snapshot().ids[golfer_id]}/goal"


def test_a_goal_is_stored_for_one_golfer_alone_and_answered_at_once(reader: Reader):
    with Club.open(reader.desk.where) as club:
        before = club.tables().golfers.set_index("golfer_id")
    answer = reader.post(address(reader), {"goal_index": "12,3", "goal_on": BY})
    assert answer.status_code == 200
    words = text_of(answer.text)
    assert "Stored." in words
    assert re.search(rf"Goal: 12\.3 by {day(BY)}: a chance of (under |over )?\d+\s%\.", words)
    assert "the chance with the present week of practice" in words
    with Club.open(reader.desk.where) as club:
        after = club.tables().golfers.set_index("golfer_id")
    assert goal_of(reader) == (12.3, pd.Timestamp(BY))
    columns = [name for name in after.columns if name not in ("goal_index", "goal_on")]
    pd.testing.assert_frame_equal(after[columns], before[columns])
    others = [one for one in after.index if one != "G02"]
    pd.testing.assert_frame_equal(after.loc[others], before.loc[others])
    assert f"12.3 by {day(BY)}: a chance of" in text_of(reader.get(reader.page_of("G02")).text)


def test_a_plus_handicap_keeps_its_plus(reader: Reader):
    answer = reader.post(address(reader), {"goal_index": "+1.2", "goal_on": BY})
    assert goal_of(reader)[0] == -1.2
    assert 'value="+1.2"' in answer.text
    assert f'value="{BY}"' in answer.text


def test_a_goal_is_cleared_and_taken_back_and_audited(reader: Reader):
    reader.post(address(reader), {"goal_index": "9.5", "goal_on": BY})
    answer = reader.post(address(reader), {"goal_index": "kept", "goal_on": "", "clear": "yes"})
    assert "no goal any more" in text_of(answer.text)
    assert all(pd.isna(value) for value in goal_of(reader))
    assert "None is set. Set a goal" in text_of(reader.get(reader.page_of("G02")).text)
    undo = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert undo is not None
    reader.post(undo.group(1))
    assert goal_of(reader) == (9.5, pd.Timestamp(BY))
    with Club.open(reader.desk.where) as club:
        assert "took back" in set(club.audit()["action"])


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"goal_index": "scratch"}, "'scratch' is not a number"),
        ({"goal_index": "70"}, "'70' must lie between -10 and 54"),
        ({"goal_index": "", "goal_on": BY}, "type the index to reach"),
        ({"goal_index": "9", "goal_on": "2020-05-01"}, "1 May 2020 has passed: give a day after"),
        ({"goal_index": "9", "goal_on": "2099-05-01"}, "1 May 2099 is too far off: give a day up to"),
        ({"goal_index": "9", "goal_on": "2026-02-30"}, "'2026-02-30' is not a day of the calendar"),
    ],
)
def test_what_is_wrong_is_said_and_what_was_typed_stays(reader: Reader, given: dict[str, str], words: str):
    before = goal_of(reader)
    answer = reader.post(address(reader), given)
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert all(f'value="{value}"' in answer.text for value in given.values())
    assert str(goal_of(reader)) == str(before)


def test_the_same_goal_again_changes_nothing(reader: Reader):
    for _ in range(2):
        answer = reader.post(address(reader), {"goal_index": "9.5", "goal_on": BY})
    assert "on record already" in text_of(answer.text)


def test_the_page_leads_there_where_the_goal_is_spoken_of(reader: Reader):
    link = f'href="{address(reader)}"'
    page = reader.get(reader.page_of("G02")).text
    assert re.search(rf"<dt>Goal</dt><dd>None is set\. <a {link}>Set a goal</a>", page)
    reader.post(address(reader), {"goal_index": "9.5", "goal_on": BY})
    page = reader.get(reader.page_of("G02")).text
    assert re.search(rf"<dt>Goal</dt><dd>9\.5 by [^<]+ <a {link}>Change</a>", page)
    fold = page[page.index('id="goals"') :]
    assert link in fold[: fold.index("</details>")]


def test_a_player_sets_his_own_goal_and_takes_it_back(house: House):
    guest = house.guest("player")
    where = f"/golfers/{guest.page_of('G01')}/goal"
    answer = guest.post(where, {"goal_index": "9.5", "goal_on": BY})
    assert answer.status_code == 303
    page = guest.get(answer.headers["location"]).text
    undo = re.search(r'action="(/log/undo/\d+)"', page)
    assert undo is not None
    assert guest.post(undo.group(1)).status_code == 303


def test_before_a_fit_the_goal_is_kept_and_its_chance_promised(unfitted: Path):
    reader = Reader(unfitted)
    try:
        answer = reader.post(address(reader, "A1"), {"goal_index": "9.5", "goal_on": BY})
        assert f"Goal: 9.5 by {day(BY)}. Its chance is given after the next fit." in text_of(answer.text)
    finally:
        reader.desk.close()


def test_answers_that_are_withheld_stay_withheld(tiny_club: Path):
    strict = Reader(tiny_club, anyway=False)
    try:
        answer = strict.post(address(strict), {"goal_index": "9.5", "goal_on": BY})
        assert "a chance of" not in answer.text
    finally:
        strict.desk.close()
