"""A season after one fit: everybody is answered every week, and as a new fit would answer.

Through the command line, on the demo club: 26 weeks of rounds, practice and tests of half the golfers, two
newcomers, two leavers, a goal set and reached, corrections and a change taken back.
"""

from __future__ import annotations

import csv
import json
from datetime import timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from paryield.cli import main
from paryield.club import Club
from paryield.forecast import forecast_tables
from paryield.forecast.current import current_fit, standing
from paryield.model.command import fit
from paryield.synth.demo import demo_spec, write_demo

WEEKS, COMPARED = 26, (13, 26)
SEED = 20270105
"""Of the rows of the season; written down before the first run."""
CLOSE_INDEX, MOST_APART = 0.2, 0.05
"""Medians of the index lie within so much of a new fit's for all but so many of the golfers."""
END = demo_spec().ends_on


def asked(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    """Ask the command line for its document; it must answer."""
    capsys.readouterr()
    code = main([*words, "--json"])
    out, err = capsys.readouterr()
    assert code == 0, (words, out[:300], err)
    return json.loads(out)


class Season:
    """The club from week to week."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.rng = folder, np.random.default_rng(SEED)
        write_demo(folder / "tables")
        self.club = folder / "club.db"
        with Club.open(self.club, create=True) as club:
            club.import_folder(folder / "tables", today=END + timedelta(weeks=WEEKS + 1))
            fit(club)
            rounds = club.tables().rounds
            scored = rounds.dropna(subset=["adjusted_gross_score", "course_rating", "slope_rating"])
            value = 113 / scored["slope_rating"] * (scored["adjusted_gross_score"] - scored["course_rating"])
            level = value.astype(float).groupby(scored["golfer_id"]).median()
            self.levels = {str(golfer): float(value) for golfer, value in level.items()}
        self.members = sorted(self.levels)

    def rows(self, week: int) -> dict[str, list[dict[str, Any]]]:
        """Rows of one week by table: half the golfers play, practise and, now and then, are tested."""
        monday = END + timedelta(days=1 + 7 * (week - 1))
        found: dict[str, list[dict[str, Any]]] = {"rounds": [], "practice": [], "assessments": []}
        active = self.rng.permutation(self.members)[: len(self.members) // 2]
        for golfer in active.tolist():
            day = (monday + timedelta(days=int(self.rng.integers(0, 7)))).isoformat()
            score = round(self.levels[golfer] + 3.2 * float(self.rng.normal()), 1)
            found["rounds"].append({"golfer_id": golfer, "played_on": day, "score_differential": score})
            category = str(self.rng.choice(["chipping", "irons", "short_putting", "driver"]))
            minutes = int(self.rng.integers(20, 90))
            found["practice"].append(
                {"golfer_id": golfer, "practised_on": day, "category": category, "minutes": minutes}
            )
            if self.rng.random() < 0.1:
                made = int(self.rng.binomial(20, 0.5))
                test = {"golfer_id": golfer, "assessed_on": day, "test": "putting ladder", "distance_ft": 6}
                found["assessments"].append({**test, "tried": 20, "made": made})
        return found

    def bring_in(self, name: str, tables: dict[str, list[dict[str, Any]]], *options: str) -> None:
        """Import rows as a folder of files."""
        place = self.folder / name
        place.mkdir()
        for table, rows in tables.items():
            if rows:
                with (place / f"{table}.csv").open("w", newline="", encoding="utf-8") as file:
                    writer = csv.DictWriter(file, list(rows[0]))
                    writer.writeheader()
                    writer.writerows(rows)
        with Club.open(self.club) as club:
            today = END + timedelta(weeks=WEEKS + 1)
            club.import_folder(place, replace="--replace" in options, today=today)


@pytest.mark.slow
def test_a_season_is_answered_from_one_fit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    season = Season(tmp_path)
    club = str(season.club)
    for week in range(1, WEEKS + 1):
        season.bring_in(f"week{week}", season.rows(week))
        if week == 2:
            people = [{"golfer_id": "N1", "start_index": 14.2}, {"golfer_id": "N2", "start_index": ""}]
            season.bring_in("new", {"golfers": people})
            season.levels |= {"N1": 17.0, "N2": 24.0}
            season.members = sorted(season.levels)
        if week == 5:
            gone = season.members[:2]
            day = (END + timedelta(weeks=week)).isoformat()
            people = [{"golfer_id": golfer, "left_on": day} for golfer in gone]
            season.bring_in("left", {"golfers": people})
            season.members = [golfer for golfer in season.members if golfer not in gone]
        if week == 8:
            corrects_and_takes_back(season, capsys)
        told = asked(capsys, "forecast", club, "--weeks", "4")
        with Club.open(season.club) as opened:
            people = opened.tables().golfers
            everybody = set(people["golfer_id"])
            # The demo has one who has left already.
            left = set(people.loc[people["left_on"] <= told[0]["as_of"], "golfer_id"])
            assert len(opened.runs()) == 1
        means = [one for one in told if one["quantity"] == "mean_differential"]
        assert {one["golfer_id"] for one in means if one["reportable"]} == everybody
        advised = asked(capsys, "plan", club)
        assert {one["golfer_id"] for one in advised} == everybody - left
        if week in COMPARED:
            compare(season, tmp_path / f"again{week}.db")


def corrects_and_takes_back(season: Season, capsys: pytest.CaptureFixture[str]) -> None:
    """A row logged and taken back leaves every answer as it was."""
    golfer, day = season.members[0], (END + timedelta(weeks=8)).isoformat()
    before = asked(capsys, "forecast", str(season.club), "--golfer", golfer)
    cells = {"golfer_id": golfer, "played_on": day, "score_differential": "33.0"}
    with Club.open(season.club) as club:
        cells["round_no"] = "9"
        logged = club.log("rounds", cells, today=END + timedelta(weeks=30))
    assert asked(capsys, "forecast", str(season.club), "--golfer", golfer) != before
    with Club.open(season.club) as club:
        club.undo(logged.number)
    assert asked(capsys, "forecast", str(season.club), "--golfer", golfer) == before


def compare(season: Season, copy: Path) -> None:
    """Medians of the index 12 weeks on against those of a new fit of the same rows."""
    copy.write_bytes(season.club.read_bytes())
    with Club.open(season.club) as club:
        number, live = current_fit(club)
        tables = club.tables()
        now = standing(number, live, look=True)
        mine = medians(forecast_tables(live, tables, weeks=(12,)).records)
    with Club.open(copy) as club:
        fit(club)
        _, fresh = current_fit(club)
        other = medians(forecast_tables(fresh, tables, weeks=(12,)).records)
    apart = {golfer: mine[golfer] - other[golfer] for golfer in mine.keys() & other.keys()}
    far = {golfer: gap for golfer, gap in apart.items() if round(abs(gap), 1) > CLOSE_INDEX}
    share = len(far) / len(apart)
    print(f"{now.weeks:.0f} weeks: {share:.2f} of {len(apart)} further than {CLOSE_INDEX}; largest "
          f"{max(map(abs, apart.values())):.2f}; far {far}; {now.to_dict()}")  # fmt: skip
    assert share <= MOST_APART or now.due or set(far) <= set(now.strained or ())


def medians(records: list[dict[str, Any]]) -> dict[str, float]:
    return {
        one["golfer_id"]: one["q50"]
        for one in records
        if one["quantity"] == "handicap_index" and one["reportable"]
    }
