"""A review against sums by hand, and the change of a test against an exact sum."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad
from scipy.stats import beta

from paryield.club import Club
from paryield.dose.diary import read_diary
from paryield.forecast.current import current_fit
from paryield.plan.review import compare_tests, next_review, planned_and_done, review_tables
from paryield.report.review_words import practice_sentence
from paryield.tables import Tables, make_tables

SINCE, UNTIL = date(2026, 3, 1), date(2026, 3, 15)


def tables(**more: pd.DataFrame) -> Tables:
    practice = pd.DataFrame(
        {
            "golfer_id": ["A"] * 3,
            "practised_on": pd.to_datetime(["2026-02-26", "2026-03-03", "2026-03-05"]),
            "category": ["chipping", "chipping", "irons"],
            "entry_no": [1, 1, 1],
            "minutes": [90.0, 30.0, 60.0],
        }
    )
    plans = pd.DataFrame(
        {
            "plan": ["p"],
            "golfer_id": ["A"],
            "category": ["chipping"],
            "starts_on": pd.to_datetime(["2026-02-23"]),
            "ends_on": pd.to_datetime(["2026-04-20"]),
            "minutes_per_week": [70.0],
        }
    )
    return make_tables(
        {"golfers": pd.DataFrame({"golfer_id": ["A"]}), "practice": practice, "plans": plans} | more
    )


def test_hours_planned_and_done_are_those_of_the_period() -> None:
    """2 weeks of 70 min planned, 30 and 60 min done after 1 March; the second week has no entry."""
    own = tables()
    first, last = (int(np.datetime64(day, "D").astype(int)) for day in ("2026-02-23", "2026-03-15"))
    diary = read_diary(own.practice, own.golfers, own.categories, np.array([first]), last)
    rows, unknown, planned = planned_and_done(own, diary, "A", SINCE, UNTIL)
    found = {row["category"]: (row["hours_planned"], row["hours_done"]) for row in rows}
    assert found == {"chipping": (pytest.approx(140 / 60, abs=0.01), 0.5), "irons": (0.0, 1.0)}
    assert (unknown, planned) == (7, 14)
    assert {row["category"]: row["hours_kept"] for row in rows} == {"chipping": 0.5, "irons": 1.0}


def test_an_entry_of_unknown_length_takes_nothing_from_the_rest_of_its_week() -> None:
    own = tables()
    more = pd.DataFrame(
        {
            "golfer_id": ["A"],
            "practised_on": pd.to_datetime(["2026-03-04"]),
            "category": ["chipping"],
            "entry_no": [1],
            "state": ["unknown"],
        }
    )
    own = tables(practice=pd.concat([own.practice, more], ignore_index=True))
    first, last = (int(np.datetime64(day, "D").astype(int)) for day in ("2026-02-23", "2026-03-15"))
    diary = read_diary(own.practice, own.golfers, own.categories, np.array([first]), last)
    rows, unknown, _ = planned_and_done(own, diary, "A", SINCE, UNTIL)
    assert {row["category"]: row["hours_done"] for row in rows} == {"chipping": 0.5, "irons": 1.0}
    assert unknown == 14


def test_a_plan_of_yesterday_is_not_set_against_the_weeks_before_it() -> None:
    """Saved on the last day of the period: what was done before belongs to no plan."""
    own = tables(
        plans=pd.DataFrame(
            {
                "plan": ["new"],
                "golfer_id": ["A"],
                "category": ["chipping"],
                "starts_on": pd.to_datetime([UNTIL]),
                "minutes_per_week": [7.0],
            }
        )
    )
    first, last = (int(np.datetime64(day, "D").astype(int)) for day in ("2026-02-23", "2026-03-15"))
    diary = read_diary(own.practice, own.golfers, own.categories, np.array([first]), last)
    rows, _, planned = planned_and_done(own, diary, "A", SINCE, UNTIL)
    assert planned == 1
    assert {row["hours_planned"] for row in rows} == {None}
    assert "% of the plan" not in practice_sentence(rows, 14, 0, planned)
    assert "the plan has run for 1 day only" in practice_sentence(rows, 14, 0, planned)


def test_next_review_is_in_four_to_six_weeks_or_when_the_plan_ends() -> None:
    assert next_review(tables(), "A", UNTIL) == {"next_from": date(2026, 4, 20), "next_to": date(2026, 4, 20)}
    assert next_review(tables(), "B", UNTIL) == {"next_from": date(2026, 4, 12), "next_to": date(2026, 4, 26)}


def assessed(rows: list[tuple[object, ...]]) -> pd.DataFrame:
    columns = ["golfer_id", "assessed_on", "test", "distance_ft", "tried", "made", "value", "unit"]
    return pd.DataFrame(rows, columns=columns).assign(
        assessed_on=lambda frame: pd.to_datetime(frame["assessed_on"])
    )


def test_the_last_result_before_stands_against_the_last_one_in_the_period() -> None:
    """The chance that the success rate rose, by quadrature over two beta laws with Jeffreys' prior."""
    tests = assessed(
        [
            ("A", "2026-01-10", "putting_ladder", 6.0, 10, 9, None, None),
            ("A", "2026-02-10", "putting_ladder", 6.0, 10, 4, None, None),
            ("A", "2026-03-10", "putting_ladder", 6.0, 10, 7, None, None),
            ("A", "2026-03-20", "putting_ladder", 6.0, 10, 1, None, None),
            ("A", "2026-03-10", "putting_ladder", 9.0, 10, 5, None, None),
            ("A", "2026-02-10", "clubhead_speed", None, None, None, 95.0, "mph"),
            ("A", "2026-03-10", "clubhead_speed", None, None, None, 97.5, "mph"),
        ]
    )
    found = {
        (row["test"], row["distance_ft"]): row
        for row in compare_tests(tables(assessments=tests), "A", SINCE, UNTIL, 1)
    }
    assert set(found) == {("putting_ladder", 6.0), ("clubhead_speed", None)}
    ladder = found["putting_ladder", 6.0]
    assert (ladder["before"], ladder["after"]) == ("4 of 10", "7 of 10")
    before, after = beta(4.5, 6.5), beta(7.5, 3.5)
    exact, _ = quad(lambda p: after.pdf(p) * before.cdf(p), 0, 1)
    assert ladder["chance_better"] == pytest.approx(exact, abs=0.02)
    assert ladder["change"]["mean"] == pytest.approx(after.mean() - before.mean(), abs=0.01)
    speed = found["clubhead_speed", None]
    assert (speed["before"], speed["after"], speed["change"], speed["unit"]) == (95.0, 97.5, None, "mph")


def test_review_of_a_fitted_golfer_has_every_part(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        posterior, own = current_fit(club)[1], club.tables()
    found = review_tables(posterior, own, posterior.golfers[0])
    assert (found.until - found.since).days == 42
    assert found.split[0]["from"] == found.since.isoformat()
    assert sum(row["hours_done"] for row in found.practice) > 0
    assert found.next_from > found.until
