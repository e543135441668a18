"""Three routes to one index: the record, the compiled engine and the plain re-implementation agree."""

from datetime import date
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_index import plain_indexes

from paryield.errors import InputError
from paryield.scoring import Entry, IndexState, handicap_record, index_paths, index_state

START = date(2024, 1, 1).toordinal()


def decimals(low: int, high: int) -> st.SearchStrategy[Decimal]:
    return st.integers(low, high).map(lambda hundredths: Decimal(hundredths) / 100)


@st.composite
def golfers(draw: st.DrawFn) -> dict:
    """A record with good and bad spells, long breaks, half-tenths, exceptional scores, any level."""
    spells = draw(st.lists(st.tuples(st.integers(-8, 60), st.integers(1, 30)), min_size=1, max_size=4))
    values: list[Decimal] = []
    for level, length in spells:
        spread = draw(st.sampled_from([0, 100, 400, 1200]))
        values += draw(
            st.lists(decimals(100 * level - spread, 100 * level + spread), min_size=length, max_size=length)
        )
    gaps = st.one_of(st.integers(0, 20), st.sampled_from([0, 100, 364, 365, 366, 500]))
    days = START + np.cumsum(draw(st.lists(gaps, min_size=len(values), max_size=len(values))))
    low = None
    if draw(st.booleans()):
        low = (START - draw(st.integers(0, 300)), draw(st.integers(-30, 540).map(lambda t: Decimal(t) / 10)))
    return {
        "rounds": [(int(day), value) for day, value in zip(days, values, strict=True)],
        "split": draw(st.integers(0, len(values))),
        "minimum": draw(st.sampled_from([1, 3, 3, 3, 5])),
        "low": low,
    }


def entries_of(rounds: list[tuple[int, Decimal]]) -> list[Entry]:
    numbered = enumerate(rounds, 1)
    return [Entry(date.fromordinal(day), n, score_differential=float(value)) for n, (day, value) in numbered]


def record_of(golfer: dict, rounds: list[tuple[int, Decimal]]):
    low = golfer["low"]
    return handicap_record(
        entries_of(rounds),
        minimum_scores=golfer["minimum"],
        low_index=None if low is None else float(low[1]),
        low_index_on=None if low is None else date.fromordinal(low[0]),
    )


@settings(max_examples=250, deadline=None)
@given(golfers())
def test_record_engine_and_plain_route_agree(golfer: dict):
    rounds = golfer["rounds"]
    plain = [
        np.nan if value is None else float(value)
        for value in plain_indexes(rounds, golfer["minimum"], golfer["low"])
    ]
    steps = record_of(golfer, rounds).steps
    np.testing.assert_array_equal([np.nan if s.index_after is None else s.index_after for s in steps], plain)
    known, future = rounds[: golfer["split"]], rounds[golfer["split"] :]
    state = index_state(record_of(golfer, known))
    days = np.array([day for day, _ in future], dtype=np.int64)
    scores = np.array([[float(value) for _, value in future]] * 2).reshape(2, len(future))
    paths = index_paths(state, days, scores)
    np.testing.assert_array_equal(paths, np.array([plain[golfer["split"] :]] * 2))


@pytest.mark.parametrize("level", [-3.0, 9.0, 24.0, 52.0])
def test_routes_agree_over_long_random_careers(level: float):
    """Four hundred rounds with a slow swing of form, so that caps and exceptional scores come up often."""
    random = np.random.default_rng(int(level) + 100)
    days = START + np.sort(random.integers(0, 2000, 400))
    swing = 6 * np.sin(np.arange(400) / 25)
    values = np.round(level + swing + 4 * random.standard_t(4, 400), 2)
    rounds = [(int(day), Decimal(str(value))) for day, value in zip(days, values, strict=True)]
    plain = [np.nan if value is None else float(value) for value in plain_indexes(rounds)]
    record = handicap_record(entries_of(rounds))
    assert {step.cap for step in record.steps} == {"none", "soft", "hard"}
    assert {step.reduction for step in record.steps} == {0.0, -1.0, -2.0}
    np.testing.assert_array_equal(index_paths(IndexState(), days, values[None])[0], plain)
    assert [step.index_after for step in record.steps][2:] == plain[2:]


def test_draws_do_not_touch_each_other():
    random = np.random.default_rng(3)
    days = START + np.arange(40) * 9
    scores = random.normal(20, 5, (30, 40))
    state = index_state(
        handicap_record(entries_of([(START - 100 + n, Decimal(15 + n % 7)) for n in range(25)]))
    )
    together = index_paths(state, days, scores)
    one_by_one = np.vstack([index_paths(state, days, row[None]) for row in scores])
    np.testing.assert_array_equal(together, one_by_one)


def test_a_round_not_played_changes_nothing():
    """NaN in a draw is no round: the same path as without that day."""
    random = np.random.default_rng(4)
    days = START + np.arange(60) * 20
    scores = np.round(random.normal(18, 6, (1, 60)), 1)
    played = random.random(60) < 0.6
    holes = np.where(played, scores, np.nan)
    without = index_paths(IndexState(), days[played], scores[:, played])
    np.testing.assert_array_equal(index_paths(IndexState(), days, holes)[:, played], without)


def test_half_tenths_of_floats_go_up():
    """Every half-tenth from -5 to 60, as a float, rounds up: x.x5 gives the tenth above (Rule 5.1c)."""
    hundredths = np.arange(-495, 6000, 10)
    for value in hundredths:
        state = IndexState(differentials=(), minimum_scores=1)
        index = index_paths(state, [START], [[value / 100]])[0, 0]
        assert index == min(54.0, round((value + 5) / 100 - 2, 1))


def test_engine_says_what_is_wrong():
    state = IndexState(last_day=START)
    with pytest.raises(InputError, match="days have shape"):
        index_paths(state, [START, START + 1], [[10.0]])
    with pytest.raises(InputError, match="before the one it follows"):
        index_paths(state, [START - 1], [[10.0]])
    with pytest.raises(InputError, match="before the one it follows"):
        index_paths(state, [START + 2, START + 1], [[10.0, 11.0]])
    with pytest.raises(InputError, match="beyond 1000 strokes"):
        index_paths(state, [START], [[np.inf]])
    with pytest.raises(InputError, match="at most 20"):
        IndexState(differentials=tuple(range(21)))
    with pytest.raises(InputError, match="differ in length"):
        IndexState(low_days=(1,))


def test_no_future_rounds_is_an_empty_path():
    assert index_paths(IndexState(), np.empty(0, int), np.empty((5, 0))).shape == (5, 0)


def test_start_index_stands_until_the_record_has_its_own():
    """Two more rounds are needed for 54 holes, so the first future round leaves 18.4 in force."""
    state = index_state(handicap_record(entries_of([(START, Decimal(20))]), start_index=18.4))
    assert state.rounds_needed == 2
    paths = index_paths(state, [START + 1, START + 2], [[21.0, 22.0]])
    np.testing.assert_array_equal(paths, [[18.4, 18.0]])
