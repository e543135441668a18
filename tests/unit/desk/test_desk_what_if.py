"""What if: the sliders' arithmetic, the parts of an answer, and a plan that is stored."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import quote

import numpy as np
import pandas as pd
import pytest
from desk_reader import Reader, text_of
from hypothesis import given
from hypothesis import strategies as st

from paryield.club import Club
from paryield.desk.entries import store_rows
from paryield.desk.hours import STEP, Week, follow, present_week, tops, week_of
from paryield.forecast.what_if import answer, hours_of
from paryield.plan.saved import running_plan, saved_plans
from paryield.report.week_words import goal_words, plans_words, week_sentences
from paryield.report.words import span, strokes, time_text
from paryield.results import summary

NAMES = ("a", "b", "c", "d")
HOURS = st.integers(0, 80).map(lambda steps: steps * STEP)


@given(
    st.lists(HOURS, min_size=4, max_size=4),
    HOURS,
    st.sets(st.sampled_from(NAMES[1:])),
    st.lists(st.integers(20, 100).map(lambda steps: steps * STEP), min_size=4, max_size=4),
)
def test_the_total_stays_and_locks_hold(
    before: list[float], moved: float, locked: set[str], top: list[float]
):
    highest = dict(zip(NAMES, top, strict=True))
    was = {name: min(hours, highest[name]) for name, hours in zip(NAMES, before, strict=True)}
    total = sum(was.values())
    week = Week({**was, "a": min(moved, highest["a"])}, frozenset(locked), True, "a")
    found = follow(week, total, highest)
    assert found.total == pytest.approx(total, abs=len(NAMES) * STEP / 2 + 1e-9)
    for name in NAMES:
        assert -1e-9 <= found.hours[name] <= highest[name] + STEP / 2
        if name in locked:
            assert found.hours[name] == pytest.approx(was[name], abs=STEP / 2)


def test_the_free_ones_keep_their_proportions():
    week = Week({"a": 2.0, "b": 1.0, "c": 3.0, "d": 1.0}, frozenset("d"), True, "a")
    found = follow(week, 6.0, dict.fromkeys(NAMES, 10.0))
    assert found.hours == {"a": 2.0, "b": 0.75, "c": 2.25, "d": 1.0}


def parts(reader: Reader, **hours: float) -> tuple[str, dict[str, Any], list[str]]:
    address = reader.page_of("G03").replace(".html", "/what-if")
    snapshot = reader.desk.snapshot()
    scene = reader.desk.scene(snapshot, "G03")
    week = present_week(scene).hours
    form: dict[str, Any] = {f"hours.{name}": value for name, value in week.items()}
    form |= {f"was.{name}": value for name, value in week.items()}
    form |= {f"hours.{name}": value for name, value in hours.items()}
    return address, form, list(scene.categories)


def test_the_present_week_says_so_and_another_one_what_it_saves(shared_reader: Reader):
    address, form, names = parts(shared_reader)
    here = shared_reader.get(address).text
    assert "This is the present week" in text_of(here)
    assert here.count('type="range"') == len(names)
    form[f"hours.{names[0]}"] = 2.0
    moved = shared_reader.post(f"{address}/move", form).text
    assert "Kept up for 12 weeks" in text_of(moved)
    assert "<html" not in moved
    assert 'class="band"' in moved
    whole = shared_reader.post(address, form).text
    assert "Kept up for 12 weeks" in text_of(whole)
    assert "<html" in whole


def test_hours_beyond_what_anyone_does_are_marked(shared_reader: Reader):
    address, form, names = parts(shared_reader)
    snapshot = shared_reader.desk.snapshot()
    scene = shared_reader.desk.scene(snapshot, "G03")
    form[f"hours.{names[0]}"] = tops(scene)[0]
    assert "this part is assumed" in shared_reader.post(f"{address}/move", form).text
    form[f"hours.{names[0]}"] = float(np.floor(scene.seen[0] / STEP) * STEP)
    assert "this part is assumed" not in shared_reader.post(f"{address}/move", form).text


def test_the_others_follow_where_the_total_is_kept(shared_reader: Reader):
    address, form, names = parts(shared_reader)
    before = sum(float(form[f"hours.{name}"]) for name in names)
    form |= {f"hours.{names[0]}": float(form[f"hours.{names[0]}"]) + 0.5, "keep_total": "on"}
    moved = shared_reader.post(f"{address}/move", form).text
    now = dict(re.findall(r'name="was\.([a-z_]+)" value="([0-9.]+)"', moved))
    assert sum(map(float, now.values())) == pytest.approx(before, abs=STEP * len(names))
    assert moved.count('type="range"') == len(names) - 1


def test_a_box_that_is_ticked_moves_no_slider(shared_reader: Reader):
    """A slider may be moved while the answer is on its way: what comes back must not put it where it was."""
    address, form, names = parts(shared_reader)
    form |= {"keep_total": "on", f"lock.{names[0]}": "on"}
    assert shared_reader.post(f"{address}/move", form).text.count('type="range"') == 0
    form |= {f"hours.{name}": float(form[f"hours.{name}"]) + 0.5 for name in names[:2]}
    assert shared_reader.post(f"{address}/move", form).text.count('type="range"') == len(names)


def test_minutes_can_be_typed_beside_a_slider(shared_reader: Reader):
    address, form, names = parts(shared_reader)
    here = shared_reader.get(address).text
    assert here.count('type="number"') == len(names)
    present = present_week(shared_reader.desk.scene(shared_reader.desk.snapshot(), "G03")).hours[names[0]]
    assert re.search(rf'name="minutes.{names[0]}"[^>]*value="{round(60 * present)}"', here)
    form |= {f"minutes.{names[0]}": "37", f"minutes.{names[1]}": ""}
    moved = shared_reader.post(f"{address}/move", form).text
    assert re.search(rf'id="track-1" hx-swap-oob="true".*?value="{37 / 60:.4f}"', moved, re.DOTALL)
    assert "37 min" in text_of(moved)
    # Where the slider was moved, it is what counts, and the number beside it follows.
    form[f"hours.{names[0]}"] = 2.0
    slid = shared_reader.post(f"{address}/move", form).text
    assert re.search(r'id="typed-1" hx-swap-oob="true".*?value="120"', slid, re.DOTALL)
    assert 'id="saved" hx-swap-oob="true"></div>' in slid


@pytest.mark.parametrize("value", ["nan", "-1", "1e9", "x", "inf", "<b>"])
def test_hours_that_cannot_be_get_one_line(shared_reader: Reader, value: str):
    address, form, names = parts(shared_reader)
    form[f"hours.{names[0]}"] = value
    answer = shared_reader.post(f"{address}/move", form)
    assert answer.status_code == 400
    assert "cannot be planned here" in answer.text
    assert "<b>" not in answer.text


def test_a_week_is_saved_as_a_plan_and_taken_back(reader: Reader):
    address, form, names = parts(reader)
    with Club.open(reader.desk.where) as club:
        before = club.data_fingerprint()
    form |= {f"hours.{names[0]}": 1.5, "plan": "summer =1+1"}
    stored = reader.post(f"{address}/plan", form).text
    assert "The plan is stored" in text_of(stored)
    # The sliders stay where they were saved.
    assert re.search(rf'name="hours.{names[0]}"[^>]*value="1.5"', stored)
    with Club.open(reader.desk.where) as club:
        plans = club.tables().plans
    mine = plans[plans["plan"] == "summer =1+1"].set_index("category")
    assert mine.loc[names[0], "minutes_per_week"] == 90.0
    assert set(mine["golfer_id"]) == {"G03"}
    undo = re.search(r'action="(/log/undo/\d+)"', reader.get("/log").text)
    assert undo is not None
    reader.post(undo.group(1))
    with Club.open(reader.desk.where) as club:
        assert club.data_fingerprint() == before


def test_saved_plans_stand_side_by_side_and_one_is_kept(reader: Reader):
    """Two weeks of another golfer's making: the page shows both, My week follows the one that is kept."""
    address, form, names = parts(reader)
    with Club.open(reader.desk.where) as club:
        before = club.data_fingerprint()
    for title, hours in (("more of one", {names[0]: 2.0}), ("a <b>rest</b>", {names[1]: 0.5})):
        sent = form | {f"hours.{name}": hours.get(name, 0.0) for name in names} | {"plan": title}
        reader.post(f"{address}/plan", sent)
    page = reader.get(address).text
    assert "<b>rest</b>" not in page
    with Club.open(reader.desk.where) as club:
        runs = running_plan(club.tables(), "G03", reader.desk.snapshot().today())
    assert runs is not None
    assert f"My week follows {runs.plan} ." in text_of(page)
    other = {"more of one": "a <b>rest</b>", "a <b>rest</b>": "more of one"}[runs.plan]
    late = reader.get(f"{address}?saved=9&plan={quote(other)}").text
    assert f"My week still follows {runs.plan} , saved for the same weeks" in text_of(late)
    assert text_of(page).count(f"saved for the same weeks; My week follows {runs.plan}") == 1
    shown = text_of(page)
    snapshot = reader.desk.snapshot()
    scene = reader.desk.scene(snapshot, "G03")
    for hours in ({names[0]: 2.0}, {names[1]: 0.5}):
        gain = np.quantile(answer(scene, hours_of(scene, hours)).gain, [0.5, 0.1, 0.9])
        middle, low, high = (f"{value:.2f}".replace("-", "−").replace("−0.00", "0.00") for value in gain)
        assert f"{middle} ({low} to {high})" in shown
    saved = saved_plans(snapshot.tables, scene.as_of, golfer="G03")
    gains = {
        one.plan: answer(scene, hours_of(scene, {name: one.hours.get(name, 0.0) for name in names})).gain
        for one in saved
    }
    best, other = sorted(gains, key=lambda plan: -float(np.median(gains[plan])))[:2]
    more = gains[best] - gains[other]
    told = plans_words(best, other, summary(more), float(np.mean(more > 0)))
    for line, until in zip(told, (" It takes ", ", assumed"), strict=True):
        assert " ".join(line.partition(until)[0].split()) in shown
    slid = reader.get(f"{address}?plan=more+of+one").text
    assert re.search(rf'name="hours.{names[0]}"[^>]*value="2(\.0*)?"', slid)
    home = address.replace("/what-if", "")
    answered = reader.post(f"{home}/plans/keep", {"plan": "more of one"})
    assert "more of one runs on; any other one has ended" in text_of(answered.text)
    with Club.open(reader.desk.where) as club:
        plans = club.tables().plans
    ends = plans[plans["golfer_id"] == "G03"].groupby("plan")["ends_on"].max()
    today = pd.Timestamp(reader.desk.snapshot().today())
    assert ends["a <b>rest</b>"] == today
    assert ends["more of one"] > today
    assert "From the plan more of one" in text_of(reader.get(f"{home}/week").text)
    assert text_of(reader.post(f"{home}/plans/end", {"plan": "no such"}).text).count("No plan 'no such'") == 1
    for undo in re.findall(r'action="(/log/undo/\d+)"', reader.get("/log").text)[:3]:
        reader.post(undo)
    with Club.open(reader.desk.where) as club:
        assert club.data_fingerprint() == before


def test_a_saved_plan_beyond_a_limit_says_what_its_answer_counts(reader: Reader):
    address, form, names = parts(reader)
    sent = form | {f"hours.{name}": 0.0 for name in names} | {f"hours.{names[0]}": 1.5, "plan": "much"}
    reader.post(f"{address}/plan", sent)
    assert "a limit on file allows less" not in text_of(reader.get(address).text)
    limit = {"golfer_id": "G03", "category": names[0], "most_minutes_per_week": "30"}
    with Club.open(reader.desk.where) as club:
        club.log("limits", limit | {"starts_on": reader.desk.snapshot().today().isoformat()})
    shown = text_of(reader.get(address).text)
    assert f"a limit on file allows less of {names[0].replace('_', ' ')}" in shown


def test_a_plan_without_a_name_is_refused(reader: Reader):
    address, form, _ = parts(reader)
    assert reader.post(f"{address}/plan", form | {"plan": " "}).status_code == 400


def test_the_answer_is_that_of_the_public_function(shared_reader: Reader):
    from paryield.forecast import what_if

    address, form, names = parts(shared_reader)
    hours = {name: float(form[f"hours.{name}"]) for name in names} | {names[1]: 1.75}
    scene = shared_reader.desk.scene(shared_reader.desk.snapshot(), "G03")
    exact = dict(zip(names, scene.now.tolist(), strict=True)) | {names[1]: 1.75}
    with Club.open(shared_reader.desk.where) as club:
        found = what_if(club, "G03", exact, anyway=True)
    form |= {f"hours.{name}": value for name, value in hours.items()}
    words = text_of(shared_reader.post(f"{address}/move", form).text)
    gain = np.quantile(found.gain, [0.1, 0.9])
    shown = re.search(r"8 in 10: (−?[0-9.]+) to (−?[0-9.]+) saved", words)
    assert shown is not None
    values = [float(text.replace("−", "-")) for text in shown.groups()]
    assert values == pytest.approx(gain.tolist(), abs=0.011)


QUANTILE = {"q10": 0.1, "q50": 0.3, "q90": 0.6}


@pytest.mark.parametrize(
    ("gain", "chance", "changed", "said"),
    [
        (QUANTILE, 0.95, True, ["saves about 0.30 strokes", "likely better"]),
        (QUANTILE, 0.6, True, ["saves about", "cannot tell yet"]),
        ({"q10": -0.6, "q50": -0.3, "q90": 0.1}, 0.4, True, ["costs about 0.30", "no better"]),
        ({"q10": -0.6, "q50": -0.3, "q90": -0.1}, 0.02, True, ["costs about", "likely worse"]),
        ({"q10": 0.001, "q50": 0.0, "q90": 0.002}, 0.9, True, ["no difference"]),
        ({"q10": 0.0, "q50": 0.0, "q90": 0.0}, 0.0, False, ["present week"]),
    ],
)
def test_a_week_in_words(gain: dict[str, float], chance: float, changed: bool, said: list[str]):
    words = " ".join(week_sentences(gain, chance, changed=changed))
    for part in said:
        assert part in words


def test_a_goal_in_words():
    from datetime import date

    by = date(2027, 3, 1)
    assert goal_words(None, None, None, None) == []
    assert "40" in goal_words(9.5, by, 0.25, 0.4)[0]
    assert "cannot be given" in goal_words(9.5, by, None, 0.4)[0]


def test_the_present_week_says_what_the_golfers_page_says(shared_reader: Reader):
    """One forecast by two routes: the page's, and the sliders' at the present habit."""
    desk = shared_reader.desk
    snapshot = desk.snapshot()
    for golfer in snapshot.fitted[:3]:
        shown = desk.view(snapshot, golfer).ahead("handicap_index")
        scene = desk.scene(snapshot, golfer)
        (mine,) = [
            row
            for row in answer(scene, scene.now).records
            if row["quantity"] == "handicap_index" and row["weeks"] == 12
        ]
        assert mine["reportable"] == shown["reportable"]
        if mine["reportable"]:
            # Indexes are in tenths; the sliders reckon in single precision.
            assert [mine[level] for level in ("q10", "q50", "q90")] == pytest.approx(
                [shown[level] for level in ("q10", "q50", "q90")], abs=0.1
            )


def test_hours_on_file_beside_a_thinner_diary_are_said_and_begun_with(reader: Reader):
    address, _, names = parts(reader)
    scene = reader.desk.scene(reader.desk.snapshot(), "G03")
    done = float(scene.now.sum())

    def page_with(hours: float) -> str:
        store_rows(
            reader.desk,
            "golfers",
            [{"golfer_id": "G03", "weekly_hours": f"{hours:.2f}"}],
            replace=True,
            who="",
        )
        return reader.get(address).text

    assert "on file" not in text_of(page_with(done))
    filed = round(1.5 * done, 1)
    assert f"plan for the hours on file, {time_text(filed)}:" in text_of(page_with(filed))
    begun = reader.get(f"{address}?hours=file").text
    now = dict(re.findall(r'name="was\.([a-z_]+)" value="([0-9.]+)"', begun))
    assert sum(map(float, now.values())) == pytest.approx(filed, abs=STEP * len(names))
    for name, hours in zip(scene.categories, scene.now.tolist(), strict=True):
        assert float(now[name]) / filed == pytest.approx(hours / done, abs=STEP / filed)


def test_two_plans_are_told_apart_or_not():
    sure = plans_words("A", "B", {"q50": 0.5, "q10": 0.1, "q90": 0.9}, 0.93)
    assert sure == [
        "A saves 0.50 strokes a round more than B (8 in 10: 0.10 to 0.90; estimated).",
        "It is likely the better of the two (chance that it saves more: 93\u00a0%, assumed).",
    ]
    more = {"q50": 0.5, "q10": 0.1, "q90": 0.9}
    longer = plans_words("A", "B", more, 0.93, evidence="part measured", longer=0.65)
    assert longer == [f"{sure[0]} It takes 39 min a week more.", sure[1].replace("assumed", "part measured")]
    open_ = plans_words("A", "B", {"q50": 0.01, "q10": -0.4, "q90": 0.4}, 0.52)
    assert open_[1].startswith("We cannot tell yet which of the two is better")
    same = plans_words("A", "B", {"q50": 0.0, "q10": -0.001, "q90": 0.004}, 0.5)
    assert same == ["Between A and B no difference would show (estimated)."]


@pytest.mark.parametrize("golfer", ["G04", "G05", "G06"])
def test_the_sliders_at_the_advised_week_say_its_own_number(shared_reader: Reader, golfer: str):
    desk, snapshot = shared_reader.desk, shared_reader.desk.snapshot()
    address = shared_reader.page_of(golfer).removesuffix(".html")
    record, scene = desk.view(snapshot, golfer).plan, desk.scene(snapshot, golfer)
    best = week_of(scene, {row["category"]: row["hours_best"] for row in record["weeks_plan"]})
    sent = {f"hours.{name}": str(hours) for name, hours in best.hours.items()}
    shown = text_of(shared_reader.post(f"{address}/what-if", sent).text)
    told = f"8 in 10: {span(record['gain']['q10'], record['gain']['q90'], 2)}"
    assert shown.count(told) == 2
    assert shown.count(f"about {strokes(record['gain']['q50'], 2)} ") >= 1


def test_time_split_as_now_is_what_an_advised_week_is_held_against(shared_reader: Reader):
    """Also where that is more of a practice than anybody keeps up, and the week is not quite the best."""
    desk, snapshot = shared_reader.desk, shared_reader.desk.snapshot()
    record, scene = desk.view(snapshot, "G06").plan, desk.scene(snapshot, "G06")
    best = week_of(scene, {row["category"]: row["hours_best"] for row in record["weeks_plan"]}).hours
    near = {name: hours + (STEP if name == "driver" else 0.0) for name, hours in best.items()}
    address = shared_reader.page_of("G06").removesuffix(".html")
    sent = {f"hours.{name}": str(hours) for name, hours in near.items()}
    shown = text_of(shared_reader.post(f"{address}/what-if", sent).text)
    told = re.search(r"in the usual split it saves about (\d\.\d\d) strokes", shown)
    assert told is not None
    assert float(told[1]) == pytest.approx(record["gain"]["q50"], abs=0.015)
