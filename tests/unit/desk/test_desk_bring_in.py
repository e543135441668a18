"""Sheets that are called as a table but are a coach's own are asked about, beside tables too."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping, Sequence

import openpyxl
from desk_reader import Reader, text_of

from paryield.adopt.names import may_be
from paryield.club import Club

SCORES = (
    ("Thornlea medal rounds 2026",),
    (),
    ("Player", "Date", "Gross", "CR", "Slope"),
    ("Wilhelmina Starling", "13/06/2026", 88, 71.2, 128),
    ("Ottilie Fenwarth", "20/06/2026", 95, 70.4, 121),
)
OWN_ROUNDS = "Player,Date,Gross,CR,Slope\nWilhelmina Starling,14/06/2026,86,71.2,128\n"
GOLFERS = "golfer_id,display_name\nQ7,Wilhelmina Starling\n"
ROUNDS = "golfer_id,played_on,score_differential\nQ7,2026-06-21,14.2\n"
FAULTY = "golfer_id,practised_on,category,minutes\nG01,2026-06-01,{0},20\nG01,2026-06-02,{0},20\n"


def book(**sheets: Sequence[Sequence[object]]) -> bytes:
    made = openpyxl.Workbook()
    made.remove(made.active)
    for name, rows in sheets.items():
        sheet = made.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    stream = io.BytesIO()
    made.save(stream)
    return stream.getvalue()


def sent(reader: Reader, files: Mapping[str, bytes | str]) -> str:
    """Send files, take the likeliest of every answer, and return the page that shows what was read."""
    parts = [
        ("files", (name, io.BytesIO(text.encode() if isinstance(text, str) else text)))
        for name, text in files.items()
    ]
    page = str(reader.post("/bring-in", files=parts).text)
    for _ in range(4):
        batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', page)
        if batch is None:
            return page
        answers = re.findall(r'<option value="([^"]+)"[^>]* selected', page)
        form = asked(page)
        assert len(answers) == len(form["question"])
        page = str(reader.post(f"{batch.group(1)}/adopt", {**form, "answer": answers}).text)
    raise AssertionError("questions do not end")


def asked(page: str) -> dict[str, list[str]]:
    """Return what a form tells of its questions beside the answers."""
    return {one: re.findall(rf'name="{one}" value="([^"]*)"', page) for one in ("question", "number", "when")}


def stored(reader: Reader, page: str) -> list[tuple[str, str]]:
    """Store a batch; return name and day of the rounds of the three people here."""
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', page)
    assert batch is not None
    assert "Stored." in reader.post(f"{batch.group(1)}/store").text
    with Club.open(reader.desk.where) as club:
        tables = club.tables()
    named = dict(zip(tables.golfers["golfer_id"], tables.golfers["display_name"], strict=True))
    days = zip(tables.rounds["golfer_id"], tables.rounds["played_on"], strict=True)
    mine = [(str(named[golfer]), day.date().isoformat()) for golfer, day in days]
    return sorted(one for one in mine if one[0] in ("Wilhelmina Starling", "Ottilie Fenwarth"))


def test_a_workbook_with_a_sheet_rounds_under_a_title_is_asked_about(reader: Reader):
    page = sent(reader, {"season.xlsx": book(Rounds=SCORES), "rounds.csv": OWN_ROUNDS})
    assert "Store all" in page
    assert stored(reader, page) == [
        ("Ottilie Fenwarth", "2026-06-20"),
        ("Wilhelmina Starling", "2026-06-13"),
        ("Wilhelmina Starling", "2026-06-14"),
    ]


def test_tables_and_own_sheets_come_in_one_bring_in_and_mean_the_same_golfers(reader: Reader):
    page = sent(reader, {"golfers.csv": GOLFERS, "rounds.csv": ROUNDS, "season.xlsx": book(Rounds=SCORES)})
    assert "Store all" in page
    batch = re.search(r'href="(/bring-in/[^/]+/rows)"', page)
    assert batch is not None
    rows = text_of(reader.get(f"{batch.group(1)}?table=rounds").text)
    assert "rounds.csv, row 2" in rows
    assert "season.xlsx, row 4 Wilhelmina Starling | 13/06/2026" in rows
    assert stored(reader, page) == [
        ("Ottilie Fenwarth", "2026-06-20"),
        ("Wilhelmina Starling", "2026-06-13"),
        ("Wilhelmina Starling", "2026-06-21"),
    ]


def test_one_workbook_may_hold_a_table_and_an_own_sheet(reader: Reader):
    golfers = [line.split(",") for line in GOLFERS.split()[:1]] + [["Q7", "Wilhelmina Starling"]]
    page = sent(reader, {"season.xlsx": book(golfers=golfers, Rounds=SCORES)})
    assert [day for _, day in stored(reader, page)] == ["2026-06-20", "2026-06-13"]
    with Club.open(reader.desk.where) as club:
        assert "Q7" in set(club.tables().golfers["golfer_id"])


def test_where_no_row_is_good_storing_is_not_offered_and_counts_agree(reader: Reader):
    page = sent(reader, {"practice.csv": FAULTY.format("wishing")})
    words = text_of(page)
    assert "keep_good" not in page
    assert "2 rows cannot be stored: what is wrong stands under Problems, and there is no good row" in words


def test_errors_are_said_with_the_rows_that_they_keep_out(reader: Reader):
    page = sent(reader, {"practice.csv": FAULTY.format("chipping") + "G01,2026-06-03,wishing,20\n"})
    assert "1 row cannot be stored: what is wrong stands under Problems" in text_of(page)
    assert "Store the 2 good rows" in page


def test_names_that_fit_one_golfer_are_one_list_and_a_free_answer_has_its_form(reader: Reader):
    with Club.open(reader.desk.where) as club:
        names = [str(name) for name in club.tables().golfers["display_name"]]
    first = dict.fromkeys(name.split()[0] for name in names)
    short = [name for name in first if sum(may_be(name, other) for other in names) == 1][:2]
    assert len(short) == 2
    rows = "".join(f"{name},2026-06-{day:02d},88,71.2,128\n" for day, name in enumerate(short, 11))
    parts = [("files", ("cards.csv", io.BytesIO(f"Player,Date,Gross,CR,Slope\n{rows}".encode())))]
    page = str(reader.post("/bring-in", files=parts).text)
    assert "Is each of them that golfer?" in page
    assert len(re.findall('<option value="the same"[^>]* selected>', page)) == 2
    assert all(re.search(rf'<label for="answer-1-\d">\s*{name} = {name} ', page) for name in short)
    batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', page)
    assert batch is not None
    form = asked(page)
    answers = ["" if when else "the same" for when in form["when"]]
    page = str(reader.post(f"{batch.group(1)}/adopt", {**form, "answer": answers}).text)
    assert "Store all" in page
    assert "Store all" in str(reader.post("/bring-in", files=[("files", ("cards.csv", io.BytesIO(
        f"Player,Date,Gross,CR,Slope\n{short[0]},2026-06-20,90,71.2,128\n".encode())))]).text)  # fmt: skip


def test_a_sheet_may_be_said_to_hold_tests_and_out_of_how_many(reader: Reader):
    with Club.open(reader.desk.where) as club:
        name = str(club.tables().golfers["display_name"].iloc[0])
    text = f"Player,Date,Chipping,Bunker\n{name},2026-06-13,7,3\n"
    page = str(
        reader.post("/bring-in", files=[("files", ("Skills tests.csv", io.BytesIO(text.encode())))]).text
    )
    batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', page)
    assert batch is not None
    assert [*re.findall(r'<option value="([^"]+)"', page)][:3] == ["practice", "tests", "leave it out"]
    for answer, shown in (("tests", "pattern="), ("ten", "pattern="), ("12, 8", "Store all")):
        keys = re.findall(r'name="question" value="([^"]+)"', page)
        page = str(reader.post(f"{batch.group(1)}/adopt", {"question": keys, "answer": [answer]}).text)
        assert shown in page
    page = str(
        reader.post("/bring-in", files=[("files", ("Skills tests.csv", io.BytesIO(text.encode())))]).text
    )
    assert "Store all" in page


def test_what_an_answer_opens_is_asked_on_the_same_page(reader: Reader):
    with Club.open(reader.desk.where) as club:
        name = str(club.tables().golfers["display_name"].iloc[0])
    text = f"Player,Date,Chipping,Sand\n{name},2026-06-13,7,3\n"
    files = [("files", ("Skills tests of June.csv", io.BytesIO(text.encode())))]
    page = str(reader.post("/bring-in", files=files).text)
    assert "Only if the answer is: tests" in page
    assert '<option value="tests" class="opens-2">' in page
    batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', page)
    assert batch is not None
    form = asked(page)
    assert form["when"] == ["", "1=practice", "1=tests"]
    answers = ["tests", "minutes", "12, 8"]
    assert "Store all" in str(reader.post(f"{batch.group(1)}/adopt", {**form, "answer": answers}).text)
    with Club.open(reader.desk.where) as club:
        assert not any(key.startswith("bare numbers") for key in club.adopted()[0])


def test_a_sheet_read_otherwise_the_next_time_replaces_what_was_read_from_it(reader: Reader):
    with Club.open(reader.desk.where) as club:
        name = str(club.tables().golfers["display_name"].iloc[0])
    text = f"Player,Date,Drill,Minutes\n{name},2026-06-13,shorties,25\n{name},2026-06-14,shorties,35\n"

    def brought_in(answer: str) -> str:
        files = [("files", ("drills.csv", io.BytesIO(text.encode())))]
        address = str(reader.post("/bring-in", files=files).url)
        form = asked(reader.get(f"{address}/answers").text)
        given = [answer if key == "practice: shorties" else "" for key in form["question"]]
        return str(reader.post(f"{address}/adopt", {**form, "answer": given}).text)

    page = brought_in("chipping")
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', page)
    assert batch is not None
    reader.post(f"{batch.group(1)}/store")
    page = brought_in("pitching")
    assert "2 rows on record were read from these sheets before and are read otherwise now" in text_of(page)
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', page)
    assert batch is not None
    told = text_of(reader.post(f"{batch.group(1)}/store").text)
    assert "2 in practice read otherwise now" in told
    with Club.open(reader.desk.where) as club:
        rows = club.tables().practice
    days = rows["practised_on"].dt.strftime("%Y-%m-%d").isin(["2026-06-13", "2026-06-14"])
    assert set(rows[days & rows["minutes"].isin([25, 35])]["category"]) == {"pitching"}


def test_a_sheet_is_left_out_and_taken_in_again_where_answers_are_changed(reader: Reader):
    other = [list(row) for row in SCORES[2:]]
    other[1][1] = other[2][1] = "27/06/2026"
    page = sent(reader, {"season.xlsx": book(Medals=SCORES, Friendlies=other)})
    assert "Store all" in page
    address = re.search(r'href="(/bring-in/[^/]+)/answers"', page)
    assert address is not None
    changing = reader.get(f"{address.group(1)}/answers").text
    words = text_of(changing)
    assert "season.xlsx, sheet Friendlies Is this sheet read, or left out?" in words
    assert "What does this sheet hold?" in words
    assert "What a column holds is told by its heading, or was asked" in words

    def said(**answers: str) -> str:
        keys = [f"leave out: season.xlsx, sheet {name}" for name in answers]
        given = {"question": keys, "answer": list(answers.values())}
        return str(reader.post(f"{address.group(1)}/adopt", given).text)

    page = said(Friendlies="leave it out")
    assert "season.xlsx, sheet Friendlies: left out, as you said" in text_of(page)
    assert "season.xlsx, sheet Medals: rounds" in text_of(page)
    page = said(Medals="leave it out")
    assert "What cannot be changed here" in page  # nothing is left: the answers are there to be changed
    page = said(Friendlies="read it")
    assert "season.xlsx, sheet Friendlies: rounds" in text_of(page)
    page = said(Friendlies="leave it out", Medals="read it")
    assert stored(reader, page) == [("Ottilie Fenwarth", "2026-06-20"), ("Wilhelmina Starling", "2026-06-13")]
    with Club.open(reader.desk.where) as club:
        assert not any(key.startswith("leave out") for key in club.adopted()[0])


def differing_rows(reader: Reader) -> str:
    """Return practice of a golfer: two entries are on record with other minutes, and two are new."""
    head = "golfer_id,practised_on,category,minutes\n"
    first = head + "G03,2026-06-13,chipping,20\nG03,2026-06-14,chipping,25\n"
    page = sent(reader, {"practice.csv": first})
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', page)
    assert batch is not None
    assert "Stored." in reader.post(f"{batch.group(1)}/store").text
    return head + "".join(f"G03,2026-06-{day},chipping,30\n" for day in (13, 14, 15, 16))


def test_rows_that_differ_from_the_record_are_counted_when_read_and_kept_or_replaced(reader: Reader):
    name = reader.desk.snapshot().names["G03"]
    four = differing_rows(reader)
    page = sent(reader, {"practice.csv": four})
    words = text_of(page)
    assert "Practice 2 0 2" in words
    assert "No problem was found" not in words
    assert f"2 practice entries ({name}) differ from what is on record" in words
    assert f"Practice entry chipping of {name} on 13 June 2026: minutes 20.0 on record, 30.0 here" in words
    assert "G03" not in words
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', page)
    assert batch is not None
    refused = reader.post(f"{batch.group(1)}/store")
    assert refused.status_code == 400
    assert "Not stored. Something is open" in text_of(refused.text)
    assert 'name="differing"' in refused.text
    kept = text_of(reader.post(f"{batch.group(1)}/store", {"differing": "keep"}).text)
    assert "2 new in practice" in kept
    page = sent(reader, {"practice.csv": four})
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', page)
    assert batch is not None
    assert "Stored." in reader.post(f"{batch.group(1)}/store", {"differing": "take"}).text
    rows = reader.desk.snapshot().tables.practice
    mine = rows[(rows["golfer_id"] == "G03") & (rows["practised_on"] >= "2026-06-13")]
    assert mine[mine["category"] == "chipping"]["minutes"].tolist()[:4] == [30.0] * 4


def test_what_is_doubted_stands_above_the_button_that_stores(reader: Reader):
    rows = "".join(f"G01,2026-06-{day},chipping,1\n" for day in range(13, 18))
    text = f"golfer_id,practised_on,category,minutes\n{rows}"
    page = sent(reader, {"practice.csv": text})
    words = text_of(page)
    assert "Look at" in words
    assert words.index("are these hours?") < words.index("Store all")
    assert "No problem was found" not in words
    assert "Wrong, left out" not in words


def test_bring_in_says_that_an_own_layout_is_fine_and_folds_the_columns_away(reader: Reader):
    page = reader.get("/bring-in").text
    words = text_of(page)
    assert words.index("Your own layout is fine") < words.index("Or tables with set columns")
    assert page.index("<summary>Or tables") < page.index("golfer_id")
    read = sent(reader, {"season.xlsx": book(Rounds=SCORES)})
    assert "header in row 3; 2 rounds" in text_of(read)
    assert "for rounds" not in read
    tests = "golfer_id,assessed_on,test,tried,made\nG01,2026-06-13,putts from 6 feet,10,6\n"
    assert "assessments" not in text_of(sent(reader, {"assessments.csv": tests})).replace(
        "assessments.csv", ""
    )
