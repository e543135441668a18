"""A made-up club lived week by week: scores follow practice, and where asked practice follows scores."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.synth.ability import AREA_SHARES
from paryield.synth.diary import Habits, area_weakness
from paryield.synth.golfers import Roster
from paryield.synth.programme import Enrolments
from paryield.synth.rounds import Courses, Fixtures

ONGOING = 0.12
"""Weight of a new round in what a golfer believes about his own game."""


@dataclass(frozen=True)
class Life:
    """What happened.

    Parameters
    ----------
    hours : array, shape (golfers, categories, weeks)
        Hours practised.
    practice_strokes : array, shape (golfers, areas, weeks)
        Strokes lost by area at the start of each week, from ability and practice alone.
    expected, strokes : array, shape (rounds, areas)
        Strokes lost by area on the round's course: expected, and as played.
    rounds : Fixtures
        Rounds that were played.
    enrolments : Enrolments
        Who was in the programme, and who left.
    """

    hours: FLOATS
    practice_strokes: FLOATS
    expected: FLOATS
    strokes: FLOATS
    rounds: Fixtures
    enrolments: Enrolments


class Belief:
    """What each golfer has seen of his own game so far."""

    def __init__(self, strokes: FLOATS, noise_sd: FLOATS) -> None:
        self.lately = strokes.copy()
        self.last = np.repeat(strokes.sum(axis=1)[:, None], 5, axis=1)
        self.usual = strokes.sum(axis=1)
        self.noise_sd = noise_sd

    def see(self, golfer: npt.NDArray[np.intp], strokes: FLOATS) -> None:
        """Take in the rounds of a week, in order of date."""
        for who, lost in zip(golfer, strokes, strict=True):
            self.lately[who] += ONGOING * (lost - self.lately[who])
            self.usual[who] += 0.5 * ONGOING * (lost.sum() - self.usual[who])
            self.last[who] = np.append(self.last[who, 1:], lost.sum())

    def bad_form(self, rounds: int) -> FLOATS:
        """Return the last rounds against the usual one, in standard deviations of their mean."""
        mean = self.last[:, -rounds:].mean(axis=1)
        return np.asarray((mean - self.usual) / (self.noise_sd / np.sqrt(rounds)))


def live(
    roster: Roster, habits: Habits, fixtures: Fixtures, courses: Courses, rng: np.random.Generator
) -> Life:
    """Live all weeks of a club.

    Parameters
    ----------
    roster, habits, fixtures, courses
        The club as drawn.
    rng : numpy.random.Generator
        Decides who enrols and who leaves.
    """
    n, weeks = roster.spec.golfers, roster.weeks
    hours = np.zeros((n, len(roster.spec.categories), weeks))
    effort = np.zeros((n, len(roster.learning.slow), weeks))
    practice = np.zeros((n, len(AREA_SHARES), weeks))
    expected = np.zeros((len(fixtures.week), len(AREA_SHARES)))
    drift = roster.drift(fixtures.golfer, fixtures.day.astype(float))
    drift += courses.harder[fixtures.course][:, None] * roster.spec.shares
    noise = fixtures.noise * roster.noise_sd[fixtures.golfer][:, None]
    edges = np.searchsorted(fixtures.week, np.arange(weeks + 1))
    played = np.zeros(len(fixtures.week), dtype=bool)
    enrolments = Enrolments(roster)
    belief = Belief(roster.learning.strokes_at(effort, 0), roster.noise_sd)
    for week in range(weeks):
        practice[:, :, week] = roster.learning.strokes_at(effort, week)
        if week == roster.first:
            belief = Belief(practice[:, :, week], roster.noise_sd)
        today = slice(edges[week], edges[week + 1])
        who = fixtures.golfer[today]
        state = practice[:, :, week] + roster.form[:, :, week] - enrolments.gained(week)
        expected[today] = state[who] + drift[today]
        here = enrolments.present(week)
        played[today] = here[who]
        belief.see(who[here[who]], (expected[today] + noise[today])[here[who]])
        bad_form = belief.bad_form(3)
        hours[:, :, week] = (
            habits.week(week, area_weakness(belief.lately, roster.spec.shares), bad_form) * here[:, None]
        )
        effort[:, :, week] = roster.learning.effort(hours[:, :, week : week + 1])[:, :, 0]
        if week >= roster.first:
            enrolments.decide(week, belief, rng)
    return Life(
        hours=hours,
        practice_strokes=practice,
        expected=expected[played],
        strokes=(expected + noise)[played],
        rounds=fixtures.take(played),
        enrolments=enrolments,
    )
