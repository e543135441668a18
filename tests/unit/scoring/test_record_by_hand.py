"""An invented record of 24 rounds, worked by hand; every step is explained beside its figures."""

from datetime import date, timedelta

import pandas as pd
import pytest

from paryield.errors import InputError
from paryield.scoring import Entry, handicap_index, handicap_record

FIRST = date(2025, 4, 5)

# differential, index after the round, how it comes about
STEPS = [
    (16.4, None, "18 holes posted, 54 are needed"),
    (18.9, None, "36 holes; 92 on 71.3 / 124: 113 / 124 x 20.7 = 18.86"),
    (15.2, 13.2, "lowest 1 of 3: 15.2 - 2.0"),
    (17.0, 14.2, "lowest 1 of 4: 15.2 - 1.0; 91 on 71.3 / 124, PCC 1: 113 / 124 x 18.7 = 17.04"),
    (19.3, 15.2, "lowest 1 of 5, no adjustment"),
    (14.8, 14.0, "lowest 2 of 6: (14.8 + 15.2) / 2 = 15.0, - 1.0"),
    (20.1, 15.0, "lowest 2 of 7: 15.0"),
    (16.9, 15.0, "lowest 2 of 8: 15.0"),
    (13.9, 14.6, "lowest 3 of 9: 43.9 / 3 = 14.63"),
    (22.5, 14.6, "lowest 3 of 10, the same"),
    (17.7, 14.6, "lowest 3 of 11, the same"),
    (15.6, 14.9, "lowest 4 of 12: 59.5 / 4 = 14.875"),
    (18.2, 14.9, "lowest 4 of 13, the same"),
    (12.8, 14.2, "lowest 4 of 14: 12.8 13.9 14.8 15.2 = 56.7, / 4 = 14.175"),
    (16.1, 14.5, "lowest 5 of 15: 72.3 / 5 = 14.46"),
    (19.9, 14.5, "lowest 5 of 16, the same"),
    (15.9, 14.7, "lowest 6 of 17: 88.2 / 6 = 14.7"),
    (21.0, 14.7, "lowest 6 of 18, the same"),
    (17.4, 14.9, "lowest 7 of 19: 104.3 / 7 = 14.9"),
    (14.1, 14.8, "lowest 8 of 20: 12.8 13.9 14.1 14.8 15.2 15.6 15.9 16.1 = 118.4, / 8 = 14.8"),
    (7.0, 12.7, "7.02 is 7.78 below 14.8, so -1.0 on all 20: 6.0 11.8 12.9 13.1 13.8 14.2 14.6 14.9 = 101.3"),
    (18.6, 12.7, "the new round carries no reduction; round 2 drops out, the lowest 8 stay"),
    (15.0, 12.8, "round 3 (now 14.2) drops out, 15.0 comes in: 102.1 / 8 = 12.76"),
    (17.5, 12.8, "round 4 drops out (16.0), not one of the lowest 8"),
]

CARDS = {  # rounds given by score instead of differential: adjusted gross score, pcc, on 71.3 / 124
    1: (92, 0),
    3: (91, 1),
    20: (79, 0),  # 113 / 124 x 7.7 = 7.017
}


def entries() -> list[Entry]:
    made = []
    for place, (differential, _, _) in enumerate(STEPS):
        day = FIRST + timedelta(days=7 * place)
        if place in CARDS:
            score, pcc = CARDS[place]
            card = {"adjusted_gross_score": score, "course_rating": 71.3, "slope_rating": 124, "pcc": pcc}
            made.append(Entry(day, **card))
        else:
            made.append(Entry(day, score_differential=differential))
    return made


def test_every_step():
    record = handicap_record(entries())
    for step, (differential, index, reason) in zip(record.steps, STEPS, strict=True):
        assert (step.differential, step.index_after) == (differential, index), reason
    assert [step.index_before for step in record.steps[1:]] == [
        step.index_after for step in record.steps[:-1]
    ]


def test_what_the_exceptional_round_shows():
    """Round 21: reduction, the reduced record, which eight counted, the low index it was held against."""
    step = handicap_record(entries()).steps[20]
    assert step.reduction == -1.0
    assert step.unrounded == pytest.approx(113 / 124 * 7.7)
    before = [value for value, _, _ in STEPS[1:21]]
    assert step.window == tuple(round(value - 1, 1) for value in before)
    assert sorted(step.lowest) == [6.0, 11.8, 12.9, 13.1, 13.8, 14.2, 14.6, 14.9]
    assert (step.average, step.low_index, step.low_index_on) == (12.7, 14.8, FIRST + timedelta(days=7 * 19))
    assert step.cap == "none"


def test_small_record_adjustment_is_shown():
    steps = handicap_record(entries()).steps
    assert [step.adjustment for step in steps[2:7]] == [-2.0, -1.0, 0.0, -1.0, 0.0]
    assert steps[5].used == (2, 5)
    assert steps[0].note == "no index before 54 holes"


def test_soft_cap_by_hand():
    """Low index 9.0: round 20 averages 14.8, 12.0 + 2.8 / 2 = 13.4.

    Round 21 is then only 6.38 below the index, so not exceptional: lowest 8 of rounds 2 to 21 are
    7.0 12.8 13.9 14.1 14.8 15.2 15.6 15.9 = 109.3, / 8 = 13.66, 13.7; 12.0 + 0.85 = 12.85, 12.9.
    """
    steps = handicap_record(entries(), low_index=9.0, low_index_on=date(2025, 5, 1)).steps
    assert (steps[19].average, steps[19].index_after, steps[19].cap) == (14.8, 13.4, "soft")
    assert (steps[20].reduction, steps[20].average, steps[20].index_after) == (0.0, 13.7, 12.9)
    assert (steps[20].low_index, steps[20].low_index_on) == (9.0, date(2025, 5, 1))


def test_hard_cap_by_hand():
    """Low index 7.0: 14.8 is 7.8 above, half of which would still leave 12.4, so 7.0 + 5.0."""
    step = handicap_record(entries(), low_index=7.0, low_index_on=date(2025, 5, 1)).steps[19]
    assert (step.average, step.index_after, step.cap) == (14.8, 12.0, "hard")


def test_low_index_does_not_touch_a_small_record():
    steps = handicap_record(entries()[:19], low_index=7.0, low_index_on=date(2025, 5, 1)).steps
    assert [step.index_after for step in steps] == [index for _, index, _ in STEPS[:19]]


def test_low_index_without_a_date_is_in_force_and_expires_soonest():
    """Dated on the first round of this record (19 weeks): it holds the 20th round down."""
    record = handicap_record(entries()[:20], low_index=9.0)
    assert record.index == 13.4
    assert record.end.low_days[0] == FIRST.toordinal()


def test_double_reduction_at_ten_strokes():
    """Index 15.2 after five rounds; 5.2 is exactly 10.0 below: -2.0 on all six."""
    made = [*entries()[:5], Entry(FIRST + timedelta(days=40), score_differential=5.2)]
    step = handicap_record(made).steps[-1]
    assert step.reduction == -2.0
    assert step.window == (14.4, 16.9, 13.2, 15.0, 17.3, 3.2)
    assert step.index_after == round((3.2 + 13.2) / 2 - 1.0, 1)


def test_reductions_add_up():
    """Index 13.2 after three; 6.2 (7.0 below) takes 1.0 off, then 5.2 - 1.0 = 4.2 is in force.

    A 4th round 7.0 below 13.2: the record reads 15.4 17.9 14.2 5.2, lowest 1 of 4 - 1.0 = 4.2. A 5th at
    -2.8, 7.0 below 4.2: another 1.0 off: 14.4 16.9 13.2 4.2 -3.8, lowest 1 of 5 = -3.8.
    """
    days = [FIRST + timedelta(days=n) for n in (30, 31)]
    made = [*entries()[:3], Entry(days[0], score_differential=6.2), Entry(days[1], score_differential=-2.8)]
    steps = handicap_record(made).steps
    assert (steps[3].index_after, steps[4].index_after) == (4.2, -3.8)
    assert steps[4].window == (14.4, 16.9, 13.2, 4.2, -3.8)


def test_index_as_of_any_date():
    record = handicap_record(entries())
    assert record.index_as_of(FIRST - timedelta(days=1)) is None
    assert record.index_as_of(FIRST + timedelta(days=14)) == 13.2
    assert record.index_as_of(FIRST + timedelta(days=20)) == 13.2
    assert record.index_as_of(FIRST + timedelta(days=21)) == 14.2
    assert record.index_as_of(date(2030, 1, 1)) == record.index == 12.8
    assert handicap_record(entries(), start_index=16.0).index_as_of(FIRST - timedelta(days=1)) == 16.0


def test_order_of_the_rows_does_not_matter():
    made = entries()
    assert handicap_record(made[::-1]) == handicap_record(made)


def test_rounds_that_do_not_count_never_move_the_index():
    extra = Entry(FIRST + timedelta(days=60), 2, counts=False, score_differential=1.0)
    record = handicap_record([*entries(), extra])
    silent = next(step for step in record.steps if not step.counts)
    assert (silent.differential, silent.note) == (1.0, "does not count for the index")
    assert silent.index_after == silent.index_before
    assert [step.index_after for step in record.steps if step.counts] == [index for _, index, _ in STEPS]


def test_plain_function_agrees_with_the_record_before_reductions():
    values = [value for value, _, _ in STEPS]
    for count in range(20):
        assert handicap_index(values[: count + 1]) == STEPS[count][1]


def test_frame_shows_the_steps():
    frame = handicap_record(entries()).to_frame()
    assert frame.shape[0] == 24
    assert frame["index_after"].iloc[-1] == 12.8
    assert frame["lowest"].iloc[3] == (15.2,)
    assert frame["played_on"].dtype == "datetime64[ns]"


def test_several_golfers_or_a_round_twice_are_refused():
    frame = pd.DataFrame(
        {
            "golfer_id": ["G1", "G2"],
            "played_on": pd.to_datetime(["2025-04-05", "2025-04-06"]),
            "score_differential": [10.0, 11.0],
        }
    )
    with pytest.raises(InputError, match="several golfers"):
        handicap_record(frame)
    twice = frame.assign(golfer_id="G1", played_on=pd.Timestamp("2025-04-05"))
    with pytest.raises(InputError, match="round 1 of 2025-04-05 stands twice"):
        handicap_record(twice)


def test_empty_record():
    record = handicap_record([], low_index=8.0, low_index_on=date(2025, 1, 1))
    assert (record.steps, record.index, record.end.rounds_needed) == ((), None, 3)
    assert handicap_record([]).to_frame().empty


def test_which_rounds_were_averaged():
    """Round 24 by hand: 102.1 of rounds 6 9 12 14 17 20 21 and 23; a round that does not count has no number.

    Rounds 6, 9, 12, 14, 17 and 20 at 13.8 12.9 14.6 11.8 14.9 13.1 after -1.0, 21 at 6.0, 23 at 15.0: 102.1.
    """
    last = handicap_record(entries()).steps[23]
    assert sorted(place + 1 for place in last.rounds) == [6, 9, 12, 14, 17, 20, 21, 23]
    assert sum(last.lowest) == pytest.approx(102.1)
    idle = Entry(FIRST + timedelta(days=1), score_differential=1.0, counts=False)
    shifted = handicap_record([*entries(), idle]).steps[-1]
    assert sorted(place + 1 for place in shifted.rounds) == [7, 10, 13, 15, 18, 21, 22, 24]


def test_which_rounds_were_averaged_when_nines_had_to_wait():
    """Six nines of 8 over 35.0 / 113 begin the index together; the lowest of the six is the third."""
    scores = [46, 47, 43, 48, 46, 47]
    nines = [
        Entry(
            FIRST + timedelta(days=place),
            holes=9,
            adjusted_gross_score=score,
            course_rating=35.0,
            slope_rating=113,
        )
        for place, score in enumerate(scores)
    ]
    step = handicap_record(nines).steps[-1]
    assert 2 in step.rounds
    assert len(step.rounds) == 2
