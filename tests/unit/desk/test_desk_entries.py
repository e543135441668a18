"""Practice and tests on record: listed, corrected, moved to another day, taken off."""

from __future__ import annotations

import json
import re
from html import unescape
from urllib.parse import quote

import pytest
from desk_reader import Reader, text_of

from paryield.club import Club

GOLFER = "G02"
LOGGED = {
    "practice": {"category": "chipping", "minutes": "45", "note": "windy"},
    "assessment": {"test": "putting ladder", "distance_ft": "6", "tried": "10", "made": "4"},
}
CORRECTED = {"practice": {"minutes": "30"}, "assessment": {"made": "5"}}
SAID = {"practice": ("45 min", "30 min"), "assessment": ("4 of 10", "5 of 10")}
TABLE = {"practice": "practice", "assessment": "assessments"}


def of(reader: Reader, kind: str) -> str:
    return f"/golfers/{reader.desk.snapshot().ids[GOLFER]}/entries/{kind}"


def logged(reader: Reader, kind: str, day: str = "2026-08-02") -> None:
    given = {"golfer": reader.desk.snapshot().ids[GOLFER], "day": day, **LOGGED[kind]}
    assert "Stored:" in text_of(reader.post(f"/log/{kind}", given).text)


def filled(page: str) -> dict[str, str]:
    """Values of the form on a page, as a browser would send them."""
    form = page[page.index('id="entry"') :]
    found = dict(re.findall(r'<input[^>]* name="([^"]+)" value="([^"]*)"', form))
    for name, options in re.findall(r'(?s)<select[^>]* name="([^"]+)"[^>]*>(.*?)</select>', form):
        chosen = re.search(r'<option value="([^"]*)" selected', options)
        found[name] = chosen.group(1) if chosen else ""
    found["day"] = re.search(r'name="day"[^>]* value="([^"]+)"', form).group(1)  # type: ignore[union-attr]
    return {name: unescape(value) for name, value in found.items()}


def first_form(reader: Reader, kind: str) -> tuple[str, dict[str, str]]:
    listed = reader.get(of(reader, kind)).text
    link = re.search(r'href="([^"]+/correct\?at=[^"]+)"', listed)
    assert link is not None
    page = reader.get(unescape(link.group(1))).text
    return page, filled(page)


def rows(reader: Reader, kind: str) -> int:
    with Club.open(reader.desk.where) as club:
        return len(getattr(club.tables(), TABLE[kind]))


def fingerprint(reader: Reader) -> str:
    with Club.open(reader.desk.where) as club:
        return club.data_fingerprint()


@pytest.mark.parametrize("kind", sorted(LOGGED))
def test_an_entry_is_corrected_and_that_is_taken_back(reader: Reader, kind: str) -> None:
    logged(reader, kind)
    before, count = fingerprint(reader), rows(reader, kind)
    assert SAID[kind][0] in text_of(reader.get(of(reader, kind)).text)
    _, given = first_form(reader, kind)
    assert LOGGED[kind].items() <= given.items()
    answer = reader.post(f"{of(reader, kind)}/correct", {**given, **CORRECTED[kind]})
    assert f"{SAID[kind][1]}, before {SAID[kind][0]}." in text_of(answer.text)
    assert f'href="{of(reader, kind)}"' in answer.text
    assert rows(reader, kind) == count
    listed = text_of(reader.get(of(reader, kind)).text)
    assert SAID[kind][1] in listed[: listed.index("Change ") + 40]
    undo = re.search(r'action="(/log/undo/\d+)"', answer.text)
    assert undo is not None
    reader.post(undo.group(1))
    assert fingerprint(reader) == before


@pytest.mark.parametrize("kind", sorted(LOGGED))
def test_an_entry_is_put_on_another_day(reader: Reader, kind: str) -> None:
    logged(reader, kind)
    _, given = first_form(reader, kind)
    count = rows(reader, kind)
    answer = reader.post(f"{of(reader, kind)}/correct", {**given, "day": "2026-08-01"})
    assert f"on 1 August 2026, {SAID[kind][0]}, moved from 2 August 2026." in text_of(answer.text)
    assert rows(reader, kind) == count
    listed = text_of(reader.get(of(reader, kind)).text)
    assert "1 August 2026" in listed
    assert "2 August 2026" not in listed


def test_what_was_practised_is_corrected(reader: Reader) -> None:
    logged(reader, "practice")
    _, given = first_form(reader, "practice")
    answer = reader.post(f"{of(reader, 'practice')}/correct", {**given, "category": "bunker"})
    assert "on 2 August 2026, 45 min, before chipping." in text_of(answer.text)
    with Club.open(reader.desk.where) as club:
        found = club.tables().practice
    mine = found[(found["golfer_id"] == GOLFER) & (found["practised_on"] == "2026-08-02")]
    assert mine["category"].tolist() == ["bunker"]
    assert mine["minutes"].tolist() == [45.0]


@pytest.mark.parametrize("kind", sorted(LOGGED))
def test_an_entry_is_taken_off_the_record(reader: Reader, kind: str) -> None:
    before = fingerprint(reader)
    logged(reader, kind)
    page, given = first_form(reader, kind)
    assert "Take this entry off the record" in page
    answer = reader.post(f"{of(reader, kind)}/correct", {**given, "remove": "yes"})
    assert f"{SAID[kind][0]}, taken off the record." in text_of(answer.text)
    assert fingerprint(reader) == before


def test_a_time_that_becomes_known_is_no_longer_unknown(reader: Reader) -> None:
    given = {"golfer": reader.desk.snapshot().ids[GOLFER], "day": "2026-08-02", "category": "chipping"}
    with Club.open(reader.desk.where) as club:
        cells = {"golfer_id": GOLFER, "practised_on": "2026-08-02", "category": "chipping"}
        club.log("practice", {**cells, "state": "unknown"})
    assert "how long is not known" in text_of(reader.get(of(reader, "practice")).text)
    _, given = first_form(reader, "practice")
    reader.post(f"{of(reader, 'practice')}/correct", {**given, "minutes": "20"})
    with Club.open(reader.desk.where) as club:
        stored = club.row("practice", {**cells, "entry_no": "1"})
    assert stored is not None
    assert (stored.values["state"], stored.values["minutes"]) == ("done", 20.0)


def test_faults_and_changes_meanwhile_are_told_at_the_form(reader: Reader) -> None:
    logged(reader, "practice")
    _, given = first_form(reader, "practice")
    where = f"{of(reader, 'practice')}/correct"
    before = fingerprint(reader)
    wrong = reader.post(where, {**given, "minutes": "lots"})
    assert wrong.status_code == 400
    assert "Not stored." in wrong.text
    assert 'value="lots"' in wrong.text
    reader.post(where, {**given, "minutes": "20"})
    changed = fingerprint(reader)
    assert changed != before
    late = reader.post(where, {**given, "minutes": "25"})
    assert late.status_code == 400
    assert "changed by somebody else" in text_of(late.text)
    assert fingerprint(reader) == changed


@pytest.mark.parametrize("at", ["", "{", "[1]", '"x"', '{"day": "yesterday"}', '{"day": "2026-08-02"}'])
def test_an_address_of_nothing_is_refused_in_words(shared_reader: Reader, at: str) -> None:
    answer = shared_reader.get(f"{of(shared_reader, 'practice')}/correct?at={quote(at)}")
    assert answer.status_code == 400
    assert "record" in answer.text or "no such entry" in answer.text or "day" in answer.text


def test_other_kinds_are_refused(shared_reader: Reader) -> None:
    assert shared_reader.get(of(shared_reader, "event")).status_code == 400


def test_the_address_of_an_entry_is_its_key_alone(reader: Reader) -> None:
    """Nothing but the key is taken from it, so that no other golfer's row can be named."""
    logged(reader, "practice")
    at = json.dumps({"golfer_id": "G01", "day": "2026-08-02", "category": "chipping", "entry_no": "1"})
    page = reader.get(f"{of(reader, 'practice')}/correct?at={quote(at)}").text
    assert filled(page)["minutes"] == "45"
