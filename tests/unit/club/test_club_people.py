"""People of a club: added, signed in and out, removed; their golfers erased; on a file and on PostgreSQL."""

from __future__ import annotations

import json
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import date
from pathlib import Path
from statistics import median

import pytest
import sqlalchemy as sa

from paryield.club import ROLES, Accounts, Club, layout, passwords, registers, sessions
from paryield.club.people import PEOPLE, SESSIONS, of_age
from paryield.errors import InputError

TODAY = date(2026, 6, 1)
NEW = "seven owls under one roof"
Write = Callable[..., Path]


@pytest.fixture
def club(place: str, folder: Path) -> Iterator[Club]:
    with Club.open(place, create=True) as found:
        found.import_folder(folder, today=TODAY)
        yield found


@pytest.fixture
def accounts(club: Club) -> Accounts:
    return Accounts(club)


def counted(club: Club, table: sa.Table) -> int:
    with club._reading() as connection:
        return int(connection.execute(sa.select(sa.func.count()).select_from(table)).scalar() or 0)


def test_somebody_is_added_signs_in_and_is_removed(club: Club, accounts: Accounts) -> None:
    issued = accounts.add("  Maud   Ferrin ", "coach")
    person = issued.person
    assert (person.name, person.role, person.every_golfer, person.must_change) == (
        "Maud Ferrin",
        "coach",
        True,
        True,
    )
    token = accounts.sign_in("MAUD ferrin", issued.password)
    assert token is not None
    session = accounts.session(token)
    assert session is not None
    assert session.person == person
    token = accounts.change_password(person, issued.password, NEW)
    assert accounts.sign_in("Maud Ferrin", issued.password) is None
    changed = accounts.session(token)
    assert changed is not None
    assert not changed.person.must_change
    assert accounts.remove(person.person_id).name == "Maud Ferrin"
    assert accounts.session(token) is None
    assert accounts.sign_in("Maud Ferrin", NEW) is None
    assert accounts.people() == []
    assert counted(club, SESSIONS) == counted(club, PEOPLE) == 0


def test_a_name_is_one_person_however_it_is_written(accounts: Accounts) -> None:
    accounts.add("Zoë Strand", "manager")
    for same in ("zoë strand", "ZOË  STRAND", "Zoe\u0308 Strand", "Ｚoë Strand"):
        with pytest.raises(InputError, match="already"):
            accounts.add(same, "manager")
    assert accounts.person("ZOË STRAND").role == "manager"


@pytest.mark.parametrize(
    ("name", "role", "golfers", "said"),
    [
        ("Jon", "king", (), "no role 'king'"),
        ("Jon", "player", (), "exactly one golfer"),
        ("Jon", "guardian", ("A1", "A2"), "exactly one golfer"),
        ("Jon", "manager", ("A1",), "no golfer's record"),
        ("Jon", "administrator", ("A1",), "no golfer's record"),
        ("Jon", "coach", ("A9",), "no golfer 'A9'"),
        (" ", "coach", (), "cannot be a person's name"),
        ("x" * 101, "coach", (), "101 characters"),
        ("Jon\u202egnp", "coach", (), "not shown"),
        ("Jon\x00", "coach", (), "not shown"),
    ],
)
def test_what_cannot_be_added_is_said_and_nothing_is_stored(
    path: Path, name: str, role: str, golfers: tuple[str, ...], said: str
) -> None:
    before = path.read_bytes()
    with Club.open(path) as club, pytest.raises(InputError, match=said) as caught:
        Accounts(club).add(name, role, golfers)
    assert caught.value.remedy
    assert path.read_bytes() == before


def test_every_role_can_be_added_with_its_golfers(accounts: Accounts) -> None:
    for role in ROLES:
        golfers = ("A1",) if role in ("player", "guardian") else ()
        person = accounts.add(f"A {role}", role, golfers).person
        assert person.every_golfer == (role in ("coach", "therapist"))
    own = accounts.add("B coach", "coach", ["A2", "A1", "A2"]).person
    assert (own.golfers, own.every_golfer) == (("A1", "A2"), False)


def test_a_guardian_is_for_a_junior(path: Path, write: Write) -> None:
    year = date.today().year
    rows = f"golfer_id,birth_year\nJ1,{year - 12}\nJ2,{year - 19}\nJ3,\n"
    with Club.open(path) as club:
        club.import_folder(write("more", golfers=rows), today=date.today())
        Accounts(club).add("Ada", "guardian", ["J1"])
        Accounts(club).add("Ida", "guardian", ["J3"])
        with pytest.raises(InputError, match="J2 is of age"):
            Accounts(club).add("Oda", "guardian", ["J2"])
    assert [of_age(born, date(2026, 7, 1)) for born in (2008, 2007, None)] == [False, True, False]


def test_a_one_time_password_ends(accounts: Accounts, monkeypatch: pytest.MonkeyPatch) -> None:
    issued = accounts.add("Maud", "manager")
    later = time.time() + passwords.ONE_TIME_SECONDS
    monkeypatch.setattr(sessions, "clock", lambda: int(later + 60))
    assert accounts.sign_in("Maud", issued.password) is None
    monkeypatch.setattr(sessions, "clock", lambda: int(later - 60))
    assert accounts.sign_in("Maud", issued.password) is not None


def test_a_reset_signs_out_and_needs_a_change(accounts: Accounts) -> None:
    first = accounts.add("Maud", "manager")
    token = accounts.sign_in("Maud", first.password)
    assert token is not None
    token = accounts.change_password(first.person, first.password, NEW)
    second = accounts.reset("maud")
    assert second.password != first.password
    assert second.person.must_change
    assert accounts.session(token) is None
    assert accounts.sign_in("Maud", NEW) is None
    assert accounts.sign_in("Maud", second.password) is not None


@pytest.mark.parametrize(("idle", "whole", "goes_on"), [(29, 100, True), (31, 100, False), (1, 481, False)])
def test_a_session_ends_by_itself(
    path: Path, idle: int, whole: int, goes_on: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half an hour after the last page, and after eight hours: minutes before and after each bound."""
    with Club.open(path) as club:
        accounts = Accounts(club)
        issued = accounts.add("Maud", "manager")
        token = accounts.sign_in("Maud", issued.password)
        assert token is not None
        begun = sessions.clock()
        with club._writing() as connection:
            seen = {"seen_at": begun + 60 * (whole - idle)}
            connection.execute(SESSIONS.update().values(seen))
        monkeypatch.setattr(sessions, "clock", lambda: begun + 60 * whole)
        assert (accounts.session(token) is not None) == goes_on
        assert bool(accounts.sessions(issued.person)) == goes_on
        accounts.sign_in("Maud", issued.password)
        assert counted(club, SESSIONS) == 1 + goes_on


def test_a_page_asked_for_keeps_a_session_alive(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with Club.open(path) as club:
        accounts = Accounts(club)
        token = accounts.sign_in("Maud", accounts.add("Maud", "manager").password)
        assert token is not None
        begun = sessions.clock()
        for minutes in (25, 50, 75):
            monkeypatch.setattr(sessions, "clock", lambda m=minutes: begun + 60 * m)
            assert accounts.session(token) is not None


def test_signing_out_ends_one_session_or_all_of_oneself(accounts: Accounts) -> None:
    issued, other = accounts.add("Maud", "manager"), accounts.add("Ivo", "manager")
    tokens = [accounts.sign_in("Maud", issued.password) for _ in range(3)]
    far = accounts.sign_in("Ivo", other.password)
    assert far is not None
    held = accounts.sessions(issued.person)
    assert len(held) == 3
    assert accounts.sign_out(other.person, held[0].session_id) == 0
    assert accounts.sign_out(issued.person, held[0].session_id) == 1
    assert sum(accounts.session(str(token)) is not None for token in tokens) == 2
    assert accounts.sign_out(issued.person) == 2
    assert accounts.session(far) is not None


def test_a_password_change_needs_the_old_one_and_ends_other_sessions(accounts: Accounts) -> None:
    issued = accounts.add("Maud", "manager")
    here, far = (str(accounts.sign_in("Maud", issued.password)) for _ in range(2))
    with pytest.raises(InputError, match="present password"):
        accounts.change_password(issued.person, "wrong", NEW)
    assert accounts.session(far) is not None
    token = accounts.change_password(issued.person, issued.password, NEW)
    assert [accounts.session(one) is None for one in (here, far, token)] == [True, True, False]


@pytest.mark.parametrize(
    ("password", "said"),
    [
        ("short owls", "10 characters"),
        ("a" * 201, "201 characters"),
        ("aaaaaaaaaaaabb", "too few different"),
        ("my name is ferrin", "holds the name"),
        ("the present one", "it is the present"),
    ],
)
def test_passwords_that_are_easy_to_guess(password: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        passwords.check_new(password, "Maud Ferrin", "the present one")


def test_one_time_passwords_do_not_repeat_and_can_be_read_out() -> None:
    made = {passwords.one_time() for _ in range(500)}
    assert len(made) == 500
    assert all(len(one) == 23 and not set(one) & set("iIlLoO01 ") for one in made)


@pytest.mark.usefixtures("real_hashes")
def test_a_hash_is_salted_and_of_the_recommended_kind() -> None:
    """RFC 9106, section 4: Argon2id, 64 MiB, 3 passes, 4 lanes, salt of 128 and hash of 256 bits."""
    first, second = passwords.hashed(NEW), passwords.hashed(NEW)
    assert first != second
    assert first.startswith(b"$argon2id$v=19$m=65536,t=3,p=4$")
    assert passwords.matches(first, NEW)
    assert passwords.matches(first, "seven owls under one roof")
    assert not passwords.matches(first, NEW + " ")
    assert not passwords.matches(None, NEW)
    assert not passwords.matches(b"not a hash", NEW)
    assert not passwords.matches(first, NEW + "x" * 300)
    assert passwords.matches(passwords.hashed("Zo\u0308e walks seven dogs"), "Z\u00f6e walks seven dogs")


@pytest.mark.usefixtures("real_hashes")
def test_an_unknown_name_takes_as_long_as_a_wrong_password(path: Path) -> None:
    """Work of the process, not of the clock on the wall; without the made-up hash it is a fiftieth."""
    with Club.open(path) as club:
        accounts = Accounts(club)
        accounts.add("Maud", "manager")
        passwords.nobody()

        def work(name: str) -> float:
            begun = time.process_time()
            assert accounts.sign_in(name, "not the password") is None
            return time.process_time() - begun

        known, unknown = (median(work(name) for _ in range(7)) for name in ("Maud", "Nobody"))
    assert 0.5 < known / unknown < 2.0


@pytest.mark.usefixtures("real_hashes")
def test_a_password_of_older_settings_is_stored_anew(path: Path) -> None:
    from argon2 import PasswordHasher

    weak = PasswordHasher(time_cost=1, memory_cost=8192, parallelism=1).hash(NEW).encode()
    with Club.open(path) as club:
        accounts = Accounts(club)
        accounts.add("Maud", "manager")
        with club._writing() as connection:
            connection.execute(PEOPLE.update().values({"password": weak}))
        assert accounts.sign_in("Maud", NEW) is not None
        with club._reading() as connection:
            held = connection.execute(sa.select(PEOPLE.c.password)).scalar()
        assert bytes(held).startswith(b"$argon2id$v=19$m=65536,t=3,p=4$")
        assert accounts.sign_in("Maud", NEW) is not None


def test_neither_password_nor_token_stands_in_the_file(path: Path) -> None:
    with Club.open(path) as club:
        accounts = Accounts(club)
        issued = accounts.add("Maud", "manager")
        first = accounts.sign_in("Maud", issued.password)
        token = accounts.change_password(issued.person, issued.password, NEW)
    content = path.read_bytes()
    for secret in (issued.password, NEW, str(first), token):
        assert secret.encode() not in content


def test_the_trail_knows_people_by_number_alone(place: str, club: Club) -> None:
    with Club.open(place, who="person ab") as opened:
        accounts = Accounts(opened)
        issued = accounts.add("Maud Ferrin", "player", ["A1"])
        token = accounts.sign_in("Maud Ferrin", issued.password)
        assert token is not None
        accounts.change_password(issued.person, issued.password, NEW)
        accounts.reset("Maud Ferrin")
        accounts.remove("Maud Ferrin")
        lines = opened.audit().tail(5)
    who = issued.person.who
    assert lines[["who", "action", "what"]].to_numpy().tolist() == [
        ["person ab", "added", who],
        [who, "signed in", "desk"],
        [who, "changed", "password"],
        ["person ab", "reset", who],
        ["person ab", "removed", who],
    ]
    assert "Maud" not in lines.to_csv()


def test_whoever_changes_rows_stands_beside_the_change(place: str, club: Club) -> None:
    row = {"golfer_id": "A1", "practised_on": "2026-05-01", "category": "irons", "minutes": "20"}
    with Club.open(place, who="person ab") as opened:
        number = opened.log("practice", row, today=TODAY).number
    club.undo(number)
    assert club.history()["who"].tolist()[-2:] == ["person ab", "command line"]


def test_erasing_a_golfer_takes_the_ways_to_him(club: Club, accounts: Accounts) -> None:
    player = accounts.add("Ottilie Fenwarth", "player", ["A1"])
    guardian = accounts.add("Ruth Fenwarth", "guardian", ["A1"])
    coach = accounts.add("Maud Ferrin", "coach", ["A1", "A2"])
    accounts.add("Una Quill", "player", ["A11"])
    token = accounts.sign_in("Ruth Fenwarth", guardian.password)
    receipt = club.erase("A1")
    assert receipt.removed["people"] == 3
    assert [person.name for person in accounts.people()] == ["Maud Ferrin", "Una Quill"]
    assert accounts.person("Maud Ferrin").golfers == ("A2",)
    assert not accounts.person("Maud Ferrin").every_golfer
    assert accounts.session(str(token)) is None
    assert accounts.sign_in("Ottilie Fenwarth", player.password) is None
    assert accounts.sign_in("Maud Ferrin", coach.password) is not None


def test_a_coach_whose_last_golfer_is_erased_reaches_nobody(club: Club, accounts: Accounts) -> None:
    accounts.add("Maud", "coach", ["A1"])
    club.erase("A1")
    person = accounts.person("Maud")
    assert (person.golfers, person.every_golfer) == ((), False)


@pytest.mark.club_file
def test_names_of_erased_people_stand_in_no_byte(path: Path) -> None:
    with Club.open(path) as club:
        Accounts(club).add("Ottilie Fenwarth", "player", ["A1"])
        Accounts(club).add("Ruthven Ambleside", "guardian", ["A1"])
        assert b"Ruthven Ambleside" in path.read_bytes()
        receipt = club.erase("A1")
    assert receipt.found == 0
    content = path.read_bytes()
    for name in (b"Ottilie", b"ottilie fenwarth", b"Ruthven", b"ruthven ambleside"):
        assert name not in content


def test_a_removed_person_stands_in_no_byte(path: Path) -> None:
    with Club.open(path) as club:
        Accounts(club).add("Ruthven Ambleside", "manager")
        Accounts(club).remove("Ruthven Ambleside")
    assert b"uthven" not in path.read_bytes()


def test_another_person_of_the_same_name_keeps_the_account_and_is_told(path: Path) -> None:
    with Club.open(path) as club:
        Accounts(club).add("Ottilie Fenwarth", "coach")
        receipt = club.erase("A1")
        assert receipt.mentions == {"people.name": 1, "people.sign_in": 1}
        assert Accounts(club).person("Ottilie Fenwarth").every_golfer


def test_hashes_are_never_taken_for_mentions(path: Path, write: Write) -> None:
    """An id that is a word of every stored hash; the hashes stay as they are."""
    with Club.open(path) as club:
        club.import_folder(write("more", golfers="golfer_id\nargon2id\n"), today=TODAY)
        issued = Accounts(club).add("Maud", "manager")
        receipt = club.erase("argon2id")
        assert receipt.scrubbed == {}
        assert Accounts(club).sign_in("Maud", issued.password) is not None


def test_an_export_of_one_golfer_says_who_may_see_him(path: Path, tmp_path: Path) -> None:
    with Club.open(path) as club:
        player = Accounts(club).add("Ottilie F", "player", ["A1"]).person
        guardian = Accounts(club).add("Ruth F", "guardian", ["A1"]).person
        Accounts(club).add("Maud Ferrin", "coach", ["A1"])
        club.export(tmp_path / "out", golfer="A1")
        club.export(tmp_path / "all")
    about = json.loads((tmp_path / "out" / "person.json").read_text())
    assert {one["person_id"]: (one["role"], one.get("name")) for one in about["accounts"]} == {
        player.person_id: ("player", "Ottilie F"),
        guardian.person_id: ("guardian", None),
    }
    whole = "".join(file.read_text() for file in (tmp_path / "all").glob("*.csv"))
    assert "Maud" not in whole


def test_an_import_taken_back_takes_accounts_of_its_golfers(club: Club, write: Write) -> None:
    """The same id may be another person next time."""
    number = club.import_folder(
        write("more", golfers="golfer_id\nB7\n"), today=TODAY, undoable=True
    ).import_no
    accounts = Accounts(club)
    accounts.add("Ruth", "guardian", ["B7"])
    accounts.add("Maud", "coach", ["A1", "B7"])
    club.undo(int(number or 0))
    assert [person.name for person in accounts.people()] == ["Maud"]
    club.import_folder(write("other", golfers="golfer_id\nB7\n"), today=TODAY)
    assert accounts.person("Maud").golfers == ("A1",)


@pytest.mark.club_file
def test_a_backup_holds_the_people(path: Path, tmp_path: Path) -> None:
    with Club.open(path) as club:
        issued = Accounts(club).add("Maud", "manager")
        club.backup(tmp_path / "copy.db")
    with Club.open(tmp_path / "copy.db") as copy:
        assert Accounts(copy).sign_in("Maud", issued.password) is not None


def test_the_trail_of_pages_is_bounded_and_changes_stay(club: Club) -> None:
    with club._writing() as connection:
        for _ in range(30):
            registers.saw(connection, "person ab", "golfer", ["A1"])
        assert registers.prune(connection, 12) == 18
        assert registers.prune(connection, 12) == 0
    lines = club.audit()
    assert lines["action"].tolist() == ["imported"] + ["saw"] * 12
    assert lines["audit_no"].tolist() == [1, *range(20, 32)]


def test_the_trail_is_pruned_as_it_grows(club: Club, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(registers, "MOST_SEEN", 20)
    monkeypatch.setattr(registers, "PRUNED_EVERY", 10)
    for _ in range(95):
        club.saw("golfer", ["A1"])
    assert 20 <= (club.audit()["action"] == "saw").sum() < 30


def test_a_database_of_the_layout_before_gets_the_people(postgres_url: str, folder: Path) -> None:
    with Club.open(postgres_url, create=True) as club:
        club.import_folder(folder, today=TODAY)
        before = club.data_fingerprint()
        with club._writing() as connection:
            for table in ("sessions", "people_golfers", "people"):
                connection.execute(sa.text(f"DROP TABLE {table}"))
            connection.execute(sa.text("ALTER TABLE imports DROP COLUMN who"))
            layout.set_fact(connection, "schema_version", "2")
    with Club.open(postgres_url) as club:
        assert club.data_fingerprint() == before
        assert club.history()["who"].tolist() == [""] * len(club.history())
        issued = Accounts(club).add("Maud", "player", ["A1"])
        assert Accounts(club).sign_in("Maud", issued.password) is not None


def test_an_older_file_gets_the_people(tmp_path: Path) -> None:
    import layout_two

    with Club.open(layout_two.make(tmp_path / "old.db")) as club:
        issued = Accounts(club).add("Maud", "guardian", ["V1"])
        assert Accounts(club).sign_in("Maud", issued.password) is not None
        assert club.audit("V1")["action"].tolist() == ["replaced"]
        assert club.golfer_of("0123456789abcdef") == "V1"
        assert club.copies()["path"].tolist() == ["/var/backups/larkmoor.db"]
    with closing(sqlite3.connect(tmp_path / "old.db")) as connection:
        kept = connection.execute("select source, who from imports").fetchall()
    assert kept == [(None, None)]
