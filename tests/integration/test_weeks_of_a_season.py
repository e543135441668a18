"""A season on one fit: by log, by file and by the desk's forms; everybody is answered every week.

Half a year of rounds, practice and tests of half the golfers, two newcomers, two leavers, goals, a
correction and a change taken back; eight weeks by default, in which all of these come up. The long
comparison with new fits is ``tests/recovery/test_a_season.py``.
"""

from __future__ import annotations

import csv
import json
import re
import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient

import paryield.tables.load
from paryield.cli import main
from paryield.club import Club
from paryield.desk import make_app
from paryield.report.glance import Glance
from paryield.synth.demo import demo_spec, write_demo

pytestmark = pytest.mark.club_file
FEW, WEEKS, SEED = 8, 26, 20270112
"""Seed of the rows of the season; written down before the first run."""
ASKED = (2, 8, 26)
"""Weeks in which the command line is asked the same as the desk."""


class Visitor:
    """The desk without a browser: pages, and forms sent with the token of their page."""

    def __init__(self, where: Path) -> None:
        self.app = make_app(str(where), anyway=True, warm=False)
        self.client = TestClient(self.app, base_url="http://127.0.0.1")

    @cached_property
    def token(self) -> str:
        found = re.search(r'name="token" value="([0-9a-f]{64})"', self.client.get("/log").text)
        assert found is not None
        return found.group(1)

    @property
    def desk(self) -> Any:
        return self.app.state.desk

    def sent(self, path: str, golfer: str, **cells: str) -> str:
        """Send a form about a golfer; return the page that answers."""
        given = {"token": self.token, "golfer": self.desk.snapshot().ids.get(golfer, ""), **cells}
        answer = self.client.post(path, data=given)
        free = re.search(r'name="another" value="(\d+)"', answer.text)
        if free is not None:  # another round of that day, not a correction
            answer = self.client.post(path, data={**given, "another": free.group(1)})
        assert answer.status_code == 200, (path, cells, answer.text[:2000])
        return str(answer.text)

    def line(self, golfer: str) -> Glance:
        """One golfer as the list of the club has him."""
        return self.desk.glance(self.desk.snapshot(), golfer)  # type: ignore[no-any-return]

    def listed(self) -> dict[str, Glance]:
        """Everybody as the list of the club has him."""
        snapshot = self.desk.snapshot()
        return {golfer: self.desk.glance(snapshot, golfer) for golfer in snapshot.fitted}


class Season:
    """A club from week to week, its rows by three ways in turn."""

    def __init__(self, club: Path, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.path, self.folder, self.capsys = club, folder, capsys
        self.weeks = WEEKS
        self.rng, self.visitor = np.random.default_rng(SEED), Visitor(club)
        self.end: date = self.visitor.desk.snapshot().today()
        self.members = sorted(self.visitor.desk.snapshot().fitted)
        seen = self.visitor.listed()
        ahead = {golfer: one.ahead("mean_differential") for golfer, one in seen.items()}
        self.levels = {golfer: float(row["q50"]) for golfer, row in ahead.items() if row is not None}

    def on(self, week: int, day: int = 0) -> str:
        return (self.end + timedelta(days=1 + 7 * (week - 1) + day)).isoformat()

    def told(self, *words: str) -> Any:
        """Ask the command line; it must answer."""
        self.capsys.readouterr()
        code = main([*words, "--anyway", "--json"])
        out, err = self.capsys.readouterr()
        assert code == 0, (words, out[:500], err)
        return json.loads(out)

    def brought(self, name: str, table: str, rows: list[dict[str, Any]], *options: str) -> None:
        """Import rows as a file, by the command."""
        place = self.folder / name
        place.mkdir(exist_ok=True)
        with (place / f"{table}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
        assert main(["import", str(self.path), str(place), *options]) == 0
        self.capsys.readouterr()

    def played(self, week: int) -> None:
        """Half the golfers play, practise and, now and then, are tested."""
        rows: dict[str, list[dict[str, Any]]] = {"rounds": [], "practice": [], "assessments": []}
        for golfer in self.rng.permutation(self.members)[: len(self.members) // 2].tolist():
            day = self.on(week, int(self.rng.integers(0, 7)))
            score = f"{self.levels[golfer] + 3.2 * float(self.rng.normal()):.1f}"
            rows["rounds"].append({"golfer_id": golfer, "played_on": day, "score_differential": score})
            category = str(self.rng.choice(["chipping", "irons", "short_putting", "driver"]))
            done = {"category": category, "minutes": str(int(self.rng.integers(20, 90)))}
            rows["practice"].append({"golfer_id": golfer, "practised_on": day, **done})
            if self.rng.random() < 0.2:
                test = {"test": "putting ladder", "distance_ft": "6", "tried": "20"}
                made = str(int(self.rng.binomial(20, 0.5)))
                rows["assessments"].append({"golfer_id": golfer, "assessed_on": day, **test, "made": made})
        for table, found in rows.items():
            if found:
                (self.by_log, self.by_file, self.by_form)[week % 3](week, table, found)

    def by_log(self, week: int, table: str, rows: list[dict[str, Any]]) -> None:
        with Club.open(self.path) as club:
            for row in rows:
                club.log(table, row)

    def by_file(self, week: int, table: str, rows: list[dict[str, Any]]) -> None:
        self.brought(f"week{week}-{table}", table, rows)

    def by_form(self, week: int, table: str, rows: list[dict[str, Any]]) -> None:
        kind, day = {
            "rounds": ("round", "played_on"),
            "practice": ("practice", "practised_on"),
            "assessments": ("assessment", "assessed_on"),
        }[table]
        self.by_log(week, table, rows[1:])
        for row in rows[:1]:
            cells = {name: value for name, value in row.items() if name not in ("golfer_id", day)}
            assert "Stored:" in self.visitor.sent(f"/log/{kind}", row["golfer_id"], day=row[day], **cells)

    def answered(self, week: int) -> dict[str, Glance]:
        """Everybody is answered, from the one fit, and no leaver is advised."""
        seen = self.visitor.listed()
        with Club.open(self.path) as club:
            people = club.tables().golfers
            assert len(club.runs()) == 1
        assert seen.keys() == set(people["golfer_id"])
        for golfer, one in seen.items():
            row = one.ahead("mean_differential")
            assert row is not None
            assert row["reportable"]
            assert 0.0 < row["q90"] - row["q10"] < 40.0
            assert (one.plan is None) == (one.left is not None), golfer
        if week in ASKED:
            said = self.told("forecast", str(self.path), "--weeks", "12")
            for row in said:
                mine = seen[row["golfer_id"]].ahead(row["quantity"])
                assert mine is not None
                assert (mine["q50"], mine["reportable"]) == (row["q50"], row["reportable"])
            weeks = {row["golfer_id"]: row["verdict"] for row in self.told("plan", str(self.path))}
            assert weeks == {golfer: one.plan["verdict"] for golfer, one in seen.items() if one.plan}
        return seen


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> None:
    """The computer's day lies behind the season."""

    class Later(date):
        @classmethod
        def today(cls) -> date:
            return date(2027, 12, 31)

    monkeypatch.setattr(paryield.tables.load, "date", Later)


@pytest.fixture(
    params=[
        ("six golfers", FEW),
        pytest.param(("six golfers", WEEKS), marks=pytest.mark.slow),
        pytest.param(("the demo", WEEKS), marks=pytest.mark.slow),
    ],
    ids=lambda case: f"{case[0]}, {case[1]} weeks",
)
def season(
    request: pytest.FixtureRequest, tmp_path: Path, capsys: pytest.CaptureFixture[str], later: None
) -> Iterator[Season]:
    path = tmp_path / "club.db"
    whose, weeks = request.param
    if whose == "the demo":
        from paryield.model.command import fit

        write_demo(tmp_path / "tables")
        with Club.open(path, create=True) as club:
            club.import_folder(tmp_path / "tables", today=demo_spec().ends_on)
            fit(club)
    else:
        shutil.copy(request.getfixturevalue("fitted_club"), path)
    found = Season(path, tmp_path, capsys)
    found.weeks = weeks
    yield found
    found.visitor.desk.close()


def test_a_season_by_log_file_and_form(season: Season) -> None:
    first = season.members[2]
    for week in range(1, season.weeks + 1):
        season.played(week)
        if week == 2:
            newcomers(season, week)
        if week == 4:
            gone = season.members[:2]
            rows = [{"golfer_id": golfer, "left_on": season.on(week)} for golfer in gone]
            season.brought("left", "golfers", rows, "--replace")
            season.members = [golfer for golfer in season.members if golfer not in gone]
        if week == 6:
            corrected(season, week, first)
        if week == 7:
            goal_reached(season, week, first)
        seen = season.answered(week)
    assert seen[first].goal is not None
    page = season.visitor.client.get("/golfers/").text
    assert page.count('<th scope="row">') >= len(seen)
    cold = Visitor(season.path)
    assert {golfer: one.forecast for golfer, one in cold.listed().items()} == {
        golfer: one.forecast for golfer, one in seen.items()
    }
    cold.desk.close()


def newcomers(season: Season, week: int) -> None:
    """One with an index of his association and tests of this morning, one of whom nothing is known."""
    rows = [
        {"golfer_id": "N1", "display_name": "Perpetua Quill", "start_index": "14.2"},
        {"golfer_id": "N2", "display_name": "Osric Tarn", "start_index": ""},
    ]
    season.brought("new", "golfers", rows)
    for feet, made in (("3", "17"), ("6", "11")):
        cells = {"test": "putting ladder", "distance_ft": feet, "tried": "20", "made": made}
        season.visitor.sent("/log/assessment", "N1", day=season.on(week), **cells)
    known, unknown = (season.visitor.line(one).ahead("mean_differential") for one in ("N1", "N2"))
    assert known is not None
    assert unknown is not None
    assert known["q90"] - known["q10"] < unknown["q90"] - unknown["q10"]
    for golfer in ("N1", "N2"):
        page = season.visitor.client.get(f"/golfers/{season.visitor.desk.snapshot().page_of(golfer)}")
        assert page.status_code == 200
        assert "fit the club" not in page.text
    season.levels |= {"N1": 17.0, "N2": 24.0}
    season.members = sorted(season.levels)


def corrected(season: Season, week: int, golfer: str) -> None:
    """A round logged with a slip is corrected by file, then both are taken back: all is as it was."""
    before = season.visitor.line(golfer).forecast
    row = {"golfer_id": golfer, "played_on": season.on(week), "round_no": "7", "score_differential": "42.0"}
    with Club.open(season.path) as club:
        logged = club.log("rounds", row).number
    slipped = season.visitor.line(golfer).forecast
    assert slipped != before
    season.brought("corrected", "rounds", [{**row, "score_differential": "12.0"}], "--replace")
    assert season.visitor.line(golfer).forecast["mean_differential"] != slipped["mean_differential"]
    page = season.visitor.sent(f"/log/undo/{logged + 1}", golfer)
    assert "score differential 42.0" in page.split("Taken back:")[1][:400]
    assert season.visitor.line(golfer).forecast == slipped
    assert "It is no longer on record." in season.visitor.sent(f"/log/undo/{logged}", golfer)
    assert season.visitor.line(golfer).forecast == before


def goal_reached(season: Season, week: int, golfer: str) -> None:
    """A goal below today's index is reached by good rounds, and said to be, by desk and command."""
    now = season.visitor.line(golfer).index_now
    assert now is not None
    by = (season.end + timedelta(weeks=WEEKS + 20)).isoformat()
    aim = f"{max(now - 0.4, -5.0):.1f}"
    season.brought("goal", "golfers", [{"golfer_id": golfer, "goal_index": aim, "goal_on": by}], "--replace")
    goal = season.visitor.line(golfer).goal
    assert goal is not None
    assert not goal.reached
    for day in range(6):
        cells = {"day": season.on(week, day), "score_differential": f"{now - 5.0 + day / 10:.1f}"}
        season.visitor.sent("/log/round", golfer, **cells)
    goal = season.visitor.line(golfer).goal
    assert goal is not None
    assert goal.reached
    said = season.told("goals", str(season.path), "--golfer", golfer)
    assert [one["reached"] for one in said if one.get("goal") is not None] == [True]
