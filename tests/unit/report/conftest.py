"""Views of a made-up golfer and club, with any part changed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from report_tables import AS_OF, areas_records, forecast_records, returns_records, rounds_frame

from paryield.report import CoachView, Goal, GolferView, Health, RunFacts


@pytest.fixture
def make_view() -> Callable[..., GolferView]:
    def make(**changed: Any) -> GolferView:
        golfer = changed.get("golfer_id", "G07")
        plain: dict[str, Any] = {
            "golfer_id": golfer,
            "display_name": "Maren Østby-Calloway",
            "club": "Heronsgate Practice Ground",
            "as_of": AS_OF,
            "run": RunFacts(number=3, seed=20260705, draws=4000),
            "health": Health(True, ("R-hat at most 1.006 (limit 1.01)", "ESS at least 812 (limit 400)")),
            "rounds": rounds_frame(),
            "forecast": forecast_records(golfer),
            "returns": returns_records(golfer),
            "areas": areas_records(golfer),
            "goal": Goal(11.0, date(2027, 6, 1), 0.31),
            "notes": ("34 rounds, 17 of them with round stats.", "Practice diary: 46 of 52 weeks known."),
        }
        return GolferView(**{**plain, **changed})

    return make


@pytest.fixture
def make_coach() -> Callable[..., CoachView]:
    def make(golfers: tuple[GolferView, ...], **changed: Any) -> CoachView:
        plain: dict[str, Any] = {
            "club": "Heronsgate Practice Ground",
            "as_of": AS_OF,
            "run": RunFacts(number=3, seed=20260705, draws=4000),
            "health": Health(True, ("R-hat at most 1.006 (limit 1.01)",)),
            "golfers": golfers,
        }
        return CoachView(**{**plain, **changed})

    return make
