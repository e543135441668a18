"""Changes taken back: the content is what it was, the history keeps both, and later changes are safe."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from paryield.club import Club
from paryield.errors import InputError

TODAY = date(2026, 6, 1)
HEAD = "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating,putts\n"
NEW = HEAD + "A2,2026-05-01,97,71.2,128,35\n"
OTHER = HEAD + "A2,2026-05-01,96,71.2,128,35\n"
BARE = "golfer_id,assessed_on,test,distance_ft,tried,made\nA2,2026-05-01,chips,,20,11\n"


@pytest.fixture
def club(path: Path) -> Club:
    return Club.open(path)


def store(club: Club, folder: Path, **more: bool) -> int:
    number = club.import_folder(folder, today=TODAY, undoable=True, **more).import_no
    assert number is not None
    return number


def test_an_added_row_goes_and_comes_back(club: Club, write: Callable[..., Path]):
    before = club.data_fingerprint()
    number = store(club, write("new", rounds=NEW, assessments=BARE))
    after = club.data_fingerprint()
    receipt = club.undo(number)
    assert (receipt.removed, receipt.restored, receipt.undone) == (2, 0, number)
    assert club.data_fingerprint() == before != after
    again = club.undo(receipt.import_no)
    assert (again.removed, again.restored) == (0, 2)
    assert club.data_fingerprint() == after
    assert club.undo(again.import_no).removed == 2
    assert club.data_fingerprint() == before


def test_a_replaced_row_has_its_former_value_again(club: Club, write: Callable[..., Path]):
    store(club, write("new", rounds=NEW))
    before = club.data_fingerprint()
    number = store(club, write("other", rounds=OTHER), replace=True)
    assert club.undo(number).restored == 1
    assert club.data_fingerprint() == before


def test_the_history_keeps_what_was_taken_back(club: Club, write: Callable[..., Path]):
    receipt = club.undo(store(club, write("new", rounds=NEW)))
    last = club.history().iloc[-1]
    assert int(last["import_no"]) == receipt.import_no
    assert '"adjusted_gross_score": 97' in last["old_rows"]
    assert "undo of" in last["files"]


def test_a_row_changed_since_is_left_alone(club: Club, write: Callable[..., Path]):
    number = store(club, write("new", rounds=NEW))
    later = store(club, write("other", rounds=OTHER), replace=True)
    held = club.data_fingerprint()
    with pytest.raises(InputError, match=f"changed again by change {later}"):
        club.undo(number)
    assert club.data_fingerprint() == held
    with pytest.raises(InputError, match="changed again"):
        club.undo(club.undo(later).undone)


def test_a_change_that_kept_no_keys_is_refused(club: Club):
    with pytest.raises(InputError, match="cannot be taken back"):
        club.undo(1)
    for number in (99, 10**30, -(10**30)):
        with pytest.raises(InputError, match=f"there is no change {number}"):
            club.undo(number)


def test_a_round_with_holes_stays(club: Club, write: Callable[..., Path]):
    number = store(club, write("new", rounds=NEW))
    hole = "golfer_id,played_on,hole,par,stroke_index,strokes\nA2,2026-05-01,1,4,1,5\n"
    holes = store(club, write("holes", holes=hole))
    with pytest.raises(InputError, match="has holes on record"):
        club.undo(number)
    club.undo(holes)
    assert club.undo(number).removed == 1


def test_a_golfer_of_whom_something_came_later_stays(club: Club, write: Callable[..., Path]):
    joined = store(club, write("joined", golfers="golfer_id,display_name\nA9,Perpetua Owlbright\n"))
    club.log("rounds", {"golfer_id": "A9", "played_on": "2026-05-02", "score_differential": "14"})
    held = club.data_fingerprint()
    with pytest.raises(InputError, match="golfer_id A9 in golfers still has rounds on record"):
        club.undo(joined)
    assert club.data_fingerprint() == held
    club.undo(int(club.history()["import_no"].max()))
    assert club.undo(joined).removed == 1


def test_a_golfer_and_what_came_with_him_go_together(club: Club, write: Callable[..., Path]):
    before = club.data_fingerprint()
    rounds = "golfer_id,played_on,score_differential\nA9,2026-05-02,14\n"
    holes = "golfer_id,played_on,hole,par,stroke_index,strokes\nA9,2026-05-02,1,4,1,5\n"
    golfers = "golfer_id,display_name\nA9,Perpetua Owlbright\n"
    number = store(club, write("joined", golfers=golfers, rounds=rounds, holes=holes))
    after = club.data_fingerprint()
    back = club.undo(number)
    assert club.data_fingerprint() == before
    club.undo(back.import_no)
    assert club.data_fingerprint() == after


def test_an_erased_golfer_does_not_come_back(club: Club, write: Callable[..., Path]):
    number = store(club, write("new", rounds=NEW))
    club.erase("A2")
    with pytest.raises(InputError, match="erased"):
        club.undo(number)


def test_the_revision_moves_with_every_change(club: Club, write: Callable[..., Path]):
    seen = {club.revision()}
    number = store(club, write("new", rounds=NEW))
    seen.add(club.revision())
    club.undo(number)
    seen.add(club.revision())
    club.save_run(payload=b"x", facts={})
    seen.add(club.revision())
    club.erase("A2")
    seen.add(club.revision())
    assert len(seen) == 5
    assert club.revision() == club.revision()


def test_the_key_of_pages_is_kept_and_is_no_content(club: Club, path: Path):
    before = club.data_fingerprint()
    key = club.page_key()
    assert len(key) == 32
    with Club.open(path) as again:
        assert again.page_key() == key
        assert again.data_fingerprint() == before


def test_a_change_that_was_taken_back_is_not_in_the_way(club: Club, write: Callable[..., Path]):
    """Stored, changed, the change taken back: then the first can be taken back too, and not before."""
    before = club.data_fingerprint()
    first = store(club, write("new", rounds=NEW))
    second = store(club, write("other", rounds=OTHER), replace=True)
    with pytest.raises(InputError, match=f"changed again by change {second}"):
        club.undo(first)
    back = club.undo(second).import_no
    again = club.undo(back).import_no
    with pytest.raises(InputError, match="changed again"):
        club.undo(first)
    club.undo(again)
    assert club.undo(first).removed == 1
    assert club.data_fingerprint() == before
