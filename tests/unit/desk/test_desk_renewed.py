"""A goal, a plan and a tick keep what they cannot change, and what is kept is what would be worked out."""

from __future__ import annotations

from dataclasses import fields
from datetime import timedelta
from typing import Any

import pandas as pd
import pytest
from desk_reader import Reader, text_of

from paryield.club import Club
from paryield.desk.entries import store_rows
from paryield.desk.state import Desk
from paryield.report import sections
from paryield.report.views import GolferView


class Watched:
    """A view that says which of its fields were looked at."""

    def __init__(self, view: GolferView) -> None:
        self.view, self.seen = view, set[str]()

    def __getattr__(self, name: str) -> Any:
        self.seen.add(name)
        return getattr(self.view, name)


def anew(reader: Reader) -> Desk:
    """A desk on the same club that knows nothing yet."""
    return Desk(reader.desk.where, anyway=True, warm=False)


def same(one: object, other: object) -> bool:
    if isinstance(one, pd.DataFrame):
        return isinstance(other, pd.DataFrame) and one.equals(other)
    return repr(one) == repr(other)


def test_a_goal_and_a_plan_give_the_page_that_a_desk_anew_gives(knowing: Reader) -> None:
    before = knowing.desk.snapshot()
    address = knowing.page_of("G03").removesuffix(".html")
    by = (before.today() + timedelta(weeks=30)).isoformat()
    knowing.post(f"{address}/goal", {"goal_index": "6.1", "goal_on": by})
    scene = knowing.desk.scene(knowing.desk.snapshot(), "G03")
    hours = {f"hours.{name}": 0.5 for name in scene.categories}
    knowing.post(f"{address}/what-if/plan", {**hours, "plan": "half an hour each"})
    now = knowing.desk.snapshot()
    assert now.renew["G03"].which == {"goals", "plans"}
    view, other = knowing.desk.view(now, "G03"), anew(knowing)
    try:
        fresh = other.view(other.snapshot(), "G03")
        assert [
            one.name
            for one in fields(GolferView)
            if not same(getattr(view, one.name), getattr(fresh, one.name))
        ] == []
        glance, listed = knowing.desk.glance(now, "G03"), other.glance(other.snapshot(), "G03")
        assert (glance.goal, glance.follows, glance.plan) == (listed.goal, listed.follows, listed.plan)
        assert view.goal is not None
        assert view.kept is not None
        shown = sections.golfer_folds(view, now.renew["G03"].folds())
        drawn = sections.golfer_folds(fresh)
        assert [one.name for one in shown] == [one.name for one in drawn]
        assert [one.content for one in shown] == [one.content for one in drawn]
    finally:
        other.close()


def test_neither_answers_for_the_golfer_again(knowing: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    address = knowing.page_of("G03").removesuffix(".html")
    knowing.get(f"{address}/what-if")
    scene = knowing.desk.scene(knowing.desk.snapshot(), "G03")

    def never(*_: object, **__: object) -> None:
        raise AssertionError("worked out again")

    for name in ("views_of", "glance", "make_scene"):
        monkeypatch.setattr(f"paryield.desk.state.{name}", never)
    monkeypatch.setattr("paryield.report.sections.golfer.panels_of_tests", never)
    hours = {f"hours.{name}": 0.5 for name in scene.categories}
    saved = knowing.post(f"{address}/what-if/plan", {**hours, "plan": "half an hour each"})
    assert "The plan is stored" in saved.text
    by = (knowing.desk.snapshot().today() + timedelta(weeks=30)).isoformat()
    assert knowing.post(f"{address}/goal", {"goal_index": "6.1", "goal_on": by}).status_code == 200
    for page in (f"{address}.html", f"{address}/goal", f"{address}/week", "/golfers/"):
        assert knowing.get(page).status_code == 200


def test_a_tick_waits_for_nothing(knowing: Reader, monkeypatch: pytest.MonkeyPatch) -> None:
    import re

    address = knowing.page_of("G03").removesuffix(".html")
    marks = re.findall(r'name="done" value="([^"]+)"', knowing.get(f"{address}/week").text)

    def never(*_: object, **__: object) -> None:
        raise AssertionError("worked out before it was asked for")

    monkeypatch.setattr("paryield.desk.state.views_of", never)
    after = knowing.post(f"{address}/week", {"done": marks[:1]})
    assert after.status_code == 200
    assert "on record" in after.text
    assert len(re.findall(r'name="done" value="([^"]+)"', after.text)) == len(marks) - 1


@pytest.fixture(scope="module")
def fields_seen(shared_reader: Reader) -> list[tuple[str, set[str]]]:
    """The fields of a view that each fold looks at, of each golfer in turn."""
    snapshot, found = shared_reader.desk.snapshot(), []
    for golfer in snapshot.fitted:
        for name, _, content in sections.GOLFER:
            watched = Watched(shared_reader.desk.view(snapshot, golfer))
            content(watched)  # type: ignore[arg-type]
            found.append((name, watched.seen))
    return found


@pytest.mark.parametrize(
    ("which", "moved"),
    [
        ("goals", {"goal", "goals", "areas"}),
        ("plans", {"kept", "follows"}),
        ("others", {"plan", "room", "kept"}),
    ],
)
def test_folds_that_stay_look_at_nothing_that_moves(
    fields_seen: list[tuple[str, set[str]]], which: str, moved: set[str]
) -> None:
    for name, seen in fields_seen:
        if name not in sections.MOVED_BY[which]:
            assert not seen & (moved | {"review"}), name


def logged(reader: Reader, golfer: str, category: str, minutes: int) -> None:
    snapshot = reader.desk.snapshot()
    given = {"golfer": snapshot.ids[golfer], "day": snapshot.today().isoformat(), "category": category}
    assert reader.post("/log/practice", given | {"minutes": str(minutes)}).status_code == 200


def test_a_goal_moves_what_stands_beside_the_sliders_and_taken_back_it_is_gone(reader: Reader) -> None:
    address = reader.page_of("G03").removesuffix(".html")
    reader.get(f"{address}/what-if")
    by = (reader.desk.snapshot().today() + timedelta(weeks=30)).isoformat()
    reader.post(f"{address}/goal", {"goal_index": "6.1", "goal_on": by})
    assert "6.1" in text_of(reader.get(f"{address}/what-if").text)
    assert reader.desk.view(reader.desk.snapshot(), "G03").goal.goal == 6.1
    with Club.open(reader.desk.where) as club:
        club.undo(int(club.history()["import_no"].max()))
    view = reader.desk.view(reader.desk.snapshot(), "G03")
    assert view.goal is None or view.goal.goal != 6.1
    assert "6.1" not in text_of(reader.get(f"{address}/what-if").text)


def test_a_category_new_to_the_club_stands_on_everybody_s_pages(knowing: Reader) -> None:
    address = knowing.page_of("G02").removesuffix(".html")
    assert "hours.lag_putting" not in knowing.get(f"{address}/what-if").text
    logged(knowing, "G01", "lag_putting", 60)
    assert "hours.lag_putting" in knowing.get(f"{address}/what-if").text
    view = knowing.desk.view(knowing.desk.snapshot(), "G02")
    assert "lag_putting" in {row["category"] for row in view.plan["weeks_plan"]}


def test_sliders_go_as_far_as_somebody_of_the_club_now_keeps_up(reader: Reader) -> None:
    address = reader.page_of("G02").removesuffix(".html")
    reader.get(f"{address}/what-if")
    before = reader.desk.scene(reader.desk.snapshot(), "G02")
    logged(reader, "G01", "chipping", 600)
    after = reader.desk.scene(reader.desk.snapshot(), "G02")
    place = before.categories.index("chipping")
    assert after.seen[place] > before.seen[place]


def test_a_week_follows_what_golfers_of_like_level_practise_now(knowing: Reader) -> None:
    address = knowing.page_of("G04").removesuffix(".html")
    knowing.get(f"{address}/what-if")
    advised = [key for key in knowing.desk.snapshot().parts if key[:2] == ("week", "G04")]
    logged(knowing, "G01", "short_putting", 900)
    now, other = knowing.desk.snapshot(), anew(knowing)
    try:
        assert now.renew["G04"].which == {"others"}
        assert {key[2] for key in advised} > {"present"}
        assert not any(key in now.parts for key in advised if key[2] != "present")
        fresh = other.view(other.snapshot(), "G04")
        view, glance = knowing.desk.view(now, "G04"), knowing.desk.glance(now, "G04")
        assert same(view.plan, fresh.plan)
        assert same(glance.plan, fresh.plan)
        assert [row["on"] for row in view.plan["sessions"]] == [row["on"] for row in fresh.plan["sessions"]]
        shown = sections.golfer_folds(view, now.renew["G04"].folds())[0]
        assert shown.content == sections.golfer_folds(fresh)[0].content
    finally:
        other.close()


def test_a_ticked_week_waits_on_while_others_practise(knowing: Reader) -> None:
    logged(knowing, "G03", "chipping", 30)
    assert "G03" in knowing.desk.snapshot().cards
    logged(knowing, "G01", "chipping", 600)
    assert "G03" in knowing.desk.snapshot().cards


def test_a_limit_of_the_golfer_leaves_nothing_that_was_advised_before(knowing: Reader) -> None:
    address = knowing.page_of("G03").removesuffix(".html")
    knowing.get(f"{address}/what-if")
    now = knowing.desk.snapshot()
    row = {"golfer_id": "G03", "category": "driver", "starts_on": now.today().isoformat()}
    ends = (now.today() + timedelta(weeks=20)).isoformat()
    row |= {"ends_on": ends, "most_minutes_per_week": "0", "set_by": "physical therapist"}
    store_rows(knowing.desk, "limits", [row], who="")
    after = knowing.desk.snapshot()
    kept = (after.views, after.glances, after.parts, after.cards, after.renew)
    assert not any("G03" in one for one in kept)
    assert ("scene", "G03") not in after.scenes
    assert "G02" in after.views


def test_a_fit_of_another_process_leaves_nothing_of_the_one_before(knowing: Reader) -> None:
    before = knowing.desk.snapshot()
    with Club.open(knowing.desk.where) as club:
        _, facts, payload = club.latest_run()
        club.save_run(payload=payload, facts=facts)
    after = knowing.desk.snapshot()
    assert after.number == before.number + 1
    kept = (after.views, after.glances, after.parts, after.scenes, after.renew)
    assert not any(kept)


def test_a_programme_report_asked_for_while_something_is_stored_is_not_kept_for_what_came(
    reader: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The pages of one state of the club never stand for those of the next one."""
    made: list[str] = []

    def slowly(*_: object) -> dict[str, str]:
        if not made:
            logged(reader, "G01", "chipping", 30)
        made.append(f"state {len(made)}")
        return {"facility.html": made[-1]}

    monkeypatch.setattr("paryield.desk.pages.facility.facility_view_of", lambda *_, **__: None)
    monkeypatch.setattr("paryield.desk.pages.facility.facility_files", slowly)
    monkeypatch.setattr("paryield.desk.pages.facility.pdf", lambda pages: pages[0].encode())
    assert reader.get("/programme/facility.pdf").content == b"state 0"
    assert reader.get("/programme/facility.pdf").content == b"state 1"
