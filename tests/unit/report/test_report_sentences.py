from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import product
from typing import Any

import pytest
from report_tables import forecast_records, quantiles, returns_records, rounds_frame

from paryield.forecast.gate import BANNER
from paryield.report import GolferView, Health, RunFacts, sentences, verdicts
from paryield.report.frames import EVIDENCE, VERDICTS, returns_frame

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
    said = verdicts.verdict_sentence(row(verdict, evidence))
    assert CLAIMS[verdict, evidence] in said
    assert ("does not stand out" in said) == (verdict == "does not stand out")
    # 0.42 -/+ 1.2816 x 0.14 by the normal law.
    assert "0.42 (0.24 to 0.60)" in said


def test_no_two_cells_read_the_same() -> None:
    said = {verdicts.verdict_sentence(row(*cell)) for cell in product(VERDICTS, EVIDENCE)}
    assert len(said) == 6


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
    assert "+2.0 (8 in 10: +3.2, the better, to +0.8)" in lines[0]
    assert "fall by about 0.5 from today's +1.5" in lines[1]


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
    assert sentences.forecast_short(replace(view, left=date(2026, 1, 12))) == "left on 12 January 2026"


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


def test_a_page_says_in_a_sentence_that_a_fit_is_not_sound() -> None:
    said = sentences.plainly(BANNER)
    assert said.startswith("Do not act on these numbers: the fit behind them did not pass its checks.")
    assert sentences.plainly("") == ""
