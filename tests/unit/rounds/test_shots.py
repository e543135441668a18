"""Strokes gained shot by shot, worked by hand with the rows of the baseline."""

import pandas as pd
import pytest

from paryield.rounds import holes_left_out, shot_strokes
from paryield.tables import make_tables

KEY = {"golfer_id": "A", "played_on": pd.Timestamp("2026-05-02"), "round_no": 1}
PAR_4 = ["tee 400 yd", "fairway 160 yd", "sand 20 yd", "green 6 ft", "green 2 ft"]


def club(holes, cards=()):
    """Tables with shots written "lie distance unit [shot_no] [holed]" by hole, and cards by hole."""
    rows = []
    for hole, shots in enumerate(holes, start=1):
        for place, shot in enumerate(shots, start=1):
            lie, distance, unit, *more = shot.split()
            number = int(more[0]) if more and more[0].isdigit() else place
            holed = {"holed": True, "not": False}.get(more[-1]) if more else None
            row = {"hole": hole, "shot_no": number, "lie": lie, "distance": float(distance)}
            rows.append(KEY | row | {"distance_unit": unit, "holed": holed})
    frames = {"rounds": pd.DataFrame([KEY]), "shots": pd.DataFrame(rows)}
    if cards:
        frames["holes"] = pd.DataFrame([KEY | card for card in cards])
    return make_tables(frames)


def test_a_par_4_by_hand():
    """3.99 2.98 2.53 1.34 1.01 from the places (Broadie, from memory): each less the next less 1."""
    found = shot_strokes(club([PAR_4]))
    assert found["gained"].tolist() == pytest.approx([0.01, -0.55, 0.19, -0.67, 0.01])
    assert found["area"].tolist() == ["off_the_tee", "approach", "short_game", "putting", "putting"]
    assert found["gained"].sum() == pytest.approx(3.99 - 5)


def test_the_tee_shot_of_a_par_3_is_an_approach():
    found = shot_strokes(club([["tee 160 yd", "green 30 ft", "green 2 ft holed"]]))
    assert found["gained"].tolist() == pytest.approx([2.99 - 1.98 - 1, 1.98 - 1.01 - 1, 0.01])
    assert found["area"].tolist() == ["approach", "putting", "putting"]


def test_the_par_on_the_card_wins_over_the_length():
    card = {"hole": 1, "par": 4, "strokes": 3}
    found = shot_strokes(club([["tee 240 yd", "green 30 ft", "green 2 ft"]], [card]))
    assert found["area"].iloc[0] == "off_the_tee"


@pytest.mark.parametrize(("yards", "area"), [(50, "short_game"), (51, "approach")])
def test_where_the_short_game_begins(yards, area):
    found = shot_strokes(club([["tee 400 yd", f"rough {yards} yd", "green 3 ft"]]))
    assert found["area"].iloc[1] == area


def test_metres_feet_and_yards_are_the_same_places():
    """0.9144 m and 3 ft are a yard (international yard, 1959, exact)."""
    metres = [f"tee {400 * 0.9144} m", f"fairway {160 * 0.9144} m", "sand 60 ft", "green 2 yd", "green 2 ft"]
    ours, theirs = shot_strokes(club([metres])), shot_strokes(club([PAR_4]))
    assert ours["gained"].tolist() == pytest.approx(theirs["gained"].tolist(), abs=1e-9)
    assert ours["area"].tolist() == theirs["area"].tolist()


def test_stroke_and_distance_costs_the_shot_two():
    """Out of bounds from 500 yd: the next shot is number 3 from the same tee."""
    found = shot_strokes(club([["tee 500 yd 1", "tee 500 yd 3", "fairway 200 yd 4", "green 2 ft 5"]]))
    assert found["gained"].tolist() == pytest.approx([-2.0, 4.41 - 3.19 - 1, 3.19 - 1.01 - 1, 0.01])
    assert found["penalty_strokes"].tolist() == [1, 0, 0, 0]
    assert found["gained"].sum() == pytest.approx(4.41 - 5)


def test_a_penalty_that_stands_on_the_card_only_goes_to_the_worst_shot():
    card = {"hole": 1, "par": 4, "strokes": 6, "penalty_strokes": 1}
    found = shot_strokes(club([PAR_4], [card]))
    assert found["penalty_strokes"].tolist() == [0, 1, 0, 0, 0]
    assert found["gained"].iloc[1] == pytest.approx(-1.55)
    assert found["gained"].sum() == pytest.approx(3.99 - 6)


def test_a_wrong_note_cancels_within_an_area():
    """Only the places where the area changes count: sand (approach to short game) and the first putt.

    Sand at 20 yd within 5 %: (E(21) - E(19)) / 2, E by the rule of each side; a putt of 6 ft within 10 %.
    """
    found = shot_strokes(club([PAR_4]))
    sand = (0.29 / 20 + 0.20 * 0.0740005814) / 2  # log2(20 / 19) = 0.0740005814
    putt = ((1.34 + 0.6 * 0.08) - (1.23 + 0.4 * 0.11)) / 2
    assert found["own_variance"].iloc[[0, 2, 3, 4]].tolist() == pytest.approx(
        [0, sand**2, putt**2, 0], abs=1e-9
    )
    assert found["before_variance"].tolist()[2:] == pytest.approx([sand**2, putt**2, 0], abs=1e-9)


@pytest.mark.parametrize(
    ("shots", "card", "reason"),
    [
        (PAR_4[1:], None, "the first shot is not from the tee"),
        ([*PAR_4[:-1], "green 2 ft 6"], None, None),
        (["tee 400 yd", "fairway 160 yd holed", "green 6 ft"], None, "a shot follows the one that was holed"),
        ([*PAR_4[:-1], "green 2 ft not"], None, "the last shot was not holed"),
        (PAR_4, {"strokes": 7}, "the shots do not add up to the strokes of the hole"),
        (PAR_4, {"strokes": 4}, "the shots do not add up to the strokes of the hole"),
        (
            [*PAR_4[:-1], "green 2 ft 6"],
            {"strokes": 6, "penalty_strokes": 0},
            "shot numbers leave out more than the penalty strokes",
        ),
        (PAR_4, {"strokes": 7, "penalty_strokes": 1}, "the shots do not add up to the strokes of the hole"),
    ],
)
def test_holes_without_the_whole_story_are_left_out_and_named(shots, card, reason):
    cards = [] if card is None else [{"hole": 2, "par": 4} | card]
    tables = club([PAR_4, shots], cards)
    left_out = holes_left_out(tables)
    assert left_out["reason"].tolist() == ([] if reason is None else [reason])
    assert left_out["hole"].tolist() == ([] if reason is None else [2])
    assert set(shot_strokes(tables)["hole"]) == ({1, 2} if reason is None else {1})


def test_a_club_without_shots():
    tables = make_tables({})
    assert shot_strokes(tables).empty
    assert holes_left_out(tables).empty
