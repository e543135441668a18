from __future__ import annotations

from collections.abc import Callable
from datetime import date

from report_tables import RETURNS, forecast_records, returns_records, rounds_frame

from paryield.report import Goal, GolferView
from paryield.report.attention import by_attention, pressing, reasons, said_of_all

Make = Callable[..., GolferView]
FINE = Goal(13.0, date(2027, 6, 1), 0.9)


def texts(view: GolferView) -> list[str]:
    return [reason.text.split(":")[0] for reason in reasons(view)]


def test_a_golfer_with_nothing_pressing_has_no_reason(make_view: Make) -> None:
    assert texts(make_view(goal=FINE)) == []


def test_each_reason_by_itself(make_view: Make) -> None:
    assumed = [(*one[:6], "assumed", one[7]) for one in RETURNS]
    assert texts(make_view(goal=Goal(11.0, date(2027, 6, 1), 0.49))) == ["goal at risk"]
    assert texts(make_view(goal=Goal(11.0, date(2027, 6, 1), 0.50))) == []
    assert texts(make_view(goal=None, returns=returns_records(rows=assumed))) == [
        "not measured yet which practice pays"
    ]
    assert texts(make_view(goal=None, forecast=forecast_records(change=-1.2))) == ["big expected change"]
    assert texts(make_view(goal=None, forecast=[])) == ["no forecast of the index can be given"]
    assert texts(make_view(goal=None, rounds=rounds_frame().iloc[:-2])) == ["few recent rounds"]


def test_that_nothing_was_measured_can_wait(make_view: Make) -> None:
    assumed = returns_records(rows=[(*one[:6], "assumed", one[7]) for one in RETURNS])
    views = [
        make_view(golfer_id="a", goal=None),
        make_view(golfer_id="b", goal=None, returns=assumed),
        make_view(golfer_id="c", goal=Goal(9.0, date(2027, 6, 1), 0.3), returns=assumed),
    ]
    ordered = by_attention(views)
    assert [view.golfer_id for view, _ in ordered] == ["c", "b", "a"]
    now, later = pressing(ordered)
    assert [view.golfer_id for view in now] == ["c"]
    assert later == 1


def test_recent_rounds_are_counted_by_hand(make_view: Make) -> None:
    # Rounds are 3, 14, 25, 36, 47 and 58 days before the day; 8 weeks are 56 days: five of them count.
    assert texts(make_view(goal=None)) == []
    few = reasons(make_view(goal=None, rounds=rounds_frame().iloc[:-2]))
    assert [reason.text for reason in few] == ["few recent rounds: 3 rounds in the last 8 weeks"]


def test_order_is_goal_risk_by_chance_then_the_rest_then_names(make_view: Make) -> None:
    views = [
        make_view(golfer_id="a", display_name="Zed", goal=None),
        make_view(golfer_id="b", display_name="Ada", goal=None),
        make_view(golfer_id="c", goal=None, forecast=forecast_records(change=-1.5)),
        make_view(golfer_id="d", goal=Goal(9.0, date(2027, 6, 1), 0.3)),
        make_view(golfer_id="e", goal=Goal(9.0, date(2027, 6, 1), 0.1)),
        make_view(golfer_id="f", goal=None, forecast=[]),
    ]
    assert [view.golfer_id for view, _ in by_attention(views)] == ["e", "d", "f", "c", "b", "a"]


def test_what_most_of_the_club_has_is_said_once_and_can_wait(make_view: Make) -> None:
    few = rounds_frame().iloc[:-2]
    views = [make_view(golfer_id=one, goal=None, rounds=few) for one in "abc"]
    risk = make_view(golfer_id="d", goal=Goal(9.0, date(2027, 6, 1), 0.3), rounds=few)
    ordered = by_attention([*views, risk, make_view(golfer_id="e", goal=None)])
    assert [view.golfer_id for view, _ in ordered] == ["d", "a", "b", "c", "e"]
    now, later = pressing(ordered)
    assert ([view.golfer_id for view in now], later) == (["d"], 3)
    assert [line.split(",")[0] for line in said_of_all(ordered)] == ["4 of 5 have few recent rounds"]


def test_what_half_of_a_club_or_a_handful_has_is_said_of_each(make_view: Make) -> None:
    few = rounds_frame().iloc[:-2]
    half = [make_view(golfer_id=one, goal=None, rounds=few) for one in "ab"]
    half += [make_view(golfer_id=one, goal=None) for one in "cd"]
    for views in (half, half[:2]):
        ordered = by_attention(views)
        assert [view.golfer_id for view in pressing(ordered)[0]] == ["a", "b"]
        assert said_of_all(ordered) == []
