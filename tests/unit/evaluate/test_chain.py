"""All clubs of a folder: fitted where rows are new, learning together, going on after a stop."""

from __future__ import annotations

import json
import shutil
from dataclasses import asdict
from datetime import date
from pathlib import Path

import numpy as np
import openpyxl
import pytest

from paryield.club import Club
from paryield.commands.documents import DOCUMENTS
from paryield.errors import InputError
from paryield.evaluate.chain import FITTED, SAME, TOGETHER, chain, club_files, others_of, sampled
from paryield.model.command import of_golfers
from paryield.posterior.current import stored_fit
from paryield.posterior.learnt import Learnt
from paryield.report.chain_page import board_page, chain_lines, write_board
from paryield.synth import ClubSpec, make_club, write_club


@pytest.fixture
def folder(fitted_club: Path, tmp_path: Path) -> Path:
    """Two clubs that were fitted already, and a file that is no club."""
    place = tmp_path / "clubs"
    place.mkdir()
    for name in ("north", "south"):
        shutil.copy(fitted_club, place / f"{name}.db")
    (place / "broken.db").write_bytes(b"no club" * 100)
    return place


def test_clubs_without_new_rows_are_left_and_a_broken_one_does_not_stop_the_others(
    folder: Path, tmp_path: Path
) -> None:
    found = chain(folder, tmp_path / "out")
    assert [(one.name, one.did) for one in found.clubs] == [
        ("broken", "failed"),
        ("north", SAME),
        ("south", SAME),
    ]
    assert "not a" in found.clubs[0].reason or "no club" in found.clubs[0].reason
    assert (found.rate, found.fitted) == (None, 0)
    north = found.clubs[1]
    with Club.open(folder / "north.db") as club:
        number, posterior = stored_fit(club)
    assert north.run == number
    middle = {one.category: one.q50 for one in north.gains}
    for place, name in enumerate(posterior.categories):
        if name != "phantom":
            assert middle[name] == pytest.approx(
                float(np.median(posterior.draws("gain")[:, place])), rel=1e-6
            )
    # A club of six passes nothing on.
    assert list((tmp_path / "out" / "learnt").iterdir()) == []


def test_new_rows_are_fitted_from_what_the_others_learnt_and_a_second_night_finds_nothing_to_do(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (folder / "broken.db").unlink()
    with Club.open(folder / "south.db") as club:
        club.log(
            "rounds",
            {"golfer_id": "G01", "played_on": "2026-07-04", "score_differential": "20.1"},
            today=date(2026, 7, 5),
        )
    out = tmp_path / "out"
    (out / "learnt").mkdir(parents=True)
    north = Learnt(("common", "irons"), np.array([0.3, 0.5]), 0.4 * np.eye(2), 30, 900.0)
    kept = out / "learnt" / "north.json"
    kept.write_text(north.to_text(), encoding="utf-8")
    small = {"chains": 2, "draws": 20, "tune": 40}
    monkeypatch.setattr("paryield.evaluate.chain.QUICK", small)
    monkeypatch.setattr("paryield.posterior.learnt.FEWEST_GOLFERS", 5)
    found = chain(folder, out, quick=True)
    did = {one.name: one for one in found.clubs}
    assert did["south"].did == FITTED
    assert did["south"].learnt_from == 1
    assert did["north"].did == TOGETHER  # it had started from nobody
    assert found.rate == pytest.approx(12 / found.seconds)
    assert "golfers a second and core" in chain_lines(found)[-2]
    again = chain(folder, out, quick=True)
    assert [one.did for one in again.clubs] == [SAME, SAME]
    assert [one.gains for one in again.clubs] == [did["north"].gains, did["south"].gains]


def test_the_board_gets_a_page_and_a_workbook(folder: Path, tmp_path: Path) -> None:
    found = chain(folder, tmp_path / "out")
    page, book = write_board(found, tmp_path / "out")
    text = page.read_text(encoding="utf-8")
    assert "north" in text
    assert "<script" not in text
    loaded = openpyxl.load_workbook(book)
    assert loaded.sheetnames == ["clubs", "gains", "programmes"]
    assert loaded["clubs"].max_row == 4
    assert text == board_page(found)
    document = asdict(found) | {"rate": found.rate, "files": []}
    assert list(document) == DOCUMENTS["chain"].fields()
    json.dumps(document)


def test_a_folder_without_clubs_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="holds no club file"):
        chain(tmp_path, tmp_path / "out")
    with pytest.raises(InputError, match="no such folder"):
        club_files(tmp_path / "nowhere")


def test_others_are_those_that_have_learnt_something(tmp_path: Path) -> None:
    files = [tmp_path / f"{name}.db" for name in "abc"]
    (tmp_path / "learnt").mkdir()
    for name in "ab":
        golfers = 20 + ord(name)
        learnt = Learnt(("common",), np.array([0.3]), 0.4 * np.eye(1), golfers, 900.0)
        (tmp_path / "learnt" / f"{name}.json").write_text(learnt.to_text(), encoding="utf-8")
    assert [one.golfers for one in others_of(files[0], files, tmp_path)] == [20 + ord("b")]
    assert len(others_of(files[2], files, tmp_path)) == 2
    (tmp_path / "learnt" / "a.json").write_text("{}", encoding="utf-8")
    with pytest.raises(InputError, match="no file of what a club has learnt"):
        others_of(files[2], files, tmp_path)


def test_a_sample_has_the_levels_and_diaries_of_its_club() -> None:
    tables = make_club(ClubSpec(golfers=60, weeks=20, seed=5)).tables
    quiet = set(tables.golfers["golfer_id"][::3])
    practice = tables.practice[~tables.practice["golfer_id"].isin(quiet)].reset_index(drop=True)
    club = of_golfers(tables, list(tables.golfers["golfer_id"]))
    club = type(club)(**{**dict(club.items()), "practice": practice}, settings=club.settings)
    chosen = sampled(club, 20)
    assert chosen is not None
    assert len(set(chosen)) == 20
    played = tables.rounds.groupby("golfer_id")["adjusted_gross_score"].mean().astype(float)
    assert played[chosen].mean() == pytest.approx(played.mean(), abs=0.35 * played.std())
    keeps = set(practice["golfer_id"])
    share = np.mean([golfer in keeps for golfer in chosen])
    assert share == pytest.approx(len(keeps) / len(played), abs=0.06)
    few = of_golfers(club, chosen)
    assert set(few.rounds["golfer_id"]) == set(chosen)
    assert len(few.calendar) == len(club.calendar)
    assert sampled(few, 20) is None


@pytest.mark.slow
def test_two_workers_find_what_one_finds(tmp_path: Path) -> None:
    """Two clubs of 20, fitted roughly and together: the same draws on one worker and on two."""
    found = []
    for workers in (1, 2):
        place = tmp_path / f"clubs{workers}"
        place.mkdir()
        for seed in (41, 42):
            made = make_club(ClubSpec(golfers=20, weeks=26, seed=seed))
            write_club(made, tmp_path / f"tables{workers}{seed}")
            with Club.open(place / f"c{seed}.db", create=True) as club:
                club.import_folder(tmp_path / f"tables{workers}{seed}", today=date(2026, 7, 5))
        done = chain(place, tmp_path / f"out{workers}", workers=workers, quick=True)
        found.append([(one.name, one.did, one.gains) for one in done.clubs])
    assert found[0] == found[1]
    assert [one[1] for one in found[0]] == [TOGETHER, TOGETHER]
