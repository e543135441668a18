"""A season laid out on a fitted club: inside limits, phases and places; on record, followed and answered."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.cli import main
from paryield.club import Club
from paryield.errors import InputError
from paryield.forecast.current import current_fit
from paryield.plan.season.emphases import Block, emphasised, make_blocks, usable_weeks
from paryield.plan.season.layout import EPOCH, Season, season_fit, season_records
from paryield.plan.season.lot import Entrant, draw_lot
from paryield.plan.season.record import Running, progress, read
from paryield.plan.season.result import next_block, season_result
from paryield.posterior import Posterior
from paryield.tables import Tables, make_tables

START = date(2026, 7, 13)


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return current_fit(club)[1], club.tables()


@pytest.fixture(scope="module")
def season(fitted: tuple[Posterior, Tables]) -> Season:
    found = season_fit(*fitted)
    assert found is not None
    return found


@pytest.fixture(scope="module")
def started(fitted_club: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the club with a season on record."""
    path = tmp_path_factory.mktemp("season") / "club.db"
    path.write_bytes(fitted_club.read_bytes())
    assert main(["block", str(path), "--start", START.isoformat(), "--seed", "7", "--anyway"]) == 0
    return path


def test_every_member_gets_every_emphasis_and_keeps_the_others_alive(season: Season) -> None:
    for place, member in enumerate(season.members):
        assert sorted(season.lot.words(place)) == sorted(season.emphases)
        laid, week = season.laid[place], member.week
        for block, name in zip(season.blocks, season.lot.words(place), strict=True):
            at = laid.starts.index(block.starts_on)
            hours = dict(zip(week.names, laid.hours[at], strict=True))
            assert hours[name] == pytest.approx(0.7 * week.free_hours)
            assert laid.hours[at].sum() == pytest.approx(laid.before[at].sum())
            others = [n for n, h in zip(week.names, week.hours, strict=True) if n != name and h > 0]
            assert all(hours[other] > 0 for other in others)
            assert hours["strength"] == pytest.approx(
                dict(zip(week.names, week.hours, strict=True))["strength"]
            )


def test_promises_rise_with_tests_and_the_errors_of_what_is_no_emphasis_are_large(season: Season) -> None:
    record = season_records(season)[0]
    told = [one["information"] for one in record["tests"]]
    assert told == sorted(told)
    # Of six golfers scores alone may tell nothing that shows in hundredths of a bit; tests do.
    assert record["information_present"] <= told[0]
    assert record["information_present"] < told[-1]
    errors = record["tests"][-1]["error"]
    assert errors["strength"] > max(errors[name] for name in season.emphases)
    smallest = {(one["seasons"], one["tests_every"]): one["members"] for one in record["enough"]}
    assert all(count % len(season.members) == 0 for count in smallest.values())
    if (1, 1) in smallest and (2, 1) in smallest:
        assert smallest[2, 1] <= smallest[1, 1]


def test_a_limit_a_ceiling_and_the_place_hold_in_every_week(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    golfer, as_of = posterior.golfers[0], pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    limit = {"golfer_id": golfer, "category": "irons", "starts_on": as_of, "most_minutes_per_week": 6.0}
    frames = dict(tables.items()) | {"limits": pd.DataFrame([limit | {"ends_on": None}])}
    limited = make_tables(frames, settings=replace(tables.settings, bay_minutes_per_week=180.0))
    found = season_fit(posterior, limited)
    assert found is not None
    place = next(n for n, one in enumerate(found.members) if one.golfer_id == golfer)
    names = found.members[place].week.names
    assert "irons" not in found.lot.words(place)
    assert (found.laid[place].hours[:, names.index("irons")] <= 0.1 + 1e-9).all()
    bays = [names.index(name) for name in ("irons", "driver")]
    for block in found.blocks:
        at = found.laid[0].starts.index(block.starts_on)
        assert sum(one.hours[at, bays].sum() for one in found.laid) <= 3.0 + 1e-9
    assert any("of the bays" in note for note in found.notes)


def test_a_break_and_a_competitive_month_are_no_block(fitted: tuple[Posterior, Tables]) -> None:
    tables = fitted[1]
    rows = [
        {"starts_on": "2026-08-03", "ends_on": "2026-08-16", "phase": "break", "competition_on": None},
        {
            "starts_on": "2026-09-01",
            "ends_on": "2026-09-14",
            "phase": "in_season",
            "competition_on": "2026-09-05",
        },
        {
            "starts_on": "2026-09-15",
            "ends_on": "2026-09-30",
            "phase": "in_season",
            "competition_on": "2026-09-19",
        },
    ]
    calendar = pd.DataFrame(rows).assign(golfer_id=None)
    for name in ("starts_on", "ends_on", "competition_on"):
        calendar[name] = pd.to_datetime(calendar[name])
    busy = make_tables(dict(tables.items()) | {"calendar": calendar})
    weeks = usable_weeks(busy, date(2026, 7, 6), 20)
    assert date(2026, 7, 27) in weeks
    assert not {date(2026, 8, 3), date(2026, 8, 10)} & set(weeks)
    assert not [day for day in weeks if (day.year, day.month) == (2026, 9)]
    block = make_blocks(weeks, 10)[0]
    assert (block.ends_on - block.starts_on).days + 1 > 70


def test_hours_that_a_ceiling_turns_away_go_to_the_others(season: Season) -> None:
    week = season.members[0].week
    name = season.emphases[0]
    most = np.where(np.array(week.names) == name, 0.25 * week.free_hours, np.inf)
    hours = emphasised(week, name, 0.7, most)
    assert hours[week.names.index(name)] == pytest.approx(0.25 * week.free_hours)
    assert hours.sum() == pytest.approx(week.hours.sum())


def test_a_season_goes_on_record_with_its_seed_and_comes_back_as_drawn(
    started: Path, fitted: tuple[Posterior, Tables]
) -> None:
    with Club.open(started) as club:
        running, tables = read(club.design()), club.tables()
    entrants = [one.entrant for one in running.members]
    again = draw_lot(entrants, running.seed)
    assert running.seed == 7
    np.testing.assert_array_equal(again.orders, running.lot().orders)
    plans = tables.plans[tables.plans["plan"] == running.plan]
    one = running.members[0]
    own = plans[(plans["golfer_id"] == one.entrant.golfer_id) & (plans["category"] == one.order[0])]
    first = own[own["starts_on"] == pd.Timestamp(START)]
    assert first["minutes_per_week"].iloc[0] == pytest.approx(60 * 0.7 * one.entrant.hours, abs=0.1)
    assert running.starts_on == START
    assert len(running.members) == len(fitted[0].golfers)


def test_a_season_cannot_start_twice_or_in_the_past(
    started: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["block", str(started), "--seed", "7", "--anyway", "--start"]
    assert main([*words, START.isoformat()]) == 2
    assert "already holds plans" in capsys.readouterr().err
    assert main([*words, "2026-06-01"]) == 2
    assert "the records end on" in capsys.readouterr().err
    assert main(["block", str(started), "--result", "--anyway"]) == 2
    assert "before the season starts" in capsys.readouterr().err


def test_the_terminal_and_the_sheets_say_who_is_on_what(
    started: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["block", str(started), "--progress", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)
    assert {row["test_due"] for row in rows} == {False}  # the season has not begun
    assert main(["block", str(started), "--anyway"]) == 0
    said = capsys.readouterr().out
    assert "only its order is by lot" in said
    assert "Half of what is open would be told by" in said
    assert main(["block", str(started), "--sheets", str(tmp_path / "sheets")]) == 0
    with Club.open(started) as club:
        running = read(club.design())
    pages = sorted((tmp_path / "sheets").glob("season-*.html"))
    assert len(pages) == len(running.members)
    text = pages[0].read_text(encoding="utf-8")
    assert running.members[0].order[0].replace("_", " ") in text
    assert all(one.entrant.golfer_id not in text for one in running.members[1:])
    assert "<script" not in text


def shifted(running: Running, days: int) -> Running:
    """The season moved in time, so that the records hold it."""
    by = timedelta(days=days)
    return replace(
        running, blocks=tuple(Block(tuple(day + by for day in one.weeks)) for one in running.blocks)
    )


def test_progress_counts_hours_and_who_is_due(started: Path) -> None:
    with Club.open(started) as club:
        running, tables = read(club.design()), club.tables()
    golfer = running.members[0].entrant.golfer_id
    name = running.members[0].order[0]
    practice = {"golfer_id": golfer, "practised_on": pd.Timestamp(START), "entry_no": 1, "minutes": 60.0}
    frames = dict(tables.items())
    frames["practice"] = pd.DataFrame([practice | {"category": name}])
    frames["assessments"] = pd.DataFrame(
        [
            {
                "golfer_id": golfer,
                "assessed_on": pd.Timestamp(START),
                "test": "putting ladder",
                "tried": 40,
                "made": 20,
            }
        ]
    )
    today = START + timedelta(days=6)
    found = {one.golfer_id: one for one in progress(make_tables(frames), running, today)}
    own = found[golfer]
    planned = sum(running.members[0].hours(name).values())
    assert own.planned == pytest.approx(planned, abs=0.02)
    assert own.share == pytest.approx(1.0 / planned, rel=0.02)
    assert own.on_emphasis == 1.0
    assert (own.block, own.emphasis, own.test_due) == (1, name, False)
    assert all(one.test_due for who, one in found.items() if who != golfer)


def test_a_result_shows_the_lot_the_model_and_the_regression_and_names_what_ends(
    started: Path, fitted: tuple[Posterior, Tables]
) -> None:
    with Club.open(started) as club:
        running, tables, posterior = read(club.design()), club.tables(), fitted[0]
    weeks = sum(len(one.weeks) for one in running.blocks)
    short = replace(
        running,
        blocks=make_blocks([START + timedelta(days=7 * n) for n in range(25)], 5)[: len(running.blocks)],
    )
    past = shifted(short, (EPOCH + timedelta(days=posterior.as_of) - short.ends_on).days)
    events = [
        {"golfer_id": one.entrant.golfer_id, "happened_on": pd.Timestamp(past.starts_on)}
        for one in past.members
    ]
    noted = [row | {"kind": kind} for row in events[:3] for kind in ("lesson", "injury")]
    frames = dict(tables.items()) | {"events": pd.DataFrame(noted)}
    result = season_result(posterior, make_tables(frames), past, orders=49)
    assert weeks >= 40
    assert result.over
    assert result.lot is not None
    assert 0.0 < result.lot.chance <= 1.0
    assert [(one.name, one.members) for one in result.events] == [("lesson", 3)]
    assert abs(sum(one.plain.gain for one in result.gains if one.plain)) < 1e-6
    assert all(one.ends == (one.chance_best < 0.05) for one in result.gains)
    assert set(result.following.values()) <= {one.name for one in result.gains if not one.ends}
    assert len(result.cost) > 1


def test_the_next_block_goes_by_the_chance_to_be_best() -> None:
    members = [Entrant(f"G{n:02d}", float(n), 3.0, ("a", "b", "c")) for n in range(20)]
    found = next_block(members, {"a": 0.6, "b": 0.3, "c": 0.1}, 3)
    assert [list(found.values()).count(name) for name in "abc"] == [12, 6, 2]
    assert found == next_block(members, {"a": 0.6, "b": 0.3, "c": 0.1}, 3)
    assert next_block(members, {"a": 0.9}, 3) == {}


@pytest.mark.club_file
def test_who_is_erased_leaves_the_season_and_the_others_stay(started: Path, tmp_path: Path) -> None:
    path = tmp_path / "club.db"
    path.write_bytes(started.read_bytes())
    with Club.open(path) as club:
        before = read(club.design())
        gone = before.members[2].entrant.golfer_id
        club.export(tmp_path / "person", golfer=gone)
        about: dict[str, Any] = json.loads((tmp_path / "person" / "person.json").read_text(encoding="utf-8"))
        assert about["seasons"][0]["order"] == list(before.members[2].order)
        receipt = club.erase(gone)
        after = read(club.design())
    assert receipt.removed["design_members"] == 1
    assert receipt.found == 0
    assert [one for one in before.members if one.entrant.golfer_id != gone] == list(after.members)
    assert after.lot().orders.shape[0] == len(before.members) - 1
    with closing(sqlite3.connect(path)) as connection:
        facts = connection.execute("select facts from designs").fetchone()[0]
    assert gone not in facts


def test_a_club_without_a_season_says_so(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club, pytest.raises(InputError, match="no season is on record"):
        club.design()


def test_a_season_taken_back_leaves_no_drawing(started: Path, tmp_path: Path) -> None:
    copy = tmp_path / "club.db"
    copy.write_bytes(started.read_bytes())
    with Club.open(copy) as club:
        assert club.design().number == 1
        club.undo(int(club.history()["import_no"].max()))
        with pytest.raises(InputError, match="no season is on record"):
            club.design()
    assert main(["block", str(copy), "--start", START.isoformat(), "--seed", "7", "--anyway"]) == 0
