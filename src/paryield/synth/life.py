"""A made-up club lived week by week: scores follow practice, and where asked practice follows scores.

Who joins the programme, and who drops out, is decided in the same weeks.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.arrays import FLOATS
from paryield.synth.golfers import Roster
from paryield.synth.habits import Habits, area_weakness
from paryield.synth.rounds import Courses, Fixtures
from paryield.synth.skills import AREA_SHARES

PROGRAMME_WEEKS = 12
BAD_FORM = 1.0
NEVER = -1

ONGOING = 0.12
"""Weight of a new round in what a golfer believes about his own game."""


class Enrolments:
    """Enrolment of each golfer, as the weeks go by.

    In the case ``enrol`` members join after bad rounds, and those who stay bad are more likely to drop
    out; otherwise about a third join in one week, whatever they scored.

    Attributes
    ----------
    started, ended : int array, shape (golfers,)
        Week of joining and of the end, -1 if not (yet).
    dropped : bool array, shape (golfers,)
        Whether the end came early.
    left : int array, shape (golfers,)
        Week of leaving the club, -1 if not.
    """

    def __init__(self, roster: Roster) -> None:
        n = roster.spec.golfers
        self.roster = roster
        self.started = np.full(n, NEVER)
        self.ended = np.full(n, NEVER)
        self.dropped = np.zeros(n, dtype=bool)
        self.left = np.full(n, NEVER)

    def gained(self, week: int) -> FLOATS:
        """Return strokes gained by the programme itself so far, shape (golfers, areas)."""
        until = np.where(self.ended == NEVER, week, np.minimum(self.ended, week))
        attended = np.where(self.started == NEVER, 0, np.clip(until - self.started, 0, PROGRAMME_WEEKS))
        total = self.roster.spec.programme_effect * attended / PROGRAMME_WEEKS
        return np.asarray(total[:, None] * self.roster.spec.shares)

    def present(self, week: int) -> np.ndarray:
        """Return who is still a member."""
        return (self.left == NEVER) | (week < self.left)

    def decide(self, week: int, belief: Belief, rng: np.random.Generator) -> None:
        """Let members join, finish, drop out and leave at the end of a week."""
        bad_form = belief.bad_form(5)
        joins, drops, leaves = rng.random((3, len(self.started)))
        if not self.roster.spec.has_programme or week >= self.roster.now:
            return
        running = (self.started != NEVER) & (self.ended == NEVER)
        finished = running & (week + 1 - self.started >= PROGRAMME_WEEKS)
        self.ended[finished] = week + 1
        running &= ~finished
        chance = np.where(bad_form > 0.0, 0.07, 0.015) * (week - self.started >= 3)
        dropping = running & (drops < chance)
        self.ended[dropping] = week + 1
        self.dropped[dropping] = True
        self.left[dropping & (leaves < 0.4)] = week + 1
        self.started[self._joining(week, bad_form, belief.usual, joins)] = week + 1

    def _joining(self, week: int, bad_form: FLOATS, usual: FLOATS, draw: FLOATS) -> np.ndarray:
        roster = self.roster
        free = (self.started == NEVER) & (week > roster.joined) & self.present(week + 1)
        if roster.spec.traits.enrol:
            open_now = roster.first + 12 <= week < roster.now - PROGRAMME_WEEKS - 2
            return free & open_now & (bad_form > BAD_FORM) & (draw < 0.2)
        if roster.spec.traits.sends:
            free &= usual > np.median(usual[self.present(week)])
        return (
            free
            & (week == roster.now - min(34, roster.spec.weeks // 2 + 8))
            & (draw < (0.7 if roster.spec.traits.sends else 0.35))
        )


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
