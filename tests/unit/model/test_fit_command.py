"""What ``paryield fit`` says of a run: how it ended, and why it is not sound."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from paryield.cli import main
from paryield.model.command import FitReceipt
from paryield.model.spec import ModelSpec, differences, stored_spec

GATE: dict[str, Any] = {"divergences": 0, "divergences_ok": True, "looked_at": 1, "lines": []}


def receipt(ok: bool, *, quick: bool = False, stopped: bool = False, why: str = "") -> FitReceipt:
    facts = {
        "seed": 1, "quick": quick, "draws": 4000, "as_of": 20_000, "golfers": ["G01"], "categories": [],
        "stretches": 3, "stopped": stopped, "why": why, "health": {"ok": ok, **GATE},
    }  # fmt: skip
    return FitReceipt(4, facts, 61.0)


@pytest.mark.parametrize(
    ("found", "code", "said"),
    [
        (receipt(True), 0, "4000 draws in 61 s and 3 stretches"),
        (receipt(False, why="given up after 8 stretches: x"), 3, "is not sound: given up after 8 stretches"),
        (receipt(False, stopped=True, why="stopped: x"), 3, "Run 4 (stopped)"),
        (receipt(False, quick=True, why="given up after 1 stretch: x"), 0, "Run 4 (rough fit)"),
    ],
)  # fmt: skip
def test_the_end_of_a_fit_is_told(found, code, said, fitted_club: Path, monkeypatch, capsys):
    monkeypatch.setattr("paryield.model.command.fit", lambda *_, **__: found)
    assert main(["fit", str(fitted_club)]) == code
    out = capsys.readouterr()
    assert said in out.out + out.err
    assert "seed" not in out.out + out.err


def test_a_new_fit_with_the_settings_of_an_old_one_goes_on_too():
    """A run of before this version did not say how often it may draw."""
    old = {name: value for name, value in ModelSpec(draws=400).to_dict().items() if name != "most_stretches"}
    assert stored_spec(old).most_stretches == 8
    assert stored_spec({**old, "quick": True}).most_stretches == 1
    assert stored_spec(ModelSpec(most_stretches=2).to_dict()).most_stretches == 2
    one = {"spec": ModelSpec().to_dict(), "versions": {}}
    assert differences(one, {"spec": ModelSpec(most_stretches=8).to_dict(), "versions": {}}) == []
