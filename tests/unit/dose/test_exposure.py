"""Who was in a programme, and how much of it each had received."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from paryield.dose.exposure import COMPLETED, LEFT, RUNNING, USUAL_DAYS, Enrolment, enrolments, total_exposure
from paryield.tables import make_tables

DAY = {name: (pd.Timestamp(name) - pd.Timestamp("1970-01-01")).days for name in ("2026-01-05", "2026-07-01")}
START = DAY["2026-01-05"]


def read(*rows: tuple[object, ...], as_of: int = DAY["2026-07-01"]) -> tuple[Enrolment, ...]:
    frame = pd.DataFrame(rows, columns=["golfer_id", "programme", "started_on", "ended_on", "outcome"])
    frame[["started_on", "ended_on"]] = frame[["started_on", "ended_on"]].apply(pd.to_datetime)
    return enrolments(make_tables({"programmes": frame}).programmes, as_of)


def test_exposure_rises_in_a_straight_line_and_stays():
    one = Enrolment("G1", "winter", 100, 200, 200, COMPLETED)
    assert one.exposure([90, 100, 150, 200, 900]).tolist() == [0.0, 0.0, 0.5, 1.0, 1.0]


def test_one_who_leaves_keeps_what_was_received():
    finished, gone = read(
        ("G1", "winter", "2026-01-05", "2026-03-30", "completed"),
        ("G2", "winter", "2026-01-05", "2026-01-26", "left"),
    )
    assert (finished.planned_end - START, gone.planned_end - START) == (84, 84)
    assert gone.exposure([START + 21, START + 84, START + 300]).tolist() == [0.25] * 3
    assert finished.exposure(START + 300) == 1.0


def test_blank_outcomes_follow_the_dates():
    found = read(
        ("G1", "winter", "2026-01-05", "2026-03-30", None),
        ("G2", "winter", "2026-05-01", None, None),
        ("G3", "winter", "2026-05-01", "2026-09-01", None),
        ("G4", "winter", "2026-08-01", None, None),
        ("G5", "winter", "2026-01-05", "2026-02-01", "running"),
    )
    assert [(one.golfer_id, one.outcome) for one in found] == [
        ("G1", COMPLETED),
        ("G5", COMPLETED),
        ("G2", RUNNING),
        ("G3", RUNNING),
    ]


def test_without_anyone_who_finished_the_usual_length_is_taken():
    running, gone = read(
        ("G1", "spring", "2026-05-01", None, "running"), ("G2", "spring", "2026-05-01", None, "left")
    )
    assert running.planned_end - running.start == USUAL_DAYS
    assert (gone.outcome, gone.dated, gone.stopped - gone.start) == (LEFT, False, USUAL_DAYS // 2)


def test_enrolments_in_one_programme_add_up():
    both = (Enrolment("G1", "w", 0, 100, 100, COMPLETED), Enrolment("G1", "w", 365, 465, 415, LEFT))
    other = Enrolment("G1", "x", 0, 10, 10, COMPLETED)
    assert total_exposure([*both, other], "w", np.array([50, 400, 900])).tolist() == [0.5, 1.35, 1.5]


def test_an_end_before_the_start_is_refused():
    with pytest.raises(ValueError, match="must end after it starts"):
        Enrolment("G1", "winter", 10, 10, 10, COMPLETED)
