"""What is said of a fit that started from what other clubs learnt."""

from __future__ import annotations

from typing import Any

from paryield.report.trust_lines import ALIKE, check_lines


def lines(learnt: dict[str, Any] | None) -> list[str]:
    record = {"golfers_moved": 0, "fitted_to": "2026-07-05", "as_of": "2026-07-05"}
    found = {"record": record, "before_fit": None, "learnt": learnt, "misfit": None, "sensitivity": None}
    return check_lines(found)


def test_where_records_do_not_contradict_others_it_is_said_that_clubs_must_be_alike() -> None:
    learnt = {"clubs": 2, "golfers": 80, "usual_before": 0.2, "usual_after": 0.19}
    agreed = lines({**learnt, "conflict": False})
    assert any("the records do not contradict it" in line for line in agreed)
    assert ALIKE in agreed
    against = lines({**learnt, "conflict": True})
    assert any("the records disagree with it" in line for line in against)
    assert ALIKE not in against
    assert ALIKE not in lines(None)
