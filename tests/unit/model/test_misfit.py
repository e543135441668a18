"""Rounds beside their forecasts from those before: exact, even where the model holds, off where not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from paryield.club import Club
from paryield.commands.trust import _with_newest
from paryield.evaluate.refresh import Refresh
from paryield.forecast.misfit import Left, Misfit, innovations, judged, left_over, misfit
from paryield.model.design import Observations
from paryield.model.golfers import log_likelihood
from paryield.model.sheet import sheet_of
from paryield.model.simulate import simulate_rounds
from paryield.model.terms.term import Values
from paryield.posterior.current import stored_fit
from paryield.report.misfit_words import misfit_sentences, newest_warning


def one_draw(values: Values) -> Values:
    return values.each(lambda value: np.asarray(value, dtype=float)[None])


def scores_alone(data: Observations) -> Observations:
    seen = {kind: known * (kind == "differential") for kind, known in data.seen.items()}
    return replace(data, seen=seen)


def moved(data: Observations, which: np.ndarray, by: float) -> Observations:
    """The same rounds, some of them so many strokes higher."""
    return replace(data, value=data.value | {"differential": data.value["differential"] + by * which})


@pytest.fixture(scope="module")
def many(design: Observations, values: Values) -> Left:
    """Twenty clubs drawn from the model, one after the other."""
    rng = np.random.default_rng(20261129)
    found = [left_over(one_draw(values), simulate_rounds(values, design, rng)[0]) for _ in range(20)]
    golfers = len(design.golfers)
    return Left(
        np.concatenate([one.golfer + place * golfers for place, one in enumerate(found)]),
        np.concatenate([one.day for one in found]),
        np.concatenate([one.error for one in found], axis=1),
        np.concatenate([one.spread for one in found], axis=1),
    )


def test_forecasts_one_after_another_multiply_to_the_likelihood(values: Values, drawn: Observations) -> None:
    """The chain rule of probability; the likelihood itself is held against a dense normal elsewhere."""
    bare = scores_alone(drawn)
    left = left_over(one_draw(values), bare)
    expected = log_likelihood(values, bare, sheet_of(bare))
    assert stats.norm.logpdf(left.error, scale=left.spread).sum() == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("kinds", [("differential", "test"), ("test",)])
def test_tests_with_their_lasting_mismatch_do_too(
    values: Values, drawn: Observations, kinds: tuple[str, ...]
) -> None:
    seen = {kind: known * (kind in kinds) for kind, known in drawn.seen.items()}
    bare = replace(drawn, seen=seen)
    found = innovations(one_draw(values), bare)
    assert found.is_score.any() == ("differential" in kinds)
    expected = log_likelihood(values, bare, sheet_of(bare))
    assert stats.norm.logpdf(found.error, scale=found.spread).sum() == pytest.approx(expected, rel=1e-9)


def test_each_round_knows_those_before_it_alone(values: Values, drawn: Observations) -> None:
    first = left_over(one_draw(values), drawn)
    later = drawn.days > np.median(drawn.days)
    second = left_over(one_draw(values), moved(drawn, later.astype(float), 5.0))
    early = first.day <= np.median(drawn.days)
    assert early.any()
    np.testing.assert_array_equal(first.error[:, early], second.error[:, early])
    assert not np.allclose(first.error[:, ~early], second.error[:, ~early])


def test_what_is_left_is_even_where_the_model_is_right(many: Left) -> None:
    assert stats.kstest(many.normal, "norm").pvalue > 0.01
    found = judged(many, tuple(f"G{place}" for place in range(200)), int(many.day.max()))
    assert found.usual[0] <= found.outside <= found.usual[1]
    assert abs(found.alike) < 3.0 * found.alike_error
    assert np.mean([one.stands_out for one in found.golfers]) < 0.05


def test_months_off_by_chance_are_as_rare_as_said(many: Left, design: Observations) -> None:
    clubs = len(design.golfers)
    alarms, newest = 0, 0
    for place in range(20):
        own = many.golfer // clubs == place
        one = Left(many.golfer[own] % clubs, many.day[own], many.error[:, own], many.spread[:, own])
        found = judged(one, design.golfers, design.as_of)
        alarms += any(month.stands_out for month in found.months)
        newest += found.newest is not None and found.newest.stands_out
    assert alarms <= stats.binom.ppf(0.999, 20, 0.05)
    assert newest <= stats.binom.ppf(0.999, 20, 0.05)


def found_in(values: Values, data: Observations) -> Misfit:
    return judged(left_over(one_draw(values), data), data.golfers, data.as_of)


def test_weeks_that_were_harder_for_everybody_stand_out(values: Values, drawn: Observations) -> None:
    newest = (drawn.days > drawn.as_of - 28).astype(float)
    before, found = found_in(values, drawn), found_in(values, moved(drawn, newest, 6.0))
    assert before.newest is not None
    assert found.newest is not None
    assert not before.newest.stands_out
    assert found.newest.stands_out
    # A golfer's own later rounds follow his first ones up: the mean is less than what was added.
    assert 2.0 < found.newest.off - before.newest.off < 6.0
    assert "newest four weeks lie off" in newest_warning(found.to_dict())
    assert newest_warning(before.to_dict()) == ""


def test_a_golfer_with_slips_among_his_scores_stands_out(values: Values, drawn: Observations) -> None:
    one = int(np.argmax(drawn.count("differential")))
    own = np.flatnonzero((drawn.owner == one) & (drawn.seen["differential"] > 0))
    slips = np.zeros(len(drawn.owner))
    slips[own[::4]] = 1.0
    found = found_in(values, moved(drawn, slips, 18.0))
    out = [each for each in found.golfers if each.stands_out]
    assert out[0].golfer_id == drawn.golfers[one]
    assert out[0].times > 1.3
    said = " ".join(misfit_sentences(found.to_dict(), lambda golfer: f"<{golfer}>"))
    assert f"<{drawn.golfers[one]}>" in said
    assert "typing mistakes" in said


def test_the_fitted_club_is_held_beside_its_forecasts(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        _, run = stored_fit(club)
        tables = club.tables()
    found = misfit(run, tables)
    assert found is not None
    assert found.rounds == len(tables.rounds)
    assert misfit(run, tables) is found
    lines = misfit_sentences(found.to_dict())
    assert lines[0].startswith("Each round beside its forecast")
    assert misfit_sentences(None) == ["There are too few rounds to hold beside their forecasts."]


def test_few_rounds_are_not_judged(fitted_club: Path) -> None:
    with Club.open(fitted_club) as club:
        _, run = stored_fit(club)
        tables = club.tables()
    few = replace(tables, rounds=tables.rounds.iloc[:3], holes=tables.holes.iloc[:0])
    assert misfit(run, few) is None


def test_a_refresh_says_that_the_newest_weeks_lie_off(tiny_club: Path) -> None:
    with Club.open(tiny_club) as club:
        _, facts, payload = club.run(1)
        club.save_run(payload=payload, facts=facts)
        assert _with_newest(club, Refresh(2, 1, True, [], [], [])).notes == ()
        for golfer in club.tables().golfers["golfer_id"]:
            for day in (24, 26, 28):
                cells = {"golfer_id": golfer, "played_on": f"2026-06-{day}", "score_differential": "44.9"}
                club.log("rounds", cells, today=date(2026, 7, 10))
        notes = _with_newest(club, Refresh(2, 1, True, [], [], [])).notes
        assert "the newest four weeks lie off" in " ".join(notes)
        assert "higher than forecast" in " ".join(notes)
        assert _with_newest(club, Refresh(2, 2, True, [], [], [])).notes == ()
