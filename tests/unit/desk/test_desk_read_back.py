"""What was read is shown row by row, beside what stood there, before it is stored."""

from __future__ import annotations

import io
import re
from datetime import date, timedelta

import pytest
from desk_reader import Reader, text_of

from paryield.club import Club

WEEK = """Who,Day,What,Played
Wilhelmina Starling,13/06/2026,"short putts 20 min, 50 chips",
Ottilie Fenwarth,14/06/2026,bunker 1 h,
Wilhelmina Starling,15/06/2026,short putts 10 min,
"""
SCORES = """Member,Played on,Score,CR,Slope
Wilhelmina Starling,13/06/2026,88,71.2,128
Ottilie Fenwarth,20/06/2026,95,70.4,121
"""
OWN_FORM = "golfer_id,played_on,score_differential\nG01,{day},15.2\nG02,2026-07-30,9.1\n"


def files(**texts: str) -> list[tuple[str, tuple[str, io.BytesIO]]]:
    return [("files", (f"{name}.csv", io.BytesIO(text.encode()))) for name, text in texts.items()]


def batch_of(page: str) -> str:
    found = re.search(r'action="(/bring-in/[^/]+)/store"', page)
    assert found is not None
    return found.group(1)


def rows_of(page: str) -> list[list[str]]:
    """Cells of the table of rows, as text."""
    body = page[page.index("<tbody>") : page.index("</tbody>")]
    return [
        [text_of(cell) for cell in re.findall(r"(?s)<t[hd][^>]*>(.*?)</t[hd]>", row)]
        for row in re.findall(r"(?s)<tr>(.*?)</tr>", body)
    ]


@pytest.fixture
def read(reader: Reader) -> str:
    answer = reader.post("/bring-in", files=files(week=WEEK, scores=SCORES))
    assert "What was read" in answer.text
    assert "'short putts' = short putting (2)" in text_of(answer.text)
    return batch_of(answer.text)


def test_rounds_stand_beside_the_rows_that_they_came_from(reader: Reader, read: str) -> None:
    page = reader.get(f"{read}/rows").text
    assert rows_of(page) == [
        ["scores.csv, row 2", "Wilhelmina Starling | 13/06/2026 | 88 | 71.2 | 128", "Wilhelmina Starling",
         "13 June 2026", "score 88, course rating 71.2, slope 128"],
        ["scores.csv, row 3", "Ottilie Fenwarth | 20/06/2026 | 95 | 70.4 | 121", "Ottilie Fenwarth",
         "20 June 2026", "score 95, course rating 70.4, slope 121"],
    ]  # fmt: skip


def test_each_thing_practised_stands_beside_the_words_for_it(reader: Reader, read: str) -> None:
    found = rows_of(reader.get(f"{read}/rows?table=practice").text)
    assert [(row[0], row[2], row[4]) for row in found] == [
        ("week.csv, row 2", "Wilhelmina Starling", "short putting, 20 min"),
        ("week.csv, row 2", "Wilhelmina Starling", "chipping, 50 balls"),
        ("week.csv, row 3", "Ottilie Fenwarth", "bunker, 60 min"),
        ("week.csv, row 4", "Wilhelmina Starling", "short putting, 10 min"),
    ]
    assert "short putts 20 min, 50 chips" in found[0][1]


def test_one_golfer_can_be_chosen_and_stored_from_there(reader: Reader, read: str) -> None:
    page = reader.get(f"{read}/rows?table=practice").text
    golfer = re.search(r'<option value="([^"]+)">Ottilie Fenwarth', page)
    assert golfer is not None
    found = rows_of(reader.get(f"{read}/rows?table=practice&golfer={golfer.group(1)}").text)
    assert [row[4] for row in found] == ["bunker, 60 min"]
    assert batch_of(page) == read
    assert "Stored." in reader.post(f"{read}/store").text
    assert reader.get(f"{read}/rows").status_code == 400


def test_what_was_read_can_be_come_back_to(reader: Reader, read: str) -> None:
    first = reader.get(read).text
    assert "&#39;short putts&#39; = short putting (2)" in first
    assert f'href="{read}"' in reader.get(f"{read}/rows").text
    assert reader.get(read).text == first
    assert "Stored." in reader.post(f"{read}/store").text
    assert "no longer here" in reader.get(read).text


def test_questions_can_be_come_back_to_and_keep_what_was_answered(reader: Reader) -> None:
    sheet = "Ab,Mitmacher,Gemacht\n13.6.2026,Wilhelmina Starling,bunker 30 min\n"
    asked = reader.post("/bring-in", files=files(diary=sheet)).text
    found = re.search(r'action="(/bring-in/[^/]+)/adopt"', asked)
    assert found is not None
    keys = re.findall(r'name="question" value="([^"]+)"', asked)
    part = reader.post(f"{found.group(1)}/adopt", {"question": keys[:2], "answer": ["Ab", "Mitmacher"]}).text
    open_ = re.findall(r'name="question" value="([^"]+)".*? name="when" value="">', part)
    assert open_ == keys[2:]
    again = reader.get(found.group(1)).text
    assert re.findall(r'name="question" value="([^"]+)".*? name="when" value="">', again) == keys[2:]


def test_tables_of_our_own_form_say_what_is_on_record_already(reader: Reader) -> None:
    with Club.open(reader.desk.where) as club:
        rounds = club.tables().rounds
    day = rounds.loc[rounds["golfer_id"] == "G01", "played_on"].iloc[0].date()
    answer = reader.post("/bring-in", files=files(rounds=OWN_FORM.format(day=day)))
    page = reader.get(f"{batch_of(answer.text)}/rows").text
    assert "Your row" not in page
    assert [row[-1] for row in rows_of(page)] == [
        "differential 15.2 on record already",
        "differential 9.1",
    ]
    assert rows_of(page)[0][0] == "rounds.csv, row 2"


def test_many_rows_stand_on_several_pages(reader: Reader) -> None:
    days = [f"G01,{date(2025, 1, 1) + timedelta(days=n)},chipping,20" for n in range(300)]
    text = "golfer_id,practised_on,category,minutes\n" + "\n".join(days)
    where = batch_of(reader.post("/bring-in", files=files(practice=text)).text)
    first, later = reader.get(f"{where}/rows").text, reader.get(f"{where}/rows?start=200").text
    assert "rows 1 to 200 of 300" in first
    assert len(rows_of(first)) == 200
    assert "rows 201 to 300 of 300" in later
    assert rows_of(later)[-1][0] == "practice.csv, row 301"
    for odd in ("999999", "-5"):
        assert reader.get(f"{where}/rows?start={odd}").status_code == 200


def test_a_batch_that_is_gone_or_was_never_there_says_so(reader: Reader) -> None:
    answer = reader.get("/bring-in/nothing/rows")
    assert answer.status_code == 400
    assert "no longer here" in answer.text


def test_an_answer_can_be_changed_and_the_sheets_are_read_again(reader: Reader) -> None:
    """Also after they were read: the spreadsheets that were sent are kept until something is stored."""
    sheet = (
        "Day,Player,Diary\n13.6.2026,Ottilie Fenwarth,quux 30 min\n"
        "20.6.2026,Wilhelmina Starling,bunker 20 min\n"
    )
    asked = reader.post("/bring-in", files=files(diary=sheet)).text
    found = re.search(r'action="(/bring-in/[^/]+)/adopt"', asked)
    assert found is not None
    (key,) = re.findall(r'name="question" value="([^"]+)"', asked)
    read = reader.post(f"{found.group(1)}/adopt", {"question": [key], "answer": ["chipping"]}).text
    assert f'href="{found.group(1)}/answers"' in read
    assert "chipping, 30 min" in text_of(reader.get(f"{found.group(1)}/rows?table=practice").text)
    again = reader.get(f"{found.group(1)}/answers").text
    assert key in re.findall(r'name="question" value="([^"]+)"', again)
    assert re.search(r'<option value="chipping" selected>', again) is not None
    reader.post(f"{found.group(1)}/adopt", {"question": [key], "answer": ["irons"]})
    rows = text_of(reader.get(f"{found.group(1)}/rows?table=practice").text)
    assert "irons, 30 min" in rows
    assert "chipping" not in rows
    assert "Stored." in reader.post(f"{found.group(1)}/store").text
    assert not any(path.exists() for path in reader.desk.uploads.sources.values())
    next_week = reader.post("/bring-in", files=files(diary=sheet.replace("13.6.", "27.6.")))
    assert "irons, 30 min" in text_of(reader.get(f"{batch_of(next_week.text)}/rows?table=practice").text)


def test_who_somebody_is_can_be_changed(reader: Reader) -> None:
    with Club.open(reader.desk.where) as club:
        names = club.tables().golfers["display_name"].tolist()
    first, last = str(names[0]).rsplit(" ", 1)
    rows = "".join(f"{name},2026-06-13,90,71.2,128\n" for name in names[1:4])
    sheet = f"Player,Date,Score,CR,Slope\n{rows}{last} {first[0]}.,2026-06-13,91,71.2,128\n"
    asked = reader.post("/bring-in", files=files(cards=sheet)).text
    found = re.search(r'action="(/bring-in/[^/]+)/adopt"', asked)
    assert found is not None
    key = re.findall(r'name="question" value="([^"]+)".*? name="when" value="">', asked)[-1]
    other = reader.post(f"{found.group(1)}/adopt", {"question": [key], "answer": ["somebody else"]}).text
    who = re.findall(r'name="question" value="([^"]+)"', other)
    assert len(who) == 1
    reader.post(f"{found.group(1)}/adopt", {"question": who, "answer": ["a new golfer"]})
    written = f"{last} {first[0]}."
    assert [row[2] for row in rows_of(reader.get(f"{found.group(1)}/rows?table=rounds").text)][-1] == written
    again = reader.get(f"{found.group(1)}/answers").text
    keys = re.findall(r'name="question" value="([^"]+)"', again)
    answers = ["the same" if one == key else "a new golfer" for one in keys]
    reader.post(f"{found.group(1)}/adopt", {"question": keys, "answer": answers})
    whose = [row[2] for row in rows_of(reader.get(f"{found.group(1)}/rows?table=rounds").text)]
    assert whose[-1] == str(names[0])
