from __future__ import annotations

from collections.abc import Callable
from datetime import date
from itertools import product
from typing import Any

import pytest
from report_tables import RETURNS, forecast_records, quantiles, returns_records, rounds_frame

from paryield.report import Goal, GolferView, Health, RunFacts, sentences, verdicts
from paryield.report.frames import EVIDENCE, VERDICTS, returns_frame
from paryield.report.words import NBSP

CLAIMS = {
    ("stands out", "measured"): "Chipping practice stands out, and the records show it",
    ("stands out", "part measured"): "partly from the records and partly from what is assumed",
    ("stands out", "assumed"): "only by assumption",
    ("does not stand out", "measured"): "does not stand out, although it was measured",
    ("does not stand out", "part measured"): "not enough to set it apart",
    ("does not stand out", "assumed"): "hardly speak about which practice pays more",
}


def row(verdict: str, evidence: str, middle: float = 0.42, sd: float = 0.14) -> dict[str, Any]:
    found = {"category": "chipping", "weeks": 12, "verdict": verdict, "evidence": evidence}
    return {**found, **quantiles(middle, sd)}


@pytest.mark.parametrize(("verdict", "evidence"), list(product(VERDICTS, EVIDENCE)))
def test_every_cell_says_verdict_amount_range_and_evidence(verdict: str, evidence: str) -> None:
    said = verdicts.return_sentence(row(verdict, evidence))
    assert CLAIMS[verdict, evidence] in said
    assert ("does not stand out" in said) == (verdict == "does not stand out")
    # 0.42 -/+ 1.2816 x 0.14 by the normal law.
    assert "saves about 0.42 strokes a round (8 in 10: 0.24 to 0.60 saved)" in said
    assert "one more hour a week kept up for 12 weeks" in said
    assert "0.42 (0.24 to 0.60)" in verdicts.verdict_sentence(row(verdict, evidence))


def test_no_two_cells_read_the_same() -> None:
    said = {verdicts.return_sentence(row(*cell)) for cell in product(VERDICTS, EVIDENCE)}
    assert len(said) == 6


def test_a_return_that_costs_strokes_adds_them() -> None:
    said = verdicts.return_sentence(row("does not stand out", "measured", middle=-0.1, sd=0.1))
    assert "adds about 0.10 strokes a round (8 in 10: −0.23 to 0.03 saved)" in said


def test_next_hour_names_the_one_that_stands_out() -> None:
    said = verdicts.next_hour_sentences(returns_frame(returns_records()))
    assert said[0].startswith("Chipping practice stands out")
    assert said[1:] == ["The record agrees with what was expected before it: chipping practice comes first."]


def test_next_hour_says_when_nothing_stands_out() -> None:
    none = [(*one[:-1], "does not stand out") for one in RETURNS]
    said = verdicts.next_hour_sentences(returns_frame(returns_records(rows=none)))
    assert said[0] == "No practice area stands out yet."
    assert f"most likely to be best is chipping practice (chance 61{NBSP}%, measured)" in said[1]
    assert not any("week because" in line or "change the week" in line for line in said)


@pytest.mark.parametrize(
    ("evidence", "first", "expected"),
    [
        ("assumed", "chipping", "the rankings agree because nothing was measured"),
        ("assumed", "irons", "Before any record irons practice comes first; nothing was measured"),
        ("measured", "chipping", "The record agrees with what was expected before it: chipping"),
        ("measured", "irons", "Before any record irons practice came first; the record speaks for chipping."),
    ],
)
def test_two_rankings_and_why_they_agree(evidence: str, first: str, expected: str) -> None:
    rows = [
        {
            "category": name,
            "chance_best": best,
            "evidence": evidence,
            "rank_before_record": 2 - (name == first),
        }
        for name, best in (("chipping", 0.6), ("irons", 0.4))
    ]
    (said,) = verdicts.rankings_sentence(rows)
    assert expected in said
    assert verdicts.rankings_sentence([{**one, "rank_before_record": None} for one in rows]) == []


def test_next_hour_without_a_diary_says_so() -> None:
    assert "no practice diary" in verdicts.next_hour_sentences(returns_frame([]))[0]


def test_phantom_practice_is_never_advised() -> None:
    phantom = [(*one[:2], 9.9, *one[3:]) if one[0] == "phantom" else one for one in RETURNS]
    said = " ".join(verdicts.next_hour_sentences(returns_frame(returns_records(rows=phantom))))
    assert "phantom" not in said


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (-0.7, "Expect it to fall by about 0.7 from today's 13.4, but the range holds today's too"),
        (0.6, "Expect it to rise by about 0.6 from today's 13.4, but the range holds today's too"),
        (0.0, "Expect it to stay near today's 13.4"),
        (-3.0, "fall by about 3.0 from today's 13.4, and today's lies outside the range"),
    ],
)
def test_forecast_says_the_direction_and_whether_it_is_sure(
    make_view: Callable[..., GolferView], change: float, said: str
) -> None:
    lines = sentences.forecast_sentences(make_view(forecast=forecast_records(change=change)))
    assert said in " ".join(lines)
    assert "on 27 September 2026 is estimated at" in lines[0]


def test_plus_handicaps_read_from_lower_to_higher(make_view: Callable[..., GolferView]) -> None:
    view = make_view(rounds=rounds_frame(-1.5), forecast=forecast_records(now=-1.5, change=-0.5))
    lines = sentences.forecast_sentences(view)
    # -2.0 -/+ 1.2816 x (0.02 + 0.26 x sqrt(12)) by the normal law.
    assert "+2.0 (8 in 10: +3.2 to +0.8)" in lines[0]
    assert "fall by about 0.5 from today's +1.5" in lines[1]
    assert sentences.now_sentences(view)[0].startswith("Handicap Index +1.5 (34 rounds on record")


def test_a_forecast_that_cannot_be_given_has_its_reason(make_view: Callable[..., GolferView]) -> None:
    blank = dict.fromkeys(quantiles(0, 1))
    refused = [
        {**one, **blank, "reportable": False, "reason": "fewer than 3 scores."} for one in forecast_records()
    ]
    view = make_view(forecast=refused)
    assert sentences.forecast_sentences(view) == [
        "The index in 12 weeks cannot be given: fewer than 3 scores."
    ]
    assert sentences.forecast_short(view) == "not given: fewer than 3 scores"


@pytest.mark.parametrize(
    ("chance", "word"),
    [(0.8, "likely"), (0.79, "more likely than not"), (0.49, "less likely than not"), (0.19, "unlikely")],
)
def test_goal_chance_in_words(chance: float, word: str) -> None:
    said = sentences.goal_sentence(Goal(11.0, date(2027, 6, 1), chance))
    assert said.startswith("Goal: Handicap Index 11.0 or lower by 1 June 2027.")
    assert f"this is {word}: estimated chance {round(chance * 100)}{NBSP}%." in said


def test_goal_without_an_answer_says_why() -> None:
    said = sentences.goal_sentence(Goal(11.0, date(2027, 6, 1), None, "no rounds"))
    assert said.endswith("The chance cannot be given: no rounds.")


def test_trust_follows_the_health_gate() -> None:
    run, quick = RunFacts(1, 1, 4000), RunFacts(1, 1, 200, quick=True)
    assert sentences.trust_sentences(Health(True), run)[0].startswith("Yes, within the ranges shown")
    assert sentences.trust_sentences(Health(True), quick)[0].startswith("Only as a first look")
    failed = sentences.trust_sentences(Health(False, ("R-hat 1.08 for G08",)), run)[0]
    assert failed.startswith("No: the fit did not pass")
    assert "R-hat 1.08 for G08" in failed


def test_trust_counts_the_evidence() -> None:
    said = sentences.trust_sentences(Health(True), RunFacts(1, 1, 9), returns_frame(returns_records()))
    assert said[1] == "Of the returns of 5 practice categories, 2 measured, 1 part measured and 2 assumed."
