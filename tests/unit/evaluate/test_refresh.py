"""What a change came from: the same run twice, planted shifts, other expectations, and records kept."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from paryield.club import Club
from paryield.evaluate.refresh import (
    BOTH,
    NEW_DATA,
    OTHERS,
    SAMPLING,
    SETTINGS,
    THE_WEEK,
    chosen,
    claim,
    claims,
    compare,
    week_verdicts,
)
from paryield.model.spec import ModelSpec, Priors, differences, stored_spec
from paryield.plan import advice
from paryield.plan.advice import plan_tables
from paryield.plan.evidence import GainEvidence
from paryield.plan.week_verdict import AS_GOOD_LEFT, WEEK_LEFT, WEEK_REACHED, WORTH_LEFT
from paryield.posterior import Posterior
from paryield.posterior.current import stored_fit
from paryield.report.changes import change_lines, change_page
from paryield.tables import Tables


@pytest.fixture(scope="module")
def fitted(fitted_club: Path) -> tuple[Posterior, Tables]:
    with Club.open(fitted_club) as club:
        return stored_fit(club)[1], club.tables()


def shifted(posterior: Posterior, strokes: float) -> Posterior:
    """The same fit with every golfer worse by so many strokes."""
    draws = posterior.tree["posterior"].to_dataset()
    level = draws["level"] + strokes / draws.sizes["area"]
    tree = posterior.tree.copy()
    tree["posterior"] = type(tree)(draws.assign(level=level))
    return replace(posterior, tree=tree, facts={**posterior.facts, "data": "other", "rows": {}})


def test_the_same_run_twice_changes_nothing(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    found = compare(posterior, posterior, tables, 1, 2)
    assert found.settings == []
    assert found.turned == []
    assert all(one["change"] == 0.0 and one["from"] == SAMPLING for one in found.records)
    assert {one["quantity"] for one in found.records} == {"mean_differential", "handicap_index", "return"}
    assert any("none" in line for line in change_lines(found))


def test_a_planted_shift_is_new_data_and_comes_out_whole(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    found = compare(posterior, shifted(posterior, 3.0), tables, 1, 2)
    levels = [one for one in found.records if one["quantity"] == "mean_differential"]
    for one in levels:
        assert one["change"] == pytest.approx(3.0, abs=0.3)
        assert one["from"] == NEW_DATA
        assert one["by_new_data"] + one["by_settings"] == pytest.approx(one["change"])
    page = change_page(found, "<club>")
    assert "&lt;club&gt;" in page
    assert "What changed" in page


def with_priors(posterior: Posterior, data: str, **priors: object) -> Posterior:
    spec = dict(posterior.facts["spec"])
    spec["priors"] = {**spec["priors"], **priors}
    return replace(posterior, facts={**posterior.facts, "spec": spec, "data": data})


def test_settings_alone_take_the_whole_change(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    data = posterior.facts["data"]
    new = with_priors(shifted(posterior, 3.0), data, level_mean_sd=9.0)
    found = compare(posterior, new, tables, 1, 2)
    assert found.settings == ["level_mean_sd"]
    one = next(one for one in found.records if one["quantity"] == "mean_differential")
    assert (one["from"], one["by_new_data"]) == (SETTINGS, 0.0)


def test_other_expectations_are_split_off_by_weights(fitted: tuple[Posterior, Tables]) -> None:
    """Second route: the share of the settings is the change of the weighted old draws."""
    posterior, tables = fitted
    found = compare(posterior, with_priors(posterior, "other", gain_median=0.33), tables, 1, 2)
    assert found.settings == ["gain_median"]
    for one in found.records:
        assert one["by_settings"] is not None
        assert one["by_new_data"] + one["by_settings"] == pytest.approx(one["change"])
        assert abs(one["by_settings"]) < 0.4


def test_data_and_other_settings_together_are_not_told_apart(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    found = compare(posterior, with_priors(shifted(posterior, 3.0), "other", trend_sd=0.9), tables, 1, 2)
    one = next(one for one in found.records if one["quantity"] == "mean_differential")
    assert (one["from"], one["by_settings"], one["by_new_data"]) == (BOTH, None, None)
    assert "trend_sd" in found.notes[0]


def test_monte_carlo_error_of_a_median_is_that_of_independent_draws() -> None:
    """For n independent normal draws the median's error is sqrt(pi / 2 / n); 1,000 repeated medians agree."""
    rng = np.random.default_rng(1)
    found = np.mean([claim(rng.normal(size=1000), 4).error for _ in range(20)])
    assert found == pytest.approx(np.sqrt(np.pi / 2 / 1000), rel=0.1)
    medians = np.median(rng.normal(size=(1000, 1000)), axis=1)
    assert found == pytest.approx(medians.std(), rel=0.15)


def test_all_draws_in_their_order_make_the_same_claims(fitted: tuple[Posterior, Tables]) -> None:
    posterior, tables = fitted
    same = chosen(posterior, np.arange(posterior.samples))
    start = date(1970, 1, 1) + timedelta(days=posterior.as_of)
    before, after = claims(posterior, tables, start), claims(same, tables, start)
    assert {key: one.value for key, one in before.items()} == {key: one.value for key, one in after.items()}


def test_a_stored_specification_comes_back_whole() -> None:
    import json

    spec = ModelSpec(
        seed=5, draws=7, priors=Priors(gain_medians=(("chipping", 0.2),), gain_widths=(("chipping", 1.5),))
    )
    record = json.loads(json.dumps(spec.to_dict()))
    assert stored_spec(record) == spec
    assert stored_spec({**record, "of_another_version": 1}) == spec
    facts = {"spec": record, "versions": {"numpy": "1"}}
    other = {"spec": {**record, "bend_hours": 5.0}, "versions": {"numpy": "2"}}
    assert differences(facts, facts) == []
    assert differences(facts, other) == ["bend_hours", "version of numpy"]


@pytest.fixture
def all_measured(fitted: tuple[Posterior, Tables], monkeypatch: pytest.MonkeyPatch) -> None:
    """Count all returns as measured, so that change is within reach of the tiny fit."""
    everything = {name: place for place, name in enumerate(fitted[0].categories)}
    known = GainEvidence(everything, np.ones(len(everything)), 1.0)
    monkeypatch.setattr(advice, "gain_evidence", lambda _posterior: known)


@pytest.mark.usefixtures("all_measured")
def test_advice_for_the_week_once_given_is_kept_until_it_clearly_fails(
    fitted: tuple[Posterior, Tables],
) -> None:
    """Where the week's gain lies between the two thresholds the run before decides, and a turn is listed."""
    posterior, tables = fitted
    plain = week_verdicts(posterior, tables)
    told = replace(
        posterior, facts={**posterior.facts, "plans_before": dict.fromkeys(posterior.golfers, "change")}
    )
    found = {one["golfer_id"]: one for one in plan_tables(told, tables).records}
    for golfer, record in found.items():
        held = record["chance_gain"] >= WEEK_LEFT[0] and record["gain"]["q50"] >= WEEK_LEFT[1]
        worth = record["gain"]["mean"] >= WORTH_LEFT and record["regret_now"] >= AS_GOOD_LEFT
        rest = "try" if worth else "keep"
        assert record["verdict"] == ("change" if held else rest)
        assert plain[golfer] in ("keep", "try", record["verdict"])
    turned = {one["golfer_id"]: one for one in compare(posterior, told, tables, 1, 2).turned
              if one["category"] == THE_WEEK}  # fmt: skip
    assert set(turned) == {golfer for golfer, one in found.items() if one["verdict"] != "change"}
    assert all(one["before"] == "change" for one in turned.values())


@pytest.mark.usefixtures("all_measured")
@pytest.mark.parametrize("asked", [{"hours": 3.25}, {"weeks": 16}, {"aim": "safe"}, {"free": True}])
def test_advice_of_the_run_before_holds_for_the_question_it_answered(
    fitted: tuple[Posterior, Tables], asked: dict[str, Any]
) -> None:
    posterior, tables = fitted
    told = replace(
        posterior, facts={**posterior.facts, "plans_before": dict.fromkeys(posterior.golfers, "change")}
    )
    fresh, after = (plan_tables(one, tables, **asked).records for one in (posterior, told))
    assert [one["verdict"] for one in after] == [one["verdict"] for one in fresh]
    between = [
        one
        for one in plan_tables(told, tables).records
        if one["verdict"] == "change" and one["gain"]["q50"] < WEEK_REACHED[1]
    ]
    assert between, "no golfer stands between the thresholds: the test shows nothing"


def test_without_anything_new_nothing_is_done_and_that_is_said(tiny_club: Path) -> None:
    from paryield.evaluate.refresh import refresh

    with Club.open(tiny_club) as club:
        found = refresh(club)
        assert (found.run, found.run_before, found.records) == (1, 1, [])
        assert len(club.runs()) == 1
        assert found.notes == ("nothing new since run 1: nothing done",)
        assert re.fullmatch(r"\d{4}-\d\d-\d\dT.*Z?.*: nothing new since run 1: nothing done", found.log)


def test_a_change_of_a_golfer_without_new_rows_comes_from_others(
    fitted: tuple[Posterior, Tables],
) -> None:
    posterior, tables = fitted
    moved = shifted(posterior, 2.0)
    rows = {**posterior.facts["rows"], "G02": "other"}
    new = replace(moved, facts={**moved.facts, "rows": rows})
    found = {
        one["golfer_id"]: one["from"]
        for one in compare(posterior, new, tables, 1, 2).records
        if one["quantity"] == "mean_differential"
    }
    assert found.pop("G02") == NEW_DATA
    assert set(found.values()) == {OTHERS}
