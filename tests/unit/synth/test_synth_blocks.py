"""Blocks of made-up clubs: everybody gets everything, in an order by lot, and tests often."""

from __future__ import annotations

import numpy as np
import pytest

from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.synth.habits import BLOCK_WEEKS, FOCUS, draw_blocks, draw_habits, emphasise

SPEC = ClubSpec(golfers=12, weeks=52, seed=8, assessments=True, blocks_share=0.5)


@pytest.fixture(scope="module")
def club() -> MadeUpClub:
    return make_club(SPEC)


def test_every_member_gets_every_emphasis_and_in_any_block_all_are_worked_on(club: MadeUpClub) -> None:
    roster = club.truth.roster
    blocks = draw_blocks(roster, np.random.default_rng(1))
    assert blocks.members.sum() == 6
    assert (blocks.focus[~blocks.members] == -1).all()
    assert (blocks.focus[:, : roster.first] == -1).all()
    begun = blocks.focus[blocks.members][:, roster.first : roster.now : BLOCK_WEEKS]
    for own in begun:
        assert sorted(own[:6]) == list(range(6))
    for together in begun.T:
        assert sorted(together) == list(range(6))


def test_hours_stay_and_lean(club: MadeUpClub) -> None:
    roster = club.truth.roster
    blocks = draw_blocks(roster, np.random.default_rng(1))
    plain = draw_habits(roster, np.random.default_rng(2))
    leaning = emphasise(plain, blocks)
    np.testing.assert_allclose(leaning.intended.sum(axis=1), plain.intended.sum(axis=1), rtol=1e-12)
    who, week = int(np.flatnonzero(blocks.members)[0]), roster.first + 3
    total = plain.intended[who, :, week].sum()
    assert leaning.intended[who, blocks.focus[who, week], week] >= FOCUS * total - 1e-12


def test_members_of_blocks_test_often_and_the_others_as_before(club: MadeUpClub) -> None:
    plain = make_club(ClubSpec(golfers=12, weeks=52, seed=8, assessments=True))
    days = [
        one.tables.assessments.groupby("golfer_id")["assessed_on"].nunique().reindex(club.truth.ids).fillna(0)
        for one in (club, plain)
    ]
    assert (days[0] >= 12).sum() >= 5
    assert (days[0] <= 5).sum() >= 5
    assert days[1].max() <= 5
