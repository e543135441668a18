"""Frames and views of another database come in by the rules of a folder."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pandas as pd
import pytest
import sqlalchemy as sa

from paryield.cli import main
from paryield.club import Club, ImportRefused
from paryield.errors import InputError

TODAY = date(2026, 7, 5)
GOLFERS = pd.DataFrame({"golfer_id": ["A", "B"], "start_index": [-1.2, 18.0], "diary_complete": [True, None]})
ROUNDS = pd.DataFrame(
    {
        "golfer_id": ["A", "B"],
        "played_on": pd.to_datetime(["2026-05-01", "2026-05-02"]),
        "score_differential": [0.4, 20.5],
        "putts": [30.0, None],
    }
)


def test_frames_are_stored_and_again_change_nothing(tmp_path: Path) -> None:
    with Club.open(tmp_path / "club.db", create=True) as club:
        receipt = club.import_tables({"golfers": GOLFERS, "rounds": ROUNDS}, today=TODAY)
        assert receipt.added["rounds"] == 2
        assert not club.import_tables({"golfers": GOLFERS, "rounds": ROUNDS}, today=TODAY).changed
        tables = club.tables()
    assert tables.golfers["start_index"].tolist() == [-1.2, 18.0]
    assert tables.golfers["diary_complete"].tolist()[0] is True
    assert tables.rounds["putts"].isna().tolist() == [False, True]
    assert tables.rounds["played_on"].dt.day.tolist() == [1, 2]


def test_a_bad_cell_of_a_frame_is_named_and_nothing_is_stored(tmp_path: Path) -> None:
    bad = ROUNDS.assign(score_differential=[0.4, 300.0])
    with Club.open(tmp_path / "club.db", create=True) as club:
        with pytest.raises(ImportRefused) as refused:
            club.import_tables({"golfers": GOLFERS, "rounds": bad}, today=TODAY)
        (problem,) = refused.value.problems
        assert (problem.file, problem.row, problem.column, problem.found) == (
            "frame rounds",
            3,
            "score_differential",
            "300",
        )
        with pytest.raises(InputError, match="no table is called 'round'"):
            club.import_tables({"round": ROUNDS}, today=TODAY)
        assert club.tables().golfers.empty


def test_views_of_another_database_are_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    url = f"sqlite:///{tmp_path / 'office.db'}"
    engine = sa.create_engine(url)
    with engine.begin() as connection:
        GOLFERS.to_sql("people", connection, index=False)
        ROUNDS.assign(played_on=ROUNDS["played_on"].dt.date.astype(str)).to_sql(
            "cards", connection, index=False
        )
        connection.execute(sa.text("create view golfers as select golfer_id, start_index from people"))
        connection.execute(sa.text('create view "Rounds" as select * from cards'))
    engine.dispose()
    assert main(["import", str(tmp_path / "club.db"), url]) == 0
    with Club.open(tmp_path / "club.db") as club:
        assert len(club.tables().rounds) == 2
    empty = f"sqlite:///{tmp_path / 'empty.db'}"
    assert main(["import", str(tmp_path / "club.db"), empty]) == 2
    assert main(["import", str(tmp_path / "club.db"), "nonsense://host/x"]) == 2
    assert "Traceback" not in capsys.readouterr().err
