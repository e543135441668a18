"""Every default fit of an ordinary club ends sound without help; see the list in ``sound_fits.py``."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from sound_fits import CLUBS, KEPT, asked, done, run


def check(found: pd.DataFrame) -> None:
    """All sound; none takes more than three times the median of its size, which is golfers and weeks."""
    size = ["golfers", "weeks"]
    print(found.groupby(size)["seconds"].describe(percentiles=[0.5]).round(0).to_string())
    print(found["stretches"].value_counts().to_string())
    assert found.loc[~found["ok"], "why"].tolist() == []
    within = found["seconds"] / found.groupby(size)["seconds"].transform("median")
    assert within.max() <= 3.0


def test_the_list_is_what_it_says():
    clubs = asked()
    assert len({club.seed for club in clubs}) == len(clubs) == CLUBS
    assert {club.kept for club in clubs} == set(KEPT)
    assert len({(club.case, club.golfers) for club in clubs}) >= 40


@pytest.mark.slow
def test_all_clubs(tmp_path: Path):
    """Hours. ``python tests/recovery/sound_fits.py FILE`` does the same, and can be stopped and taken up."""
    run(tmp_path / "fits.csv")
    found = done(tmp_path / "fits.csv")
    assert len(found) == CLUBS
    check(found)
