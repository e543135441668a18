"""On the page of answers a sheet's kind, and a word for practice, can be changed though nobody asked."""

from __future__ import annotations

import re
from html import unescape
from pathlib import Path

from desk_reader import Reader, text_of
from test_desk_bring_in import sent

from paryield.club import Club

LOG = (
    "Date,Player,What,Minutes\n13/06/2026,Ottilie Fenwarth,short putts,30\n"
    "14/06/2026,Ottilie Fenwarth,chipping,20\n"
)


def test_a_word_and_a_kind_are_changed_and_remembered(unfitted: Path):
    reader = Reader(unfitted)
    page = sent(reader, {"log.csv": LOG})
    batch = re.search(r'href="(/bring-in/[^/]+)/answers"', page)
    assert batch is not None
    answers = reader.get(f"{batch.group(1)}/answers").text
    assert "What does this sheet hold?" in answers
    keys = [unescape(one) for one in re.findall(r'name="question" value="([^"]*)"', answers)]
    assert "practice: short putts" in keys
    (kind,) = [one for one in keys if one.startswith("kind of sheet: ")]
    assert "short putting" in text_of(answers)

    def said(key: str, answer: str) -> str:
        given = {"question": [key], "answer": [answer]}
        return text_of(reader.post(f"{batch.group(1)}/adopt", given).text)

    assert "'short putts' = lag putting" in said("practice: short putts", "lag_putting")
    told = said(kind, "who the golfers are")
    assert "log.csv: who the golfers are" in told
    assert "practice" not in told[told.index("log.csv: who") :].partition("columns")[0]
    assert "log.csv: practice, one row an entry" in said(kind, "practice")
    with Club.open(unfitted) as club:
        kept = club.adopted()[0]
    assert kept["practice: short putts"] == "lag_putting"
    assert "'short putts' = lag putting" in text_of(sent(reader, {"log.csv": LOG}))
