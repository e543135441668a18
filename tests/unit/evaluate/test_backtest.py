"""The backtest on a fit at hand: what the fitter may see, what is scored, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest

from paryield.club import Club
from paryield.errors import InputError, Notice
from paryield.evaluate.backtest import (
    Backtest,
    backtest_tables,
    choose_origins,
    later_index,
    later_rounds,
    origin_scores,
    past_changes,
    plain_fit,
)
from paryield.forecast.current import current_fit
from paryield.model.spec import ModelSpec
from paryield.posterior import Posterior
from paryield.report.trust_lines import backtest_lines
from paryield.scoring import differentials, handicap_records
from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.tables import Tables, make_tables

WEEKS = (4, 8)


@pytest.fixture(scope="module")
def club() -> MadeUpClub:
    """The club of the fixture ``fitted_club``, made again, with its future at hand."""
    return make_club(ClubSpec(golfers=6, weeks=26, seed=3))


@pytest.fixture(scope="module")
def posterior(fitted_club: Path) -> Posterior:
    with Club.open(fitted_club) as opened:
        return current_fit(opened)[1]


@pytest.fixture(scope="module")
def longer(club: MadeUpClub) -> Tables:
    """The fitted club and what was played after the fit."""
    frames = dict(club.tables.items())
    later = club.future.reindex(columns=frames["rounds"].columns)
    frames["rounds"] = pd.concat([frames["rounds"], later.astype(frames["rounds"].dtypes.to_dict())])
    return make_tables(frames, categories=club.tables.categories, settings=club.tables.settings)


def fitted_before(posterior: Posterior, seen: list[Tables]):
    def fitter(known: Tables, _spec: ModelSpec, day: int) -> Posterior:
        assert day == posterior.as_of
        seen.append(known)
        return posterior

    return fitter


@pytest.fixture(scope="module")
def scores(longer: Tables, posterior: Posterior) -> pd.DataFrame:
    seen: list[Tables] = []
    found = origin_scores(longer, posterior.as_of, WEEKS, ModelSpec(), fitted_before(posterior, seen))
    last = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    assert all((known.rounds["played_on"] <= last).all() for known in seen)
    return found


def test_the_same_scores_whatever_else_the_future_holds(
    longer: Tables, posterior: Posterior, scores: pd.DataFrame
) -> None:
    """Scores of single rounds depend on these rounds alone: others later may change at will."""
    day = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    frames = dict(longer.items())
    rounds = frames["rounds"].copy()
    far = rounds["played_on"] > day + pd.Timedelta(weeks=8, days=14)
    assert far.any()
    rounds.loc[far, "adjusted_gross_score"] = rounds.loc[far, "adjusted_gross_score"] + 7
    rounds.loc[far, "score_differential"] = rounds.loc[far, "score_differential"] + 7.0
    frames["rounds"] = rounds
    other = make_tables(frames, categories=longer.categories, settings=longer.settings)
    again = origin_scores(other, posterior.as_of, WEEKS, ModelSpec(), fitted_before(posterior, []))
    pd.testing.assert_frame_equal(again, scores)


def test_what_is_scored_is_what_was_played(
    longer: Tables, posterior: Posterior, scores: pd.DataFrame
) -> None:
    """Second route: rounds and index picked from the tables by hand."""
    origin = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    table = differentials(longer)
    ours = scores[(scores["method"] == "paryield") & (scores["weeks"] == 4)]
    rounds = ours[ours["quantity"] == "score_differential"]
    near = table[
        (table["played_on"] >= origin + pd.Timedelta(days=14))
        & (table["played_on"] <= origin + pd.Timedelta(days=42))
        & table["golfer_id"].isin(posterior.golfers)
    ]
    assert len(rounds) == len(near) > 0
    index = ours[ours["quantity"] == "handicap_index"]
    records = handicap_records(longer)
    day = (origin + pd.Timedelta(weeks=4)).date()
    by_hand = {event.golfer_id: event.value for event in later_index(longer, origin, 4)}
    for golfer in index["golfer_id"]:
        assert by_hand[golfer] == records[golfer].index_as_of(day)
    assert set(scores["method"]) >= {"paryield", "no_change", "mean_of_last_20", "pooled_regression"}


def test_no_round_of_the_origin_or_before_is_a_truth(longer: Tables, posterior: Posterior) -> None:
    origin = pd.Timestamp(np.datetime64(posterior.as_of, "D"))
    events = list(later_rounds(differentials(longer), origin, 1))
    assert all(pd.Timestamp(event.name.split()[0]) > origin for event in events)


def test_changes_of_the_index_are_over_by_the_origin() -> None:
    class Record:
        steps = (type("S", (), {"played_on": date(2026, 1, 1)})(),)

        def index_as_of(self, day: date) -> float:
            assert day <= date(2026, 6, 1)
            return float((day - date(2026, 1, 1)).days)

    changes = list(past_changes([Record()], pd.Timestamp("2026-06-01"), 4))
    assert changes == [28.0] * len(changes)
    assert len(changes) == 1 + (151 - 28) // 28


def test_records_and_lines_say_where_a_plain_rule_does_as_well(scores: pd.DataFrame) -> None:
    from paryield.evaluate.scores import skill

    found = Backtest(skill(scores), scores)
    ours = [one for one in found.records if one["method"] == "paryield"]
    assert {(one["weeks"], one["quantity"]) for one in ours} == {
        (week, kind) for week in WEEKS for kind in ("score_differential", "handicap_index")
    }
    lines = backtest_lines(found.records, found.notes)
    same = [one for one in found.records if one.get("verdict") in ("not told apart", "better than ours")]
    assert bool(same) == any(line.startswith("Note:") for line in lines)
    assert found.to_frame()["n"].min() > 0


def test_origins_leave_records_before_and_rounds_after(longer: Tables) -> None:
    days = choose_origins(longer, (4,), 3)
    played = longer.rounds["played_on"].to_numpy().astype("datetime64[D]").astype(int)
    assert days == sorted(days)
    assert played.min() + 7 * 26 <= days[0]
    assert days[-1] <= played.max() - 28


@pytest.mark.parametrize(
    ("weeks", "said"), [((0,), "cannot be scored"), ((104,), "too few"), ((), "cannot be")]
)
def test_what_cannot_be_scored_is_refused(longer: Tables, weeks: tuple[int, ...], said: str) -> None:
    with pytest.raises(InputError, match=said) as caught:
        backtest_tables(longer, weeks)
    assert caught.value.remedy


@pytest.mark.slow
def test_real_fits_do_not_see_the_future(longer: Tables, posterior: Posterior) -> None:
    """The same origin with the future there and gone, fitted twice: the same forecasts to the last bit."""
    from paryield.evaluate.known import known_tables
    from paryield.forecast import forecast_tables

    spec, day = ModelSpec(draws=40, tune=60, chains=1), posterior.as_of
    known = known_tables(longer, pd.Timestamp(np.datetime64(day, "D")))
    first = forecast_tables(plain_fit(known, spec, day), known)
    both = forecast_tables(plain_fit(longer, spec, day), known)
    for golfer, ahead in first.draws.items():
        np.testing.assert_array_equal(ahead.mean, both.draws[golfer].mean)


def test_weeks_that_no_record_reaches_are_named(longer: Tables, posterior: Posterior) -> None:
    """A horizon beyond the last round has no score, and is not dropped in silence."""
    first, last = longer.rounds["played_on"].min(), longer.rounds["played_on"].max()
    beyond = int((last - first).days / 7) + 8
    with pytest.warns(Notice, match=f"^{beyond} weeks are left out: no round was played so long after"):
        found = backtest_tables(
            longer, (4, beyond), origins=1, workers=1, fitter=at_the_end(posterior), say=None
        )
    assert {record["weeks"] for record in found.records} == {4}


def at_the_end(posterior: Posterior) -> Any:
    """A fitter that gives the fit at hand whatever the day."""

    def fitter(known: Tables, _spec: ModelSpec, day: int) -> Posterior:
        return replace(posterior, facts={**posterior.facts, "as_of": day})

    return fitter
