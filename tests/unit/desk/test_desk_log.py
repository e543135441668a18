"""Log and bring in: the checks and messages of an import, and a change that can be taken back."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pandas as pd
import pytest
from desk_reader import Reader, text_of

from paryield.club import Club
from paryield.desk.read_back import said_of
from paryield.desk.row_words import amount_text
from paryield.desk.uploads import safe_name
from paryield.errors import InputError


def fingerprint(reader: Reader) -> str:
    with Club.open(reader.desk.where) as club:
        return club.data_fingerprint()


def row(reader: Reader, **more: str) -> dict[str, str]:
    return {"golfer": reader.desk.snapshot().ids["G02"], "day": "2026-06-30", **more}


FORMS = {
    "round": {"adjusted_gross_score": "92", "course_rating": "71,3", "slope_rating": "128", "putts": "33"},
    "practice": {"category": "chipping", "minutes": "45", "reps": "100"},
    "assessment": {"test": "putting ladder", "distance_ft": "6", "tried": "10", "made": "4"},
    "event": {"kind": "lesson", "area": "putting", "note": "grip"},
}


@pytest.mark.parametrize("kind", sorted(FORMS))
def test_a_row_is_stored_told_and_taken_back(reader: Reader, kind: str):
    before = fingerprint(reader)
    answer = reader.post(f"/log/{kind}", row(reader, **FORMS[kind]))
    assert answer.status_code == 200
    assert "Stored:" in text_of(answer.text)
    assert fingerprint(reader) != before
    undo = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert undo is not None
    answer = reader.post(undo.group(1))
    assert "Taken back:" in text_of(answer.text)
    assert fingerprint(reader) == before
    again = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert again is not None
    reader.post(again.group(1))
    assert fingerprint(reader) != before


def rounds_of(reader: Reader, day: str = "2026-06-30") -> pd.DataFrame:
    with Club.open(reader.desk.where) as club:
        rounds = club.tables().rounds
    return rounds[(rounds["golfer_id"] == "G02") & (rounds["played_on"] == day)].sort_values("round_no")


def first_round(reader: Reader, **more: str) -> None:
    """Put one round on record on a day without any."""
    assert rounds_of(reader).empty
    assert reader.post("/log/round", row(reader, **more)).status_code == 200


def test_another_round_of_a_day_is_asked_about_before_anything_is_stored(reader: Reader):
    first_round(reader, score_differential="12.1", course="Kestrel Down")
    before = fingerprint(reader)
    second = row(reader, score_differential="14.4", note="typed")
    answer = reader.post("/log/round", second)
    assert answer.status_code == 400
    assert fingerprint(reader) == before
    words = text_of(answer.text)
    assert "On 30 June 2026 there is on record: differential 12.1 at Kestrel Down" in words
    assert "A second round, or a correction of the first?" in words
    assert 'value="14.4"' in answer.text
    button = re.search(r'name="another" value="(\d+)"', answer.text)
    assert button is not None
    assert reader.post("/log/round", {**second, "another": button.group(1)}).status_code == 200
    assert rounds_of(reader)["score_differential"].tolist() == [12.1, 14.4]
    assert rounds_of(reader)["round_no"].tolist() == [1, 2]
    third = reader.post("/log/round", {**row(reader, score_differential="15"), "another": button.group(1)})
    assert "Another round, or a correction of one of these?" in text_of(third.text)
    assert len(rounds_of(reader)) == 2


def test_a_correction_replaces_the_first_round_and_keeps_what_was_not_typed(reader: Reader):
    first_round(
        reader, adjusted_gross_score="84", course_rating="71.3", slope_rating="128", putts="33",
        course="Kestrel Down",
    )  # fmt: skip
    typed = row(reader, adjusted_gross_score="86")
    asked = reader.post("/log/round", typed)
    button = re.search(r'name="correct" value="(\d+)"', asked.text)
    assert button is not None
    answer = reader.post("/log/round", {**typed, "correct": button.group(1)})
    words = text_of(answer.text)
    assert "on 30 June 2026, 86 at Kestrel Down, before 84 at Kestrel Down" in words
    [held] = rounds_of(reader).to_dict("records")
    assert (held["adjusted_gross_score"], held["putts"], held["course_rating"]) == (86, 33, 71.3)
    undo = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert undo is not None
    back = text_of(reader.post(undo.group(1)).text)
    assert "adjusted gross score 84, course rating 71.3, slope rating 128, holes 18" in back
    assert "competition no" in back
    assert rounds_of(reader)["adjusted_gross_score"].tolist() == [84]


def corrected_form(reader: Reader, **changed: str) -> dict[str, str]:
    """Return the form of the round of that day as a browser would send it, some fields changed."""
    golfer = reader.desk.snapshot().ids["G02"]
    page = reader.get(f"/golfers/{golfer}/rounds").text
    link = re.search(r'href="(/log\?[^"]*day=2026-06-30&amp;correct=1)"', page)
    assert link is not None, text_of(page)
    shown = reader.get(link.group(1).replace("&amp;", "&")).text
    form = shown[shown.index('id="entry"') :]
    form = form[: form.index("</form>")]
    sent = dict(re.findall(r'<input [^>]*name="([^"]+)"[^>]* value="([^"]*)"', form))
    for name, options in re.findall(r'(?s)<select [^>]*name="([^"]+)".*?>(.*?)</select>', form):
        chosen = re.search(r'value="([^"]*)" selected', options)
        sent[name] = "" if chosen is None else chosen.group(1)
    sent.pop("token")
    return {**sent, **changed}


def test_a_round_is_corrected_from_the_list_of_rounds(reader: Reader):
    first_round(
        reader, adjusted_gross_score="84", course_rating="71.3", slope_rating="128", putts="33",
        competition="yes", course="Kestrel Down", score_differential="11.2",
    )  # fmt: skip
    sent = corrected_form(reader, adjusted_gross_score="85", putts="")
    assert (sent["course_rating"], sent["competition"], sent["score_differential"]) == ("71.3", "yes", "11.2")
    answer = reader.post("/log/round", sent)
    assert answer.status_code == 200
    [held] = rounds_of(reader).to_dict("records")
    assert held["adjusted_gross_score"] == 85
    assert held["competition"]
    assert pd.isna(held["putts"])
    # 113 / 128 x (85 - 71.3) = 12.09: the differential of 84 is worked out anew.
    assert pd.isna(held["score_differential"])
    golfer = reader.desk.snapshot().ids["G02"]
    assert re.search(
        r"Kestrel Down 85 12\.1 (✓ counts|no) Change", text_of(reader.get(f"/golfers/{golfer}/rounds").text)
    )
    late = reader.post("/log/round", {**sent, "adjusted_gross_score": "90"})
    assert late.status_code == 400
    assert "hat round was changed since you looked; nothing was stored" in text_of(late.text)
    assert rounds_of(reader)["adjusted_gross_score"].tolist() == [85]


def test_after_practice_is_stored_golfer_and_day_stay_in_the_form(reader: Reader):
    golfer = reader.desk.snapshot().ids["G02"]
    sent = {"golfer": golfer, "day": "2026-06-29", "category": "chipping", "minutes": "35"}
    page = reader.post("/log/practice", sent).text
    assert "Stored" in text_of(page)
    assert re.search(r'name="day"[^>]* value="2026-06-29"', page)
    assert f'value="{golfer}" selected' in page


def test_undoing_what_was_corrected_later_says_so_and_offers_to_take_that_back(reader: Reader):
    first_round(reader, adjusted_gross_score="84", course_rating="71.3", slope_rating="128")
    with Club.open(reader.desk.where) as club:
        number = int(club.history()["import_no"].max())
    name = reader.desk.snapshot().names["G02"]
    changed = corrected_form(reader, adjusted_gross_score="83")
    assert reader.post("/log/round", changed).status_code == 200
    answer = reader.post(f"/log/undo/{number}")
    assert answer.status_code == 400
    words = text_of(answer.text)
    assert f"The round of {name} on 30 June 2026 was changed later. Take that back first." in words
    assert str(reader.desk.where) not in answer.text
    assert f"change {number + 1}" not in words
    assert '<a href="/golfers/"' in answer.text
    first = re.search(r'action="/log/undo/(\d+)"><input[^>]*><button>Take back the later', answer.text)
    assert first is not None
    assert int(first.group(1)) == number + 1
    assert "Taken back" in text_of(reader.post(f"/log/undo/{number + 1}").text)
    assert "Taken back" in text_of(reader.post(f"/log/undo/{number}").text)


def test_a_wrong_correction_is_said_and_stays_in_the_form(reader: Reader):
    first_round(reader, adjusted_gross_score="84", course_rating="71.3", slope_rating="128")
    sent = corrected_form(reader, adjusted_gross_score="eighty")
    answer = reader.post("/log/round", sent)
    assert answer.status_code == 400
    assert 'value="eighty"' in answer.text
    assert "Store the correction" in answer.text
    assert rounds_of(reader)["adjusted_gross_score"].tolist() == [84]


def test_a_card_is_corrected_by_hole(reader: Reader):
    holes = {f"hole.{hole}": "5" for hole in range(1, 19)} | {f"par.{hole}": "4" for hole in range(1, 19)}
    holes |= {f"index.{hole}": str(hole) for hole in range(1, 19)}
    first_round(reader, course_rating="71.3", slope_rating="128", **holes)
    before = int(rounds_of(reader)["adjusted_gross_score"].iloc[0])
    assert before == 90
    sent = corrected_form(reader, **{"hole.18": "4"})
    assert sent["hole.1"] == "5"
    answer = reader.post("/log/round", sent)
    assert "89, before 90, with 1 hole" in text_of(answer.text)
    assert rounds_of(reader)["adjusted_gross_score"].tolist() == [89]
    with Club.open(reader.desk.where) as club:
        held = club.tables().holes
    held = held[(held["golfer_id"] == "G02") & (held["played_on"] == "2026-06-30")]
    assert held["strokes"].sum() == 89


def test_a_round_is_moved_to_another_day_with_its_card(reader: Reader):
    holes = {f"hole.{hole}": "5" for hole in range(1, 19)} | {f"par.{hole}": "4" for hole in range(1, 19)}
    holes |= {f"index.{hole}": str(hole) for hole in range(1, 19)}
    before = fingerprint(reader)
    first_round(reader, course_rating="71.3", slope_rating="128", course="Fen Lea", **holes)
    entered = fingerprint(reader)
    later = "2026-06-29"
    assert rounds_of(reader, later).empty
    sent = corrected_form(reader)
    assert (sent["was"], sent["day"]) == ("2026-06-30", "2026-06-30")
    both = reader.post("/log/round", {**sent, "day": later, "hole.18": "4"})
    assert "day and card were both changed" in text_of(both.text).lower()
    assert "30 June 2026" in text_of(both.text)
    assert reader.post("/log/round", {**sent, "day": ""}).status_code == 400
    assert fingerprint(reader) == entered
    answer = reader.post("/log/round", {**sent, "day": later})
    assert "on 29 June 2026, 90 at Fen Lea, moved from 30 June 2026" in text_of(answer.text)
    assert rounds_of(reader).empty
    assert rounds_of(reader, later)["adjusted_gross_score"].tolist() == [90]
    with Club.open(reader.desk.where) as club:
        held = club.tables().holes
    mine = held[held["golfer_id"] == "G02"]
    assert set(mine[mine["played_on"] >= later]["played_on"].astype(str)) == {later}
    assert len(mine[mine["played_on"] == later]) == 18
    gone = reader.post("/log/round", {**sent, "day": later})
    assert "no longer on record" in text_of(gone.text)
    undo = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert undo is not None
    back = text_of(reader.post(undo.group(1)).text)
    assert "19 rows are no longer on record, 19 rows are on record as before" in back
    assert fingerprint(reader) == entered
    first = re.findall(r'action="(/log/undo/\d+)"(?:(?!</form>).)*>Undo<', reader.get("/log").text, re.S)
    reader.post(first[0])
    assert fingerprint(reader) == before


def test_a_moved_round_is_the_last_of_its_new_day(reader: Reader):
    first_round(reader, score_differential="12.1", course="Kestrel Down")
    reader.post("/log/round", {**row(reader, score_differential="14.4"), "day": "2026-06-29"})
    sent = corrected_form(reader, day="2026-06-29", score_differential="12.4")
    words = text_of(reader.post("/log/round", sent).text)
    assert "12.4 at Kestrel Down, before differential 12.1 at Kestrel Down, moved from 30 June 2026" in words
    held = rounds_of(reader, "2026-06-29")
    assert held["score_differential"].tolist() == [14.4, 12.4]
    assert held["round_no"].tolist() == [1, 2]


def test_a_round_is_taken_off_the_record_and_brought_back(reader: Reader):
    before = fingerprint(reader)
    first_round(reader, adjusted_gross_score="84", course_rating="71", slope_rating="128", course="Fen Lea")
    with_it = fingerprint(reader)
    sent = corrected_form(reader, adjusted_gross_score="not a number", remove="yes")
    answer = reader.post("/log/round", sent)
    assert "on 30 June 2026, 84 at Fen Lea, taken off the record" in text_of(answer.text)
    assert fingerprint(reader) == before
    assert "no longer on record" in text_of(reader.post("/log/round", sent).text)
    undo = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert undo is not None
    reader.post(undo.group(1))
    assert fingerprint(reader) == with_it


def test_all_rounds_of_a_golfer_can_be_corrected(reader: Reader, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("paryield.desk.pages.rounds.LATEST", 3)
    golfer = reader.desk.snapshot().ids["G02"]
    few = reader.get(f"/golfers/{golfer}/rounds").text
    count = int((reader.desk.snapshot().tables.rounds["golfer_id"] == "G02").sum())
    assert count > 3
    assert few.count(">Change</a>") == 3
    link = re.search(rf'href="([^"]*)">All {count} rounds', few)
    assert link is not None
    every = reader.get(link.group(1)).text
    assert every.count(">Change</a>") == count
    assert f"All {count} rounds</a>" not in every


def test_a_card_typed_for_a_day_that_was_cleared_is_stored(reader: Reader):
    """Only a spreadsheet leaves out what was taken off by hand."""
    holes = {f"hole.{hole}": "5" for hole in range(1, 19)} | {f"par.{hole}": "4" for hole in range(1, 19)}
    holes |= {f"index.{hole}": str(hole) for hole in range(1, 19)}
    first_round(reader, course_rating="71.3", slope_rating="128", **holes)
    with_it = fingerprint(reader)
    reader.post("/log/round", corrected_form(reader, remove="yes"))
    assert rounds_of(reader).empty
    first_round(reader, course_rating="71.3", slope_rating="128", **holes)
    assert fingerprint(reader) == with_it


def test_two_entries_are_told_apart_and_what_is_taken_back_offers_no_undo(reader: Reader):
    first_round(reader, adjusted_gross_score="84", course_rating="71", slope_rating="128", course="Fen Lea")
    second = row(reader, adjusted_gross_score="91", course_rating="71", slope_rating="128", another="2")
    reader.post("/log/round", second)
    page = reader.get("/log").text
    words = text_of(page)
    assert "on 30 June 2026, 84 at Fen Lea" in words
    assert "on 30 June 2026, 91 stored" in words
    newest, *_ = re.findall(r'action="/log/undo/(\d+)"', page)
    answer = reader.post(f"/log/undo/{newest}")
    words = text_of(answer.text)
    assert "Taken back: Round" in words
    assert "; taken back" in words
    assert f'action="/log/undo/{newest}"' not in answer.text
    back = re.search(r'action="/log/undo/(\d+)"(?:(?!</form>).)*>Bring back<', answer.text, re.S)
    assert back is not None
    answer = reader.post(f"/log/undo/{back.group(1)}")
    assert "Brought back: Round" in text_of(answer.text)
    assert f'action="/log/undo/{newest}"' in answer.text
    assert rounds_of(reader)["adjusted_gross_score"].tolist() == [84, 91]


def test_a_goal_stands_under_latest_changes_with_the_one_before(reader: Reader):
    where = f"/golfers/{reader.desk.snapshot().ids['G02']}/goal"
    for aim in ("9.5", "+1"):
        reader.post(where, {"goal_index": aim, "goal_on": ""})
    assert ", +1.0, before 9.5" in text_of(reader.get("/log").text)


@pytest.mark.parametrize(
    ("kind", "given", "words"),
    [
        ("round", {"adjusted_gross_score": "300", "course_rating": "71", "slope_rating": "128"}, "200"),
        ("round", {"adjusted_gross_score": "90", "course_rating": "71", "slope_rating": "20"}, "55"),
        ("round", {"day": "2099-01-01", "score_differential": "12"}, "future"),
        ("round", {}, "the row needs"),
        ("practice", {"category": "chipping", "minutes": "1000"}, "960"),
        ("practice", {"category": "juggling", "minutes": "10"}, "categor"),
        ("assessment", {"test": "chips", "tried": "10", "made": "11"}, "more than tried"),
        ("event", {"kind": "quarrel"}, "write one of lesson"),
        ("event", {"kind": "injury", "until": "2026-01-01"}, "lies after until"),
    ],
)
def test_the_messages_are_those_of_an_import(reader: Reader, kind: str, given: dict[str, str], words: str):
    before = fingerprint(reader)
    answer = reader.post(f"/log/{kind}", row(reader) | given)
    assert answer.status_code == 400
    assert words in text_of(answer.text)
    assert "Not stored" in answer.text
    for name, value in given.items():
        assert name in ("day", "category", "kind") or value in answer.text
    assert fingerprint(reader) == before


def test_nobody_chosen_is_said(reader: Reader):
    answer = reader.post("/log/round", {"golfer": "x", "day": "2026-06-30", "score_differential": "9"})
    assert answer.status_code == 400
    assert "nobody is chosen" in answer.text


def files(**texts: str) -> list[tuple[str, tuple[str, io.BytesIO]]]:
    return [("files", (f"{name}.csv", io.BytesIO(text.encode()))) for name, text in texts.items()]


GOOD = "golfer_id,display_name\nN1,Wilhelmina Starling\n"
ROWS = "golfer_id,played_on,score_differential\nN1,2026-06-01,15.2\nN1,2026-06-02,200\nN9,2026-06-02,12\n"


def test_every_problem_is_shown_and_the_good_rows_are_stored(reader: Reader):
    before = fingerprint(reader)
    answer = reader.post("/bring-in", files=files(golfers=GOOD, rounds=ROWS))
    words = text_of(answer.text)
    assert "rounds.csv, row 3, score_differential" in words
    assert "rounds.csv, row 4, golfer_id" in words
    assert fingerprint(reader) == before
    batch = re.search(r'action="(/bring-in/[^/]+/store)"', answer.text)
    assert batch is not None
    refused = reader.post(batch.group(1))
    assert refused.status_code == 400
    assert fingerprint(reader) == before
    done = reader.post(batch.group(1), {"keep_good": "yes"})
    assert "Stored." in done.text
    with Club.open(reader.desk.where) as club:
        tables = club.tables()
    assert "N1" in set(tables.golfers["golfer_id"])
    assert (tables.rounds["golfer_id"] == "N1").sum() == 1
    assert reader.post(batch.group(1)).status_code == 400


def test_dropping_a_batch_stores_nothing_and_removes_it(reader: Reader):
    answer = reader.post("/bring-in", files=files(golfers=GOOD))
    name = re.search(r'action="/bring-in/([^/]+)/store"', answer.text)
    assert name is not None
    folder = reader.desk.uploads.folder(name.group(1))
    assert folder.is_dir()
    reader.post(f"/bring-in/{name.group(1)}/drop")
    assert not folder.exists()


def test_nothing_chosen_and_wrong_kinds_are_said(reader: Reader):
    assert "No file was chosen" in reader.post("/bring-in").text
    odd = [("files", ("rounds.exe", io.BytesIO(b"MZ")))]
    assert "not a spreadsheet" in text_of(reader.post("/bring-in", files=odd).text)


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ("rounds.csv", "rounds.csv"),
        ("../../etc/rounds.csv", "rounds.csv"),
        ("C:\\tables\\rounds.xlsx", "rounds.xlsx"),
        ("a/b/golfers.CSV", "golfers.CSV"),
    ],
)
def test_only_the_bare_name_of_a_file_is_kept(given: str, name: str):
    assert safe_name(given) == name


@pytest.mark.parametrize(
    "given", ["", "..", ".hidden.csv", "rounds", "x.exe", "a" * 200 + ".csv", "\u00e9" * 140 + ".csv", "/"]
)
def test_names_that_are_no_spreadsheet(given: str):
    with pytest.raises(InputError):
        safe_name(given)


def test_a_long_name_of_accented_letters_is_no_fault(reader: Reader):
    odd = [("files", ("\u00e9" * 140 + ".csv", io.BytesIO(b"golfer_id")))]
    assert reader.post("/bring-in", files=odd).status_code == 400


@pytest.mark.parametrize("done", ["\u00b2", "undo\u0663", "9" * 5000, "-1", "1.0"])
def test_an_odd_number_of_a_change_is_passed_over(reader: Reader, done: str):
    assert reader.client.get("/log", params={"done": done}).status_code == 200


@pytest.mark.parametrize("length", [str(300 * 2**20), "9" * 30, "\u00b2".encode()])
def test_what_is_too_large_is_told_on_a_page(reader: Reader, length: str):
    headers = {"content-length": length, "content-type": "multipart/form-data; boundary=x"}
    answer = reader.client.post("/bring-in", content=b"x", headers=headers)
    assert answer.status_code == 400
    assert "What was sent is too large" in text_of(answer.text)


def test_two_files_of_one_name_are_refused_and_leave_nothing(reader: Reader, tmp_path: Path):
    two = files(golfers=GOOD) + files(golfers=GOOD)
    assert "Two files are called" in text_of(reader.post("/bring-in", files=two).text)


OWN = "Member,Played on,Score,CR,Slope\nWilhelmina Starling,{day},88,71.2,128\n"


def test_a_coachs_own_spreadsheet_is_asked_about_once_and_stored(reader: Reader):
    before = fingerprint(reader)
    # The fifth of June or the sixth of May: nothing tells.
    asked = reader.post("/bring-in", files=files(medal=OWN.format(day="05/06/2026")))
    assert "05/06/2026" in text_of(asked.text)
    assert fingerprint(reader) == before
    batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', asked.text)
    key = re.search(r'name="question" value="([^"]+)"', asked.text)
    assert batch is not None
    assert key is not None
    read = reader.post(f"{batch.group(1)}/adopt", {"question": key.group(1), "answer": "day first"})
    assert "Store all" in read.text
    assert "Score = score" in read.text
    assert "Stored." in reader.post(f"{batch.group(1)}/store").text
    with Club.open(reader.desk.where) as club:
        rounds = club.tables().rounds
        golfer = club.adopted()[1]["Wilhelmina Starling"]
    mine = rounds[rounds["golfer_id"] == golfer]
    assert mine["played_on"].dt.date.astype(str).tolist() == ["2026-06-05"]
    # Next week's file, under another name, asks nothing; erasing the golfer forgets the name.
    again = reader.post("/bring-in", files=files(june=OWN.format(day="12/06/2026")))
    assert "Store all" in again.text
    with Club.open(reader.desk.where) as club:
        club.erase(golfer)
        assert "Wilhelmina Starling" not in club.adopted()[1]


FAULTY = """Club records
Member,Played on,Score,CR,Slope,Stableford,Remark
Wilhelmina Starling,13/06/2026,88,71.2,128,31,
Wilhelmina Starling,20/06/2026,31,71.2,128,33,
Wilhelmina Starling,27/06/2026,NR,71.2,128,,ill
"""
OURS = ("rounds.csv", "score_differential", "adjusted_gross_score", "golfer_id", "same key", "<pre>")


def test_a_fault_is_told_by_the_sheet_that_was_sent(reader: Reader):
    read = reader.post("/bring-in", files=files(medal=FAULTY))
    words = text_of(read.text)
    assert "medal.csv, row 4, Score" in words
    assert "no score, but 'NR' (first: medal.csv, row 5)" in words
    assert [one for one in OURS if one in read.text] == []
    batch = re.search(r'action="(/bring-in/[^/]+)/store"', read.text)
    assert batch is not None
    refused = reader.post(f"{batch.group(1)}/store")
    assert refused.status_code == 400
    assert "medal.csv, row 4, Score" in text_of(refused.text)
    assert [one for one in OURS if one in refused.text] == []
    assert "Stored." in reader.post(f"{batch.group(1)}/store", {"keep_good": "yes"}).text


def test_spreadsheets_that_give_nothing_are_told_by_their_name(reader: Reader):
    answer = reader.post("/bring-in", files=files(letter="Dear coach,see you\nthank you,all\n"))
    assert answer.status_code == 200
    words = text_of(answer.text)
    assert "Nothing was stored" in words
    assert "letter.csv" in words
    assert "/tmp" not in answer.text
    assert "Choose other spreadsheets" in words


def test_which_column_is_who_when_and_what_is_chosen_on_the_page(reader: Reader):
    sheet = "Ab,Mitmacher,Gemacht\n13.6.2026,Wilhelmina Starling,bunker 30 min\n"
    asked = reader.post("/bring-in", files=files(diary=sheet))
    batch = re.search(r'action="(/bring-in/[^/]+)/adopt"', asked.text)
    assert batch is not None
    keys = re.findall(r'name="question" value="([^"]+)"', asked.text)
    assert [key.partition(":")[0] for key in keys] == ["column when", "column who", "column what"]
    given = {"question": keys, "answer": ["Ab", "Mitmacher", "Gemacht"]}
    read = reader.post(f"{batch.group(1)}/adopt", given)
    assert "Gemacht = what was practised, in words" in text_of(read.text)
    assert "Stored." in reader.post(f"{batch.group(1)}/store").text


def test_a_practice_entry_counts_balls_where_balls_are_hit() -> None:
    """The words of a week's card: balls, and repetitions of an exercise."""
    assert amount_text({"category": "chipping", "minutes": 45.0, "reps": 100.0}) == "45 min, 100 balls"
    assert amount_text({"category": "strength", "reps": 60.0}) == "60 repetitions"
    assert said_of("practice", {"category": "chipping", "reps": 1.0}) == "chipping, 1 ball"
