"""On the page a renamed file is told for the copy that it is, and two entries of a day are asked about."""

from __future__ import annotations

import io
import re
from pathlib import Path

from desk_reader import Reader, text_of
from test_desk_bring_in import sent
from test_desk_kept import store

from paryield.adopt.twice import BOTH, ONE

ROWS = [f"{day}/06/2026,Ottilie Fenwarth,chipping,{day}\n" for day in range(13, 23)]
HEAD = "Date,Player,What,Minutes\n"


def test_a_renamed_file_is_a_newer_copy_and_can_be_said_to_be_none(unfitted: Path):
    reader = Reader(unfitted)
    store(reader, sent(reader, {"log 2026.csv": HEAD + "".join(ROWS[:8])}))
    page = sent(reader, {"log 2026 v2.csv": HEAD + "".join(ROWS)})
    assert "log 2026 v2.csv: taken for a newer copy of log 2026.csv" in text_of(page)
    assert "Practice 2 8" in text_of(page)
    batch = re.search(r'href="(/bring-in/[^/]+)/answers"', page)
    assert batch is not None
    assert "Is it that file?" in reader.get(f"{batch.group(1)}/answers").text
    said = {"question": ["copy: log 2026 v2.csv = log 2026.csv"], "answer": ["another file"]}
    assert "taken for a newer copy" not in reader.post(f"{batch.group(1)}/adopt", said).text


def test_one_day_in_two_sheets_is_asked_about_once(unfitted: Path):
    reader = Reader(unfitted)
    wide = "Date,Player,Chipping min,Bunker min\n13/06/2026,Ottilie Fenwarth,13,\n"
    files = {"log.csv": HEAD + "".join(ROWS[:2]), "wide.csv": wide}
    parts = [("files", (name, io.BytesIO(text.encode()))) for name, text in files.items()]
    page = reader.post("/bring-in", files=parts).text
    assert "or the same entry told twice" in page
    batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', page)
    key = re.search(r'name="question" value="(entries twice: [^"]*)"', page)
    assert batch is not None
    assert key is not None
    question = key.group(1).replace("&amp;", "&")
    for said, count in ((BOTH, 3), (ONE, 2)):
        told = reader.post(f"{batch.group(1)}/adopt", {"question": [question], "answer": [said]}).text
        assert f"Practice {count} 0" in text_of(told)
    store(reader, told)
    again = text_of(sent(reader, files))
    assert "told twice" not in again
    assert "Practice 0 2" in again
