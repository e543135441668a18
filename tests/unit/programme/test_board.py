"""One recommendation for the board; places by lot: fair, balanced, and analysed as they were drawn."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from paryield.cli import main
from paryield.club import Club
from paryield.club.designs import StoredDesign
from paryield.days import EPOCH
from paryield.errors import InputError
from paryield.programme.board import advise
from paryield.programme.places import ALIKE, by_lot, draw_places
from paryield.programme.plain import Rounds

FLOATS = npt.NDArray[np.float64]
LOT_SEED = 20263
"""Seed of the simulated lots, set before the first run of these tests."""


def record(verdict: str, low: float = -1.0, high: float = 1.0, **changed: Any) -> dict[str, Any]:
    base = {"verdict": verdict, "golfers": 20, "beyond_hours": {}, "second_route": {"agrees": True}}
    return base | {"effect": {"q05": low, "q95": high}} | changed


@pytest.mark.parametrize(
    ("verdict", "advice"),
    [("helped", "go on"), ("made little difference", "change"), ("made it worse", "stop")],
)
def test_a_verdict_is_one_recommendation(verdict: str, advice: str) -> None:
    assert advise(record(verdict)).recommendation == advice


def test_what_cannot_be_told_says_what_it_would_take() -> None:
    """The error falls with the root of the members: half the range of 1 either way takes 4 times 20."""
    found = advise(record("cannot tell yet"))
    assert (found.recommendation, found.members_needed) == ("cannot tell", 80)
    wide = advise(record("cannot tell yet", -9.0, 9.0))
    assert wide.members_needed is None
    assert "by lot" in wide.why


def test_a_second_look_that_disagrees_or_a_fit_without_the_term_gives_no_recommendation() -> None:
    assert advise(record("helped", second_route={"agrees": False})).recommendation == "cannot tell"
    assert advise(record("helped", beyond_hours=None)).recommendation == "cannot tell"


def test_a_lot_gives_everybody_the_same_chance_and_takes_every_level() -> None:
    rng = np.random.default_rng(LOT_SEED)
    level = rng.normal(18.0, 6.0, 31)
    drawn = np.array([draw_places(level, 20, rng) for _ in range(4000)])
    assert (drawn.sum(axis=1) == 20).all()
    # Error of a share of 4000: 0.0076; the largest of 31 lies within 4 of them.
    assert np.abs(drawn.mean(axis=0) - 20 / 31).max() < 0.031
    order = np.argsort(level)
    for start in range(0, 30, ALIKE):
        share = drawn[:, order[start : start + ALIKE]].sum(axis=1)
        assert share.max() - share.min() <= 1


def lot(level: FLOATS, got: npt.NDArray[np.bool_]) -> StoredDesign:
    members = tuple(
        (place, f"G{place:02d}", {"level": float(value), "place": bool(one)})
        for place, (value, one) in enumerate(zip(level, got, strict=True))
    )
    return StoredDesign(1, "", "places", {"on": "2026-01-01", "seed": 3}, members)


def played(level: FLOATS, got: npt.NDArray[np.bool_], effect: float, rng: np.random.Generator) -> Rounds:
    """Ten rounds before and after for each golfer; some fall silent, and everybody improves by a stroke."""
    start = (date(2026, 1, 1) - EPOCH).days
    rows = []
    for place, value in enumerate(level):
        silent = rng.random() < 0.15
        for number in range(10):
            rows.append((f"G{place:02d}", start - 150 + 14 * number, value + 3.2 * rng.normal()))
            if not silent:
                score = value - 1.0 + effect * got[place] + 3.2 * rng.normal()
                rows.append((f"G{place:02d}", start + 10 + 14 * number, score))
    rows.sort(key=lambda row: row[1])
    golfer, day, score_of = zip(*rows, strict=True)
    return Rounds(np.array(golfer), np.array(day), np.array(score_of))


def test_the_lot_finds_what_was_planted_and_keeps_its_size() -> None:
    """Of 60 lots without an effect 5 % is 3; 9 or more has a chance of 0.3 %."""
    rng = np.random.default_rng(LOT_SEED + 1)
    level = rng.normal(18.0, 6.0, 40)
    seen, effects, covered = 0, [], 0
    for _ in range(60):
        got = draw_places(level, 20, rng)
        nothing = by_lot(lot(level, got), played(level, got, 0.0, rng), orders=99)
        assert nothing is not None
        seen += nothing.chance <= 0.05
        found = by_lot(lot(level, got), played(level, got, -2.0, rng), orders=19)
        assert found is not None
        effects.append(found.effect)
        covered += found.low <= -2.0 <= found.high
    assert seen <= 8
    assert np.mean(effects) == pytest.approx(-2.0, abs=3.5 * np.std(effects) / np.sqrt(60))
    assert covered >= 46  # 90 % of 60 is 54, with an error of 2.3


def test_few_on_a_side_stay_hidden() -> None:
    level = np.linspace(10.0, 20.0, 12)
    got = np.arange(12) < 4
    assert by_lot(lot(level, got), played(level, got, 0.0, np.random.default_rng(1))) is None


def test_places_go_on_record_and_the_board_reads_one_page(
    fitted_club: Path,
    add_programme: Callable[..., None],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    path = Path(shutil.copy(fitted_club, tmp_path / "club.db"))
    add_programme(path, tmp_path / "joined")
    words = ["programme", str(path), "--anyway"]
    assert main([*words, "--name", "summer", "--places", "3", "--start", "2026-07-20", "--json"]) == 0
    drawn = json.loads(capsys.readouterr().out)[0]
    assert sorted([*drawn["places"], *drawn["waiting"]]) == ["G01", "G02", "G03", "G04", "G05", "G06"]
    assert len(drawn["places"]) == 3
    with Club.open(path) as club:
        assert [one.facts["programme"] for one in club.designs("places")] == ["summer"]
        with pytest.raises(InputError, match="no season is on record"):
            club.design()
    assert main([*words, "--name", "summer", "--places", "6", "--start", "2026-07-20"]) == 2
    assert "need no lot" in capsys.readouterr().err
    assert main([*words, "--places", "2"]) == 2
    assert "give --name and --start" in capsys.readouterr().err
    assert main([*words, "--cost", "120"]) == 0
    said = capsys.readouterr().out
    assert "Offered from 1 March 2026 to 24 May 2026" in said
    assert "Cost: 120 a member" in said
    assert "It cannot be told yet" in said
    assert "groups are hidden" not in said
