"""The list of the club shows each golfer as he is worked out, and says who is still to come."""

from __future__ import annotations

import re
from html import unescape

from desk_reader import Reader, text_of


def rows(page: str) -> list[str]:
    body = re.search(r'(?s)<table class="roster">.*?<tbody>(.*?)</tbody>', page)
    return (
        [] if body is None else [unescape(one) for one in re.findall(r"<bdi>([^<]+)</bdi></a></th>", body[1])]
    )


def test_golfers_stand_in_the_list_as_they_are_ready(reader: Reader):
    """The desk is told that it works them out beside, and two are put in by hand."""
    desk = reader.desk
    snapshot = desk.snapshot()
    desk.warms = True
    first = snapshot.by_goal()[:2]
    for golfer in first:
        desk.glance(snapshot, golfer)
    page = reader.get("/golfers/").text
    assert sorted(rows(page)) == sorted(snapshot.name_of(golfer) for golfer in first)
    assert f"2 of {len(snapshot.fitted)} are ready" in text_of(page)
    assert page.count('hx-select="#ready"') == 1
    assert "<script>" not in page
    to_come = page.partition("Not worked out yet")[2]
    for golfer in snapshot.by_goal()[2:]:
        assert snapshot.page_of(golfer) in to_come
    assert "Nobody:" not in page
    for golfer in snapshot.fitted:
        desk.glance(snapshot, golfer)
    whole = reader.get("/golfers/").text
    assert len(rows(whole)) == len(snapshot.fitted)
    assert "hx-select" not in whole
    assert "Not worked out yet" not in whole


def test_before_the_first_is_ready_all_names_lead_to_their_pages(reader: Reader):
    snapshot = reader.desk.snapshot()
    reader.desk.warms = True
    page = reader.get("/golfers/").text
    assert rows(page) == []
    assert all(snapshot.page_of(golfer) in page for golfer in snapshot.fitted)
    assert "Who needs attention?" not in page


def test_golfers_with_a_goal_are_worked_out_first(shared_reader: Reader):
    snapshot = shared_reader.desk.snapshot()
    golfers = snapshot.tables.golfers.set_index("golfer_id")["goal_index"].notna()
    aims = [bool(golfers[golfer]) for golfer in snapshot.by_goal()]
    assert aims == sorted(aims, reverse=True)
    assert sorted(snapshot.by_goal()) == sorted(snapshot.fitted)
