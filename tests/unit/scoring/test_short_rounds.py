"""Rounds of 9 to 17 holes, hole scores, golfers at the ends of the scale, and a whole club."""

from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest

from paryield.errors import InputError
from paryield.scoring import (
    Entry,
    HandicapSettings,
    adjusted_gross_score,
    course_handicap,
    differentials,
    expected_nine_hole_differential,
    handicap_record,
    handicap_records,
    index_paths,
    maximum_hole_score,
    nine_hole_course_handicap,
    playing_handicap,
    score_differential,
    settings_of,
)
from paryield.tables import Settings, make_tables

FIRST = date(2026, 3, 1)
PARS = [4, 5, 3, 4, 4, 4, 3, 5, 4] * 2
RANKS = [1, 3, 17, 5, 7, 9, 15, 11, 13, 2, 4, 18, 6, 8, 10, 16, 12, 14]


def day(number: int) -> date:
    return FIRST + timedelta(days=7 * number)


def nine(number: int, score: int, **values) -> Entry:
    """A nine rated 36.0 / 113: the 9-hole differential is the score less 36."""
    card = {"adjusted_gross_score": score, "course_rating": 36.0, "slope_rating": 113} | values
    return Entry(day(number), holes=9, **card)


def test_nine_hole_only_golfer_by_hand():
    """Six nines make 54 holes. 9-hole differentials 9 10 8 11 9 12.

    Doubled 18 20 16 22 18 24: lowest two of six average 17.0, - 1.0 = 16.0, the provisional index.
    Expected at 16.0: 0.52 x 16 + 1.2 = 9.52. Scaled up 18.52 19.52 17.52 20.52 18.52 21.52, so 18.5 19.5
    17.5 20.5 18.5 21.5; lowest two of six: 18.0, - 1.0 = 17.0. Seventh nine, 10 over: expected at 17.0
    is 10.04, together 20.04; lowest two of seven: 18.0.
    """
    scores = [45, 46, 44, 47, 45, 48, 46]
    record = handicap_record([nine(number, score) for number, score in enumerate(scores)])
    assert [step.index_after for step in record.steps] == [None] * 5 + [17.0, 18.0]
    assert record.differentials == (18.5, 19.5, 17.5, 20.5, 18.5, 21.5, 20.0)
    assert [step.note for step in record.steps[:2]] == ["waits for an index"] * 2
    assert record.steps[5].window == (18.5, 19.5, 17.5, 20.5, 18.5, 21.5)
    assert all(step.scaled for step in record.steps)


def test_golfer_who_changes_from_nine_to_eighteen_holes():
    """Two nines (9, 10 over) and two full rounds make 54 holes, four differentials.

    Doubled 18 20, full 17.0 19.0: lowest one of four 17.0 - 1.0 = 16.0. Scaled 18.5 and 19.5. Index
    lowest one of 18.5 19.5 17.0 19.0 - 1.0 = 16.0. A full round of 15.0 next: lowest of five, 15.0.
    """
    full = [Entry(day(2 + n), score_differential=value) for n, value in enumerate([17.0, 19.0, 15.0])]
    record = handicap_record([nine(0, 45), nine(1, 46), *full])
    assert [step.index_after for step in record.steps] == [None, None, None, 16.0, 15.0]
    assert record.steps[-1].window == (18.5, 19.5, 17.0, 19.0, 15.0)


def test_too_few_holes_for_an_index_are_doubled():
    record = handicap_record([nine(0, 45), nine(1, 46)])
    assert record.index is None
    assert record.differentials == (18.0, 20.0)
    assert record.end.differentials == (180, 200)
    assert record.end.rounds_needed == 2


def test_nine_not_counting_takes_the_first_index():
    """Posted before there is an index, not counting: scaled with the first one, 15.2 - 2.0 = 13.2."""
    counting = [Entry(day(1 + n), score_differential=value) for n, value in enumerate([16.4, 18.9, 15.2])]
    record = handicap_record([nine(0, 45, counts=False), *counting])
    assert record.steps[-1].index_after == 13.2
    assert record.differentials[0] == round(9 + 0.52 * 13.2 + 1.2, 1)


def test_nine_takes_half_of_the_playing_conditions():
    """Rule 5.1b: 44 on 36.0 / 113 with PCC 1: 8 - 0.5 = 7.5; expected at 10.0 is 6.4."""
    record = handicap_record([nine(0, 44, pcc=1)], start_index=10.0)
    assert record.steps[0].differential == 13.9


def test_twelve_holes_by_hand():
    """12 of 18 on 72.0 / 113: 60 - 48 = 12; six holes expected at 18.0: (9.36 + 1.2) x 6 / 9 = 7.04."""
    card = {"adjusted_gross_score": 60, "course_rating": 72.0, "slope_rating": 113}
    entry = Entry(FIRST, holes=12, **card)
    assert handicap_record([entry], start_index=18.0).steps[0].differential == 19.0
    strict = HandicapSettings(minimum_holes=14)  # the edition before 2024, Rule 2.2
    step = handicap_record([entry], start_index=18.0, settings=strict).steps[0]
    assert (step.differential, step.note) == (None, "too few holes")


def test_a_shorter_round_comes_nearer_to_the_expected():
    """Same strokes over the rating per hole: the more is expected, the nearer to twice the expectation."""
    expected = 2 * expected_nine_hole_differential(18.0)
    found = []
    for holes in (18, 15, 12, 10):
        score = 4 * holes + 1.5 * holes
        card = {"adjusted_gross_score": score, "course_rating": 72.0, "slope_rating": 113}
        step = handicap_record([Entry(FIRST, holes=holes, **card)], start_index=18.0).steps[0]
        found.append(step.unrounded - expected)
    ratios = [value / found[0] for value in found]
    assert ratios == pytest.approx([1, 15 / 18, 12 / 18, 10 / 18])


def test_expected_differential_is_a_setting():
    settings = HandicapSettings(expected_nine_per_index=0.5, expected_nine_constant=2.0)
    record = handicap_record([nine(0, 45)], start_index=20.0, settings=settings)
    assert record.steps[0].differential == 9 + 12.0
    assert expected_nine_hole_differential(20.0, per_index=0.5, base=2.0) == 12.0


def test_doubled_expectation_agrees_with_best_eight_of_twenty():
    """2 x (0.52 index + 1.2) - index over 0.9282 is 2.59 + 0.043 index (computed from both)."""
    for index in (0.0, 10.0, 30.0):
        spread = (2 * expected_nine_hole_differential(index) - index) / 0.9282
        assert spread == pytest.approx(2.59 + 0.043 * index, abs=0.01)


def test_plus_handicap_record():
    """Differentials -2.2 -1.6 -3.0 -2.4 -0.8: lowest of five -3.0; 60 holes on: -1.55 rounds to -1.5."""
    values = [-2.2, -1.6, -3.0, -2.4, -0.8]
    steps = handicap_record([Entry(day(n), score_differential=v) for n, v in enumerate(values)]).steps
    assert [step.index_after for step in steps[2:]] == [-5.0, -4.0, -3.0]
    assert score_differential(69, 71.5, 125) == -2.3
    assert expected_nine_hole_differential(-3.0) == pytest.approx(-0.36)
    record = handicap_record([nine(0, 35)], start_index=-3.0)
    assert record.steps[0].differential == -1.4  # -1 - 0.36 = -1.36


def test_golfer_at_the_limit():
    """Rule 5.3: 58 to 70 over the rating stays at 54.0, and a good round counts from 54.0."""
    values = [62.0, 70.0, 58.0, 66.0, 61.0, 46.9]
    steps = handicap_record([Entry(day(n), score_differential=v) for n, v in enumerate(values)]).steps
    assert [step.index_after for step in steps[2:5]] == [54.0, 54.0, 54.0]
    assert steps[5].reduction == -1.0  # 7.1 below 54.0
    assert steps[5].index_after == 50.5  # (45.9 + 57.0) / 2 = 51.45, 51.5, - 1.0
    lower = HandicapSettings(maximum_index=36.0)
    limited = handicap_record([Entry(day(n), score_differential=60.0) for n in range(5)], settings=lower)
    assert limited.index == 36.0
    path = index_paths(limited.end, [day(9).toordinal()], [[60.0]])
    assert path[0, 0] == 36.0


def test_course_and_playing_handicap():
    """18.4 on 131, 72.6, par 71: 21.33 + 1.6 = 22.93; plus 2.1: -2.43 + 1.6 = -0.83."""
    assert course_handicap(18.4, 131, 72.6, 71) == 23
    assert course_handicap(-2.1, 131, 72.6, 71) == -1
    assert playing_handicap(18.4, 131, 72.6, 71, 0.95) == 22  # 21.78
    assert nine_hole_course_handicap(18.5, 120, 36.1, 36) == 10  # 9.25 -> 9.3; 9.88 + 0.1 = 9.98
    assert course_handicap(0.5, 113, 72.0, 72) == 1  # a half goes up
    assert course_handicap(-0.5, 113, 72.0, 72) == 0


def test_net_double_bogey_card_by_hand():
    """Course handicap 20: two strokes on stroke index 1 and 2, one elsewhere.

    Hole 1 (par 4, index 1): most 8, 10 -> 8. Hole 3 (par 3, index 17): most 6, 7 -> 6. The rest stand.
    """
    strokes = [10, 6, 7, 5, 5, 6, 4, 6, 5, 6, 7, 4, 5, 6, 5, 4, 6, 5]
    assert sum(strokes) == 102
    assert adjusted_gross_score(strokes, PARS, RANKS, 20) == 102 - 2 - 1
    assert adjusted_gross_score(strokes, PARS, RANKS, None) == 101  # par + 5: hole 1 at most 9
    assert maximum_hole_score(4, 18, -1) == 5  # a plus player gives one back on stroke index 18
    # a plus 2 on the same card: holes at stroke index 17 and 18 at par + 1, all others at par + 2
    limits = [par + 2 - (rank > 16) for par, rank in zip(PARS, RANKS, strict=True)]
    expected = sum(min(pair) for pair in zip(strokes, limits, strict=True))
    assert adjusted_gross_score(strokes, PARS, RANKS, -2) == expected


def test_nine_hole_strokes_rank_within_the_nine():
    """Handicap 4 on the front nine (indexes 1 3 17 5 7 9 15 11 13): strokes on 1, 3, 5 and 7."""
    front, ranks = PARS[:9], RANKS[:9]
    tens = [10] * 9
    assert adjusted_gross_score(tens, front, ranks, 4) == sum(front) + 2 * 9 + 4
    assert adjusted_gross_score(tens, front, ranks, -1) == sum(front) + 2 * 9 - 1


def make_club(settings: Settings | None = None):
    strokes = [10, 6, 7, 5, 5, 6, 4, 6, 5, 6, 7, 4, 5, 6, 5, 4, 6, 5]
    rounds = pd.DataFrame(
        {
            "golfer_id": ["G2", "G1", "G1", "G1", "G1", "G1"],
            "played_on": pd.to_datetime([f"2026-03-{n:02d}" for n in (1, 1, 8, 15, 22, 29)]),
            "score_differential": [4.4, 20.0, 21.0, 22.0, None, None],
            "adjusted_gross_score": [None, None, None, None, None, 45],
            "course_rating": [None, None, None, None, 72.0, 36.0],
            "slope_rating": [None, None, None, None, 113.0, 113.0],
            "par": [None, None, None, None, 72, 36],
            "holes": [18, 18, 18, 18, 18, 9],
            "counts_for_index": [True, True, True, True, False, True],
            "course": ["Alder", "Alder", "Alder", "Birch", "Birch", "Birch"],
        }
    )
    holes = pd.DataFrame(
        {
            "golfer_id": "G1",
            "played_on": pd.Timestamp("2026-03-22"),
            "hole": range(1, 19),
            "par": PARS,
            "stroke_index": RANKS,
            "strokes": strokes,
        }
    )
    golfers = pd.DataFrame({"golfer_id": ["G1", "G2", "G3"], "start_index": [None, 3.8, 12.0]})
    options = {} if settings is None else {"settings": settings}
    return make_tables({"golfers": golfers, "rounds": rounds, "holes": holes}, **options)


def test_differentials_of_a_club_by_hand():
    """G1: index 20.0 - 2.0 = 18.0 after three, so course handicap 18 on the card of 22 March.

    One stroke a hole: hole 1 at most 7 (10 -> 7), hole 3 at most 6 (7 -> 6): 102 - 4 = 98, 26 over. The
    nine of 29 March: 9 + 0.52 x 18 + 1.2 = 19.56.
    """
    frame = differentials(make_club())
    assert frame["golfer_id"].tolist() == ["G1"] * 5 + ["G2"]
    np.testing.assert_array_equal(frame["differential"], [20.0, 21.0, 22.0, 26.0, 19.6, 4.4])
    assert frame["scaled"].tolist() == [False] * 4 + [True, False]
    assert frame["counts_for_index"].tolist() == [True, True, True, False, True, True]
    dtypes = {name: str(dtype) for name, dtype in frame.dtypes.items()}
    assert dtypes == {
        "golfer_id": "string",
        "played_on": "datetime64[ns]",
        "round_no": "Int64",
        "differential": "float64",
        "holes": "Int64",
        "scaled": "boolean",
        "counts_for_index": "boolean",
        "course": "string",
    }


def test_a_card_with_a_hole_missing_or_an_index_twice_has_no_differential():
    tables = make_club()
    one_short = tables.holes.iloc[1:]
    twice = tables.holes.assign(stroke_index=tables.holes["stroke_index"].replace(18, 17))
    for holes in (one_short, twice):
        card = {"golfers": tables.golfers, "rounds": tables.rounds, "holes": holes}
        record = handicap_records(make_tables(card))["G1"]
        assert record.differentials[3] is None
        assert record.steps[3].note == "no score to work with"


def test_records_of_a_club():
    records = handicap_records(make_club())
    assert list(records) == ["G1", "G2"]
    assert records["G2"].index == 3.8  # one round: the start index stands
    assert records["G1"].index == 18.6  # lowest of 20.0 21.0 22.0 19.6, - 1.0


def test_club_settings_reach_the_arithmetic():
    tables = make_club(Settings(minimum_scores=1, expected_nine_constant=2.2))
    assert settings_of(tables).minimum_scores == 1
    assert handicap_records(tables)["G2"].index == 2.4
    assert differentials(tables)["differential"].iloc[4] == 20.6


def test_club_without_rounds():
    frame = differentials(make_tables({}))
    assert frame.empty
    assert frame["differential"].dtype == "float64"


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: score_differential(float("nan"), 71.5, 125), "adjusted gross score must be a finite number"),
        (lambda: score_differential("95", 71.5, 125), "adjusted gross score must be a finite number"),
        (
            lambda: score_differential(0, 71.5, 125),
            "adjusted gross score must be between 18 and 360, found 0",
        ),
        (lambda: score_differential(95, 71.5, 54), "slope rating must be between 55 and 155, found 54"),
        (
            lambda: score_differential(95, 71.5, 125, 4),
            "playing conditions calculation must be between -1 and 3",
        ),
        (lambda: maximum_hole_score(2, 1, 10), "par must be 3 to 7, found 2"),
        (lambda: maximum_hole_score(4, 19, 10), "stroke index must be 1 to 18, found 19"),
        (lambda: course_handicap(60, 125, 72, 72), "handicap index must be between -20 and 54, found 60"),
        (lambda: playing_handicap(10, 125, 72, 72, 95), "handicap allowance must be between 0 and 1"),
        (lambda: adjusted_gross_score([4], [4, 4], [1, 2], 9), "differ in length"),
        (lambda: adjusted_gross_score([4, 4], [4, 4], [1, 1], 9), "a stroke index stands twice"),
        (lambda: HandicapSettings(minimum_scores=0), "minimum_scores must be 1 to 20, found 0"),
        (lambda: Entry(FIRST, holes=19), "holes must be 1 to 18, found 19"),
    ],
)
def test_nonsense_is_refused_with_what_was_found(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_a_bad_round_names_the_golfer():
    tables = make_club()
    rounds = tables.rounds.assign(played_on=pd.Timestamp("2026-03-01"))
    with pytest.raises(InputError) as caught:
        handicap_records(make_tables({"rounds": rounds}))
    assert caught.value.where == "golfer G1"
