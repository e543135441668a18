"""Who joins the programme of a made-up club, and who drops out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from paryield.arrays import FLOATS
from paryield.synth.golfers import Roster

if TYPE_CHECKING:
    from paryield.synth.life import Belief

PROGRAMME_WEEKS = 12
BAD_FORM = 1.0
NEVER = -1


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
