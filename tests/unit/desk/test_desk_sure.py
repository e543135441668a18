"""What is sure of a coach's own sheets is stored at once; what is doubted, or differs, is shown first."""

from __future__ import annotations

import io
import re
from typing import Any

from desk_reader import Reader
from test_desk_bring_in import asked

from paryield.club import Club

LIST = "Name,H.I.\nOttilie Fenwarth,12\nWilhelmina Starling,20\n"
DIARY = "Who,Day,What\nOttilie,{day},bunker 1 h\nWilhelmina,{day},chips {balls}\n"


def opened(reader: Reader, **files: str) -> str:
    parts = [("files", (f"{name}.csv", io.BytesIO(text.encode()))) for name, text in files.items()]
    return str(reader.post("/bring-in", files=parts).text)


def answered(reader: Reader, page: str, **more: str) -> Any:
    batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', page)
    assert batch is not None
    answers = re.findall(r'<option value="([^"]+)"[^>]* selected', page)
    return reader.post(f"{batch[1]}/adopt", {**asked(page), "answer": answers, **more})


def practised(reader: Reader) -> list[str]:
    with Club.open(reader.desk.where) as club:
        tables = club.tables()
    named = tables.golfers[tables.golfers["display_name"].isin(["Ottilie Fenwarth", "Wilhelmina Starling"])]
    mine = tables.practice["golfer_id"].isin(named["golfer_id"])
    return sorted(tables.practice.loc[mine, "category"])


def test_what_is_sure_is_stored_with_the_answers(reader: Reader):
    page = opened(reader, members=LIST, week=DIARY.format(day="16/06/2026", balls="20 min"))
    assert "Go on and store" in page
    assert practised(reader) == []
    receipt = answered(reader, page, sure="yes").text
    assert "<strong>Stored.</strong>" in receipt
    assert practised(reader) == ["bunker", "chipping"]
    assert "Undo" in reader.get("/log").text


def test_it_is_seen_first_where_that_is_asked_for(reader: Reader):
    page = opened(reader, members=LIST, week=DIARY.format(day="16/06/2026", balls="20 min"))
    shown = answered(reader, page).text
    assert "Read, not stored yet" in shown
    assert practised(reader) == []


def test_what_cannot_be_read_is_shown_before_anything_is_stored(reader: Reader):
    """A score that cannot be: nothing is stored behind the coach's back."""
    rounds = "Player,Date,Gross,CR,Slope\nOttilie,16/06/2026,930,71.2,128\n"
    week = DIARY.format(day="16/06/2026", balls="20 min")
    shown = answered(reader, opened(reader, members=LIST, week=week, rounds=rounds), sure="yes").text
    assert "<strong>Stored.</strong>" not in shown
    assert practised(reader) == []


def test_names_that_fit_are_folded_behind_those_that_are_doubtful(reader: Reader):
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', opened(reader, members=LIST))
    assert batch is not None
    assert "Stored." in reader.post(f"{batch[1]}/store").text
    names = ("Ottilie", "Wilhelmina", "Ottilee Fenwart")
    week = "Who,Day,What\n" + "".join(f"{name},16/06/2026,bunker 1 h\n" for name in names)
    page = opened(reader, week=week)
    assert "1 name is doubtful." in page
    fold = page.index("2 names each fit one golfer alone")
    assert page.index("Ottilee Fenwart") < fold
    assert "<details>" in page[:fold][-20:] or "<details><summary>" in page[fold - 30 : fold]
