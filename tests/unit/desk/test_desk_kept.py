"""Rows that were changed by hand stay when a sheet that has them otherwise is brought in, and are listed."""

from __future__ import annotations

import re
from pathlib import Path

from desk_reader import Reader, text_of
from test_desk_bring_in import sent

from paryield.club import Club

HEAD = "Player,Date,Gross,CR,Slope\n"
SHEET = HEAD + "Wilhelmina Starling,13/06/2026,88,71.2,128\nWilhelmina Starling,20/06/2026,90,71.2,128\n"


def store(reader: Reader, page: str, **said: str) -> str:
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', page)
    assert batch is not None
    return text_of(reader.post(f"{batch.group(1)}/store", said).text)


def scores(reader: Reader, golfer: str) -> list[int]:
    with Club.open(reader.desk.where) as club:
        rounds = club.tables().rounds
    mine = rounds[(rounds["golfer_id"] == golfer) & (rounds["played_on"] >= "2026-06-13")]
    return [int(score) for score in mine.sort_values("played_on")["adjusted_gross_score"]]


def test_replace_leaves_what_was_changed_by_hand_unless_that_is_chosen(unfitted: Path):
    reader = Reader(unfitted)
    store(reader, sent(reader, {"rounds of mine.csv": SHEET}))
    with Club.open(reader.desk.where) as club:
        golfers = club.tables().golfers
        named = golfers["display_name"] == "Wilhelmina Starling"
        golfer = str(golfers[named]["golfer_id"].iloc[0])
        key = {"golfer_id": golfer, "played_on": "2026-06-13", "round_no": "1"}
        row = club.row("rounds", key)
        assert row is not None
        values = {"adjusted_gross_score": "87", "course_rating": "71.2", "slope_rating": "128"}
        club.edit("rounds", {**key, **values}, row.seen)
    page = sent(reader, {"rounds of mine.csv": SHEET})
    assert "1 row on record was changed since it was read" in text_of(page)
    assert "Stored" not in store(reader, page)
    assert scores(reader, golfer) == [87, 90]
    corrected = SHEET.replace("90", "91").replace("88", "89")
    page = sent(reader, {"rounds of mine.csv": corrected})
    listed = "Round of Wilhelmina Starling on 13 June 2026: adjusted gross score 87 on record, 89 in"
    assert listed in text_of(page)
    assert "but not what was changed by hand" in text_of(page)
    told = store(reader, page, differing="take", changed="keep")
    assert "was changed by hand" in told
    assert scores(reader, golfer) == [87, 91]
    page = sent(reader, {"rounds of mine.csv": corrected})
    store(reader, page, changed="take")
    assert scores(reader, golfer) == [89, 91]
