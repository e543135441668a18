"""Golfers by id and by name: one who is meant without doubt, and who is near where nobody is."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

from paryield.club import Club
from paryield.errors import InputError

NAMES = {"G01": "Ada Brook", "G02": "Ada Marsh", "G03": "Noel Brook", "g04": None, "Brook": "Ines Vale"}


@pytest.fixture
def named(tmp_path: Path) -> Club:
    folder = tmp_path / "tables"
    folder.mkdir()
    rows = pd.DataFrame({"golfer_id": list(NAMES), "display_name": list(NAMES.values())})
    rows.to_csv(folder / "golfers.csv", index=False)
    (folder / "rounds.csv").write_text(
        "golfer_id,played_on,score_differential\nG01,2026-05-02,14.1\n", encoding="utf-8"
    )
    club = Club.open(tmp_path / "named.db", create=True)
    club.import_folder(folder)
    return club


@pytest.mark.parametrize(
    ("given", "meant"),
    [
        ("G01", "G01"),
        ("g02", "G02"),
        ("ada brook", "G01"),
        ("  Ada   MARSH ", "G02"),
        ("noel", "G03"),
        ("Marsh", "G02"),
        ("Brook", "Brook"),
        ("G04", "g04"),
    ],
)
def test_an_id_or_a_name_that_one_golfer_has_is_understood(named, given, meant):
    assert named.golfer_called(given) == meant


def test_a_name_that_two_golfers_have_is_not_guessed(named):
    with pytest.raises(InputError, match="2 golfers answer to 'ada'") as refused:
        named.golfer_called("ada")
    assert refused.value.remedy == "say which: Ada Brook (G01), Ada Marsh (G02)"


@pytest.mark.parametrize(
    ("given", "remedy"),
    [
        ("Nol Brok", "the nearest is Noel Brook (G03)"),
        ("G09", "the nearest is "),
        ("?", "the club holds 5 golfers"),
    ],
)
def test_the_nearest_is_suggested(named, given, remedy):
    with pytest.raises(InputError, match="there is no golfer") as refused:
        named.golfer_called(given)
    assert refused.value.remedy.startswith(remedy)
