"""Every published worked example of the handicap arithmetic, exact; the source stands beside each check."""

import csv
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from paryield import scoring
from paryield.scoring.course import unrounded_course_handicap
from paryield.scoring.differential import unrounded_differential
from paryield.scoring.exact import from_tenths, tenths

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    lines = [line for line in (DATA / name).read_text().splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def named(text: str) -> dict[str, float]:
    return {key: float(value) for key, value in (part.split("=") for part in text.split() if "=" in part)}


def answer(kind: str, inputs: str) -> float | None:
    """Work one row of the table of examples with the public functions."""
    if kind == "hi":
        return scoring.handicap_index([float(value) for value in inputs.split(";")])
    if kind == "round_sd":
        return from_tenths(tenths(float(inputs)))
    given = named(inputs.replace("SI<=", "SI="))
    if kind == "score_diff":
        return scoring.score_differential(given["AGS"], given["CR"], given["SR"], given["PCC"])
    if kind == "cap":
        return scoring.capped_index(given["avg8"], given["low"])
    if kind == "ndb":
        return scoring.maximum_hole_score(int(given["par"]), int(given["SI"]), int(given["CH"]))
    if kind == "course_hcp_old":  # before 2020 without the rating - par term: rating and par alike
        return scoring.course_handicap(given["HI"], given["SR"], 72, 72)
    if kind == "course_hcp":
        return scoring.course_handicap(given["HI"], given["SR"], given["CR"], given["par"])
    raise AssertionError(f"no rule for {kind}")


EXAMPLES = [row for row in rows("whs_examples.csv") if row["kind"] not in ("nine_hole", "low_hi")]


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: f"{row['kind']} {row['inputs']}")
def test_published_example(row):
    assert answer(row["kind"], row["inputs"]) == float(row["expected"]), row["source"]


def test_all_examples_are_checked():
    """22 rows of the table: 20 above, the other two in tests of their own below."""
    assert len(EXAMPLES) == 20
    assert {row["kind"] for row in rows("whs_examples.csv")} - {row["kind"] for row in EXAMPLES} == {
        "nine_hole",
        "low_hi",
    }


def test_unrounded_steps_as_printed():
    """USGA manual 10-1a and 10-1b print 21.24 and -2.26; LG_R5b prints 10.55."""
    assert round(float(unrounded_differential(95, 71.5, 125)), 2) == 21.24
    assert round(float(unrounded_differential(69, 71.5, 125)), 2) == -2.26
    # Scottsdale club article: 11.15 - 3.0
    assert round(float(unrounded_course_handicap(10.0, 126, 69.0, 72)), 2) == 8.15


@pytest.mark.parametrize("row", rows("whs_fewer_than_20.csv"), ids=lambda row: row["n_min"])
def test_small_record_table(row):
    """Rule 5.2a (usga.org, randa.org). Differentials 1, 2, ..., n: the lowest k average (k + 1) / 2."""
    for n in range(int(row["n_min"]), int(row["n_max"]) + 1):
        used, adjustment = int(row["lowest_used"]), float(row["adjustment"])
        assert scoring.handicap_index(range(n, 0, -1)) == (used + 1) / 2 + adjustment


def test_minimum_is_54_holes():
    """USGA FAQ, how many scores to get a Handicap Index."""
    assert scoring.handicap_index([12.0, 13.0]) is None
    assert scoring.handicap_index([12.0, 13.0, 14.0]) == 10.0


def test_danish_union_starts_at_one_score():
    """danskgolfunion.dk, handicapberegning: -2.0 for one, two and three differentials."""
    day = date(2026, 5, 1)
    entries = [
        scoring.Entry(day + timedelta(days=7 * n), score_differential=value)
        for n, value in enumerate([20.0, 18.5, 19.0])
    ]
    record = scoring.handicap_record(entries, minimum_scores=1)
    assert [step.index_after for step in record.steps] == [18.0, 16.5, 16.5]


def test_exceptional_score_of_the_manual():
    """USGA Appendix E: 74 on 70.2 / 126 at index 10.5 is 3.4, net -7.1; Rule 5.9: 7.0 to 9.9 gives -1.0."""
    value = unrounded_differential(74, 70.2, 126)
    assert scoring.score_differential(74, 70.2, 126) - 10.5 == pytest.approx(-7.1)
    assert scoring.exceptional_reduction(10.5, value) == -1.0


@pytest.mark.parametrize(
    ("differential", "reduction"),
    [(8.01, 0.0), (8.0, -1.0), (5.1, -1.0), (5.01, -1.0), (5.0, -2.0), (2.0, -2.0)],
)
def test_exceptional_steps(differential, reduction):
    """Rule 5.9 (usga.org): 7.0 to 9.9 below 15.0 gives -1.0, 10.0 or more -2.0; unrounded differential."""
    assert scoring.exceptional_reduction(15.0, differential) == reduction


def test_official_nine_hole_example():
    """USGA 2024 FAQ (from memory): index 14.0, 9-hole differential 7.2, expected 8.5, together 15.7."""
    assert round(scoring.expected_nine_hole_differential(14.0), 1) == 8.5
    nine = scoring.Entry(
        date(2026, 5, 1), holes=9, adjusted_gross_score=43, course_rating=35.8, slope_rating=113
    )
    record = scoring.handicap_record([nine], start_index=14.0)
    assert record.steps[0].differential == 15.7


def test_low_index_hangs_on_the_previous_score():
    """R&A 5.7/1: index 12.3 on 1 Jan 2021, low index 10.6 of 1 Mar 2020, next score 1 Apr 2021."""
    days = [date(2020, 12, 1) + timedelta(days=n) for n in range(19)]
    days += [date(2021, 1, 1), date(2021, 4, 1), date(2021, 5, 1)]
    entries = [scoring.Entry(day, score_differential=12.3) for day in days]
    steps = scoring.handicap_record(entries, low_index=10.6, low_index_on=date(2020, 3, 1)).steps
    assert (steps[19].played_on, steps[19].index_after) == (date(2021, 1, 1), 12.3)
    assert (steps[20].low_index, steps[20].low_index_on) == (10.6, date(2020, 3, 1))
    # the new low index is sought from 1 Apr 2020 to 1 Apr 2021, where only 12.3 was calculated
    assert (steps[21].low_index, steps[21].low_index_on) == (12.3, date(2021, 4, 1))


def test_after_a_long_break_the_current_index_is_the_low_index():
    """R&A 5.7/2 (danskgolfunion.dk, 5.7): no score in the window: the current index becomes the low one."""
    days = [date(2019, 1, 1) + timedelta(days=n) for n in range(20)] + [date(2021, 6, 1), date(2021, 6, 2)]
    values = [10.0] * 20 + [30.0] * 2
    entries = [scoring.Entry(day, score_differential=value) for day, value in zip(days, values, strict=True)]
    steps = scoring.handicap_record(entries).steps
    assert steps[21].low_index == steps[20].index_after
    assert steps[21].low_index_on == date(2021, 6, 1)


def test_caps_closed_form():
    """Rule 5.8: min(avg, low + 3 + half the rest, low + 5); the hard cap binds from avg = low + 7.0."""
    for tenths_above in range(-50, 120):
        average = (100 + tenths_above) / 10
        soft = 13 + (average - 13) / 2 if average > 13 else average
        expected = np.floor(round(min(soft, 15.0) * 100) / 10 + 0.5) / 10
        assert scoring.capped_index(average, 10.0) == expected
    assert scoring.capped_index(17.0, 10.0) == 15.0
    assert scoring.capped_index(16.8, 10.0) == 14.9


def test_handout_card():
    """USGA handout (docslib.org/doc/12741441): handicap 10, an 8 on a par-4 stroke hole, 83 becomes 82."""
    strokes = [8, *[5] * 7, 4, *[4] * 6, 4, 4, 4]
    assert sum(strokes) == 83
    assert scoring.adjusted_gross_score(strokes, [4] * 18, list(range(1, 19)), 10) == 82


def test_hole_difficulty():
    """Appendix E ranking (miamivalleygolf.com stroke index allocation): 4.2 + 5.3 - 8 = 1.5."""
    assert scoring.hole_difficulty(4.2, 5.3, 4) == 1.5


def test_nine_hole_ratings_sum_to_the_course():
    """R&A Rule 6 interpretation: 73.1 = 36.1 + 37.0; at one slope both nines make the whole differential."""
    front = unrounded_differential(41, 36.1, 132, holes=9)
    back = unrounded_differential(43, 37.0, 132, holes=9)
    assert front + back == unrounded_differential(84, 73.1, 132)


def test_highest_index_is_54():
    """Rule 5.3 (randa.org)."""
    assert scoring.handicap_index([70.0] * 20) == 54.0
    assert scoring.handicap_index([57.0] * 3) == 54.0


def test_strokes_beyond_eighteen_and_given_back():
    """Appendix E (randa.org): stroke index 1 again as 19, 37, 55; plus players give back from 18 upwards."""
    for handicap in range(0, 60):
        allocated = [0] * 18
        for stroke in range(handicap):
            allocated[stroke % 18] += 1
        assert [scoring.strokes_received(rank, handicap) for rank in range(1, 19)] == allocated
    assert [scoring.strokes_received(rank, -2) for rank in (1, 16, 17, 18)] == [0, 0, -1, -1]


def test_extreme_course_handicap():
    """Rule 3.1 (pecangrovewga.com): above 54 with 4 strokes on a hole the limit is par + 5."""
    assert scoring.maximum_hole_score(4, 1, 55) == 9
    assert scoring.maximum_hole_score(4, 2, 55) == 9  # 3 strokes: 4 + 2 + 3
    assert scoring.maximum_hole_score(4, 1, 54) == 9
    assert scoring.maximum_hole_score(4, 1, 75) == 9
    assert scoring.maximum_hole_score(4, 10, None) == 9
