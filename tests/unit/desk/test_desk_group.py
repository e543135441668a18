"""A group's numbers typed down a column: stored as one change, taken back as one, and told where wrong."""

from __future__ import annotations

import re
from urllib.parse import quote

import pandas as pd
import pytest
from desk_reader import Reader, text_of

from paryield.club import Club
from paryield.tables import Tables


def held(reader: Reader) -> Tables:
    with Club.open(reader.desk.where) as club:
        return club.tables()


def fields(reader: Reader, name: str, values: dict[str, str]) -> dict[str, str]:
    ids = reader.desk.snapshot().ids
    return {f"v.{name}.{ids[golfer]}": value for golfer, value in values.items()}


CHOICE = {"day": "2026-06-30", "task": ["landing_spot_chip", "lag_putts"], "category": "chipping"}


def test_two_tests_and_practice_are_one_change_taken_back_at_once(reader: Reader):
    before = held(reader)
    typed = fields(reader, "landing_spot_chip.0", {"G01": "11", "G02": "7", "G03": ""})
    typed |= fields(reader, "lag_putts.0", {"G01": "6", "G03": "9"})
    typed |= fields(reader, "practice.0", {"G02": "45"})
    answer = reader.post("/group", CHOICE | typed)
    assert answer.status_code == 200
    words = text_of(answer.text)
    assert "Stored for 30 June 2026:" in words
    names = reader.desk.snapshot().names
    assert f"Chipping: {names['G02']} 45 min" in words
    chips = sorted([f"{names['G01']} 11 of 20", f"{names['G02']} 7 of 20"], key=str.casefold)
    assert f"Landing spot chip: {', '.join(chips)}" in words
    after = held(reader)
    new = after.assessments[after.assessments["assessed_on"] == pd.Timestamp("2026-06-30")]
    found = {
        (row["golfer_id"], row["test"]): (row["made"], row["tried"], row["distance_ft"])
        for row in new.to_dict("records")
    }
    assert found == {
        ("G01", "landing_spot_chip"): (11, 20, 30.0),
        ("G02", "landing_spot_chip"): (7, 20, 30.0),
        ("G01", "lag_putts"): (6, 10, 30.0),
        ("G03", "lag_putts"): (9, 10, 30.0),
    }
    assert len(after.practice) == len(before.practice) + 1
    undo = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert undo is not None
    reader.post(undo.group(1))
    assert held(reader).equals(before)


def test_measured_balls_are_numbered_after_those_of_the_day(reader: Reader):
    name = {"task": ["approach_balls"], "day": "2026-06-30"}
    typed = fields(reader, "approach_balls.0", {"G01": "95 -6; 104,5 3\n88/+2"})
    typed |= fields(reader, "approach_balls.1", {"G01": "141 12"})
    reader.post("/group", name | typed)
    reader.post("/group", name | fields(reader, "approach_balls.0", {"G01": "101 1"}))
    strikes = held(reader).strikes
    mine = strikes[(strikes["golfer_id"] == "G01") & (strikes["struck_on"] == pd.Timestamp("2026-06-30"))]
    assert mine["strike_no"].tolist() == [1, 2, 3, 4, 5]
    assert mine["target"].tolist() == [100.0, 100.0, 100.0, 150.0, 100.0]
    assert mine["carry"].tolist() == [95.0, 104.5, 88.0, 141.0, 101.0]
    assert mine["side"].tolist() == [-6.0, 3.0, 2.0, 12.0, 1.0]
    assert mine["kind"].eq("approach").all()


def test_a_second_session_of_a_day_is_a_second_entry(reader: Reader):
    for minutes in ("20", "35"):
        reader.post("/group", CHOICE | fields(reader, "practice.0", {"G04": minutes}))
    practice = held(reader).practice
    mine = practice[(practice["golfer_id"] == "G04") & (practice["category"] == "chipping")]
    mine = mine[mine["practised_on"] == pd.Timestamp("2026-06-30")].sort_values("entry_no")
    assert mine["minutes"].tolist()[-2:] == [20.0, 35.0]
    assert mine["entry_no"].is_unique


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("landing_spot_chip.0", "21", "more than tried"),
        ("landing_spot_chip.0", "eight", "not a whole number"),
        ("practice.0", "1000", "960"),
        ("approach_balls.0", "95 -6; far", "ball 2 is not carry and side"),
        ("approach_balls.0", "900 -6", "must lie between 0 and 500"),
    ],
)
def test_one_wrong_number_stores_nothing_and_is_marked(reader: Reader, name: str, text: str, said: str):
    before = held(reader)
    choice = CHOICE | {"task": ["landing_spot_chip", "approach_balls"]}
    typed = fields(reader, "landing_spot_chip.0", {"G01": "11"}) | fields(reader, name, {"G02": text})
    answer = reader.post("/group", choice | typed)
    assert answer.status_code == 400
    assert said.casefold() in text_of(answer.text).casefold()
    assert "Not stored" in answer.text
    field = f"v.{name}.{reader.desk.snapshot().ids['G02']}"
    assert re.search(rf'name="{re.escape(field)}"[^>]*aria-invalid="true"', answer.text)
    assert 'value="11"' in answer.text
    assert held(reader).equals(before)


@pytest.mark.parametrize(
    ("typed", "minutes"), [("45 min", 45.0), ("1 h 15", 75.0), ("0:50", 50.0), ("40", 40.0)]
)
def test_minutes_may_be_typed_with_their_unit(reader: Reader, typed: str, minutes: float):
    choice = {"day": "2026-06-30", "category": "chipping"}
    reader.post("/group", choice | fields(reader, "practice.0", {"G01": typed}))
    rows = held(reader).practice
    mine = rows[(rows["golfer_id"] == "G01") & (rows["practised_on"] == "2026-06-30")]
    assert minutes in set(mine["minutes"])


def test_nothing_typed_is_told(reader: Reader):
    answer = reader.post("/group", CHOICE)
    assert answer.status_code == 400
    assert "Nothing was typed" in text_of(answer.text)


def test_what_was_typed_stays_when_the_choice_changes(reader: Reader):
    typed = fields(reader, "landing_spot_chip.0", {"G02": "13"})
    query = "&".join(f"{name}={value}" for name, value in typed.items())
    page = reader.get(f"/group?task=landing_spot_chip&task=drives&{query}").text
    assert 'value="13"' in page
    assert "Drives" in page
    assert "<script>" not in page
    assert "style=" not in page


def test_a_group_holds_its_members(reader: Reader):
    golfers = held(reader).golfers
    group = str(golfers["group"].dropna().iloc[0])
    page = reader.get(f"/group?task=landing_spot_chip&group={group.replace(' ', '+')}").text
    ids = reader.desk.snapshot().ids
    for golfer, own, left in zip(golfers["golfer_id"], golfers["group"], golfers["left_on"], strict=True):
        there = f"v.landing_spot_chip.0.{ids[golfer]}" in page
        assert there is (own == group and pd.isna(left))


def test_nothing_is_ticked_beforehand_and_minutes_come_first(reader: Reader):
    page = reader.get("/group").text
    assert not re.search(r'name="task" value="[^"]+" checked', page)
    assert "Tick a test, or choose a practice category." in text_of(page)
    page = reader.get("/group?task=drives&category=chipping").text
    assert page.index("<h2>Chipping</h2>") < page.index("<h2>Drives")


def test_one_number_holds_for_all_who_were_chosen(reader: Reader):
    ids = reader.desk.snapshot().ids
    who = [ids[golfer] for golfer in ("G01", "G02", "G03")]
    before = held(reader)
    picked = "&".join(f"who={one}" for one in who)
    assert "v.practice.0.all" in reader.get(f"/group?category=chipping&{picked}").text
    given = {"day": "2026-06-30", "category": "chipping", "who": who, "v.practice.0.all": "30"}
    typed = fields(reader, "practice.0", {"G01": "", "G02": "45", "G03": "-"})
    answer = reader.post("/group", given | typed)
    assert "Stored for 30 June 2026:" in text_of(answer.text)
    new = held(reader).practice
    new = new[(new["practised_on"] == "2026-06-30") & (new["category"] == "chipping")]
    old = before.practice
    old = old[(old["practised_on"] == "2026-06-30") & (old["category"] == "chipping")]
    added = new.merge(old, how="left", indicator=True)
    added = added[added["_merge"] == "left_only"]
    assert dict(zip(added["golfer_id"], added["minutes"], strict=True)) == {"G01": 30.0, "G02": 45.0}


def test_nobody_chosen_is_not_everybody(reader: Reader):
    assert "v.practice.0.all" not in reader.get("/group?category=chipping").text
    given = {"day": "2026-06-30", "category": "chipping", "v.practice.0.all": "30"}
    answer = reader.post("/group", given)
    assert answer.status_code == 400
    assert "othing was typed" in text_of(answer.text)


def test_ticked_golfers_stand_alone_or_with_a_group_as_the_page_says(reader: Reader):
    snapshot = reader.desk.snapshot()
    one = f"/group?category=chipping&who={snapshot.ids['G03']}"
    alone = reader.get(one).text
    said = "Without a group only those ticked are listed; with a group they come on top of it."
    assert said in text_of(alone)
    assert "Beside the group" not in alone
    listed = re.findall(r'<th scope="row"><bdi>([^<]+)</bdi></th>', alone)
    assert listed == [snapshot.names["G03"]]
    golfers = held(reader).golfers
    group = str(golfers[(golfers["golfer_id"] != "G03") & golfers["group"].notna()]["group"].iloc[0])
    both = reader.get(f"{one}&group={quote(group)}").text
    assert len(re.findall(r'<th scope="row"><bdi>[^<]+</bdi></th>', both)) > 1
