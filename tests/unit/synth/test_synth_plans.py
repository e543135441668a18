"""Made-up golfers do the stated share of their plans; without plans nothing else changes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from paryield.dose.diary import read_diary
from paryield.evaluate.made_up import true_share
from paryield.forecast.adherence import learn_adherence, plan_record
from paryield.synth import ClubSpec, make_club
from paryield.synth.habits import PLANS

SPEC = ClubSpec(golfers=40, weeks=60, seed=8, plan_weeks=40, adherence=0.6, adherence_spread=0.15)


@pytest.fixture(scope="module")
def club():
    return make_club(SPEC)


def test_golfers_do_about_the_stated_share_of_past_and_coming_plans(club) -> None:
    plans = club.tables.plans
    assert set(plans["plan"]) == set(PLANS)
    shares = np.array([true_share(club, golfer, 25) for golfer in club.truth.ids])
    assert np.nanmean(shares) == pytest.approx(0.6, abs=0.05)
    assert 0.05 < np.nanstd(shares) < 0.25


def test_learnt_shares_are_those_of_the_golfers(club) -> None:
    """Share of the past plan, learnt from diary and plans, against what each golfer goes on to do."""
    tables, ids = club.tables, list(club.truth.ids)
    starts = np.full(len(ids), int(np.datetime64(SPEC.starts_on, "D").astype(int)))
    as_of = int(np.datetime64(SPEC.ends_on, "D").astype(int))
    golfers = tables.golfers.sort_values("golfer_id", ignore_index=True)
    diary = read_diary(tables.practice, golfers, tables.categories, starts, as_of)
    found = learn_adherence(plan_record(tables, diary, list(SPEC.categories)), 2000, 1)
    assert found is not None
    mean = np.average(found.share.mean(axis=0), axis=1)
    true = club.truth
    planned = np.array([true_share(club, golfer, 25) for golfer in ids])
    assert found.club.mean() == pytest.approx(0.6, abs=0.06)
    assert np.corrcoef(mean, planned)[0, 1] > 0.5
    assert true.roster.spec.adherence == 0.6


def test_a_club_without_plans_is_what_it_was(club) -> None:
    """The new draws stand beside the old ones: who the golfers are and when they play does not change."""
    plain = make_club(replace(SPEC, plan_weeks=0))
    assert plain.tables.golfers["display_name"].equals(club.tables.golfers["display_name"])
    assert not set(plain.tables.plans["plan"]) & set(PLANS)
