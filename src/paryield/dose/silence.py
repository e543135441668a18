"""Weeks without a row: how many of them held practice, told from how the golfer keeps his diary.

A week of a golfer is active, a short absence or a long silence (a hidden Markov chain). In an active week he
practises with a chance of his own, and writes a row with a chance of his own. There are two kinds of writers:
one writes ``none`` for an idle week as he writes hours for another, the other writes nothing for it. Chances
and kind are averaged over a grid given the golfer's rows (forward and backward sums), so that a blank between
two entries of a regular writer stands for little, and one of somebody who often forgets for more. A long
silence holds less and less practice the longer it lasts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from paryield.arrays import BOOLS, FLOATS, INTS

BLANK, HOURS, NONE, UNSAID, UNWATCHED = 0, 1, 2, 3, 4
"""What a golfer-week shows: no row; hours; ``none``; a row that says unknown; outside the diary."""

CHANCES = np.linspace(0.05, 0.95, 10)
"""Grid of the chances to practise in an active week and to write a row about it."""
PRACTISE_PRIOR = (3.0, 1.0)
WRITE_PRIOR = (4.0, 1.0)
"""Beta priors of the two chances: most practise in three active weeks of four, and write down four of five.
[judgement]"""
SILENT_PRIOR = (1.0, 1.0)
"""Beta prior of the share of the club's writers who leave idle weeks without a row. [judgement]"""
SHORT_RATE, SHORT_WEEKS = 0.04, 2.5
"""Absences (holiday, illness) that begin in a week, and their mean length: two a year. [judgement]"""
LONG_RATE, LONG_WEEKS = 0.01, 30.0
"""Silences that begin in a week (practice or diary given up), and their mean length: one in two years.
[judgement]"""
STILL_PRACTISING, FADING_WEEKS = 0.35, 8.0
"""Share of long silences in which only the diary was given up, and the weeks in which practice without a
diary dies out. [judgement]"""
RARELY = 0.02
"""Chance of a row that the kind of week or of writer should not have."""
ROUNDS = 4
"""Rounds in which the club's share of silent writers is brought into line with its golfers."""
TOGETHER = 8
"""Golfers worked on at a time where the club is settled: more do not fit into the processor's own memory."""


@dataclass(frozen=True)
class Silence:
    """What the weeks without a row held.

    Parameters
    ----------
    practised : array, shape (golfer, week)
        Chance that the week held practice: 1 or 0 where the rows say so.
    active : array, shape (golfer, week)
        Chance that the golfer was not in a long silence.
    chance : array, shape (golfer,)
        Mean chance to practise in an active week.
    silent : array, shape (golfer,)
        Chance that the golfer writes nothing for an idle week.
    share : float
        Share of the club who write nothing for an idle week.
    """

    practised: FLOATS
    active: FLOATS
    chance: FLOATS
    silent: FLOATS
    share: float


def read_silence(shown: INTS, share: float | None = None) -> Silence:
    """Tell what weeks without a row held.

    Parameters
    ----------
    shown : int array, shape (golfer, week)
        What each week shows: :data:`BLANK` and the others.
    share : float, optional
        Share of the club who write nothing for an idle week; by default learnt from these golfers.

    Returns
    -------
    Silence
        A golfer with no blank week between his first row and the last day is answered by his rows alone.
    """
    golfers, weeks = shown.shape
    practised = np.where(shown == HOURS, 1.0, 0.0)
    active = np.ones((golfers, weeks))
    chance = np.full(golfers, PRACTISE_PRIOR[0] / sum(PRACTISE_PRIOR))
    usual = SILENT_PRIOR[0] / sum(SILENT_PRIOR) if share is None else share
    silent = np.full(golfers, usual)
    doubtful = np.flatnonzero(
        ((shown == BLANK) | (shown == UNSAID)).any(axis=1) & (shown == HOURS).any(axis=1)
    )
    if len(doubtful):
        *found, usual = _smoothed(shown[doubtful], share)
        practised[doubtful], active[doubtful], chance[doubtful], silent[doubtful] = found
    return Silence(practised, active, chance, silent, usual)


def _smoothed(shown: INTS, settled: float | None) -> tuple[FLOATS, FLOATS, FLOATS, FLOATS, float]:
    """Chances of practice and of not being in a long silence, by golfer and week; see :class:`Silence`."""
    if settled is not None and len(shown) > TOGETHER:
        parts = [_smoothed(few, settled) for few in np.array_split(shown, -(-len(shown) // TOGETHER))]
        practised, active, chance, silent = (
            np.concatenate([part[place] for part in parts]) for place in range(4)
        )
        return practised, active, chance, silent, settled
    grid = np.meshgrid(CHANCES, CHANCES, [0.0, 1.0], indexing="ij")
    practise, write, quiet = grid[0].ravel(), grid[1].ravel(), grid[2].ravel() > 0.5
    prior = _log_beta(practise, PRACTISE_PRIOR) + _log_beta(write, WRITE_PRIOR)
    emitted = _emissions(practise, write, quiet)
    states, evidence = _forward_backward(shown, emitted)
    share = SILENT_PRIOR[0] / sum(SILENT_PRIOR) if settled is None else settled
    weight = np.zeros_like(evidence)
    used = share
    for _ in range(ROUNDS):
        used = share
        log_weight = evidence + prior + np.log(np.where(quiet, share, 1.0 - share))
        weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
        weight /= weight.sum(axis=1, keepdims=True)
        kinds = weight[:, quiet].sum(axis=1)
        if settled is not None:
            break
        share = float((SILENT_PRIOR[0] + kinds.sum()) / (sum(SILENT_PRIOR) + len(kinds)))
    written_if_idle = np.where(quiet, RARELY, write)
    hidden = practise * (1.0 - write)
    held = hidden / (hidden + (1.0 - practise) * (1.0 - written_if_idle))
    in_blank = np.einsum("gp,gpw,p->gw", weight, states[..., 0], held)
    in_unsaid = np.einsum("gp,gpw,p->gw", weight, states[..., 0], practise)
    long = np.einsum("gp,gpw->gw", weight, states[..., 2])
    chance = weight @ practise
    fading = STILL_PRACTISING * np.exp(-_weeks_silent(shown) / FADING_WEEKS) * chance[:, None]
    blank = np.where(shown == UNSAID, in_unsaid, in_blank) + long * fading
    practised = np.where(shown == HOURS, 1.0, np.where((shown == BLANK) | (shown == UNSAID), blank, 0.0))
    return practised, 1.0 - long, chance, weight[:, quiet].sum(axis=1), used


def _log_beta(chance: FLOATS, prior: tuple[float, float]) -> FLOATS:
    return (prior[0] - 1.0) * np.log(chance) + (prior[1] - 1.0) * np.log(1.0 - chance)


def _emissions(practise: FLOATS, write: FLOATS, quiet: BOOLS) -> FLOATS:
    """Chance of what a week shows by state, shape (shown, point, state); states active, short, long."""
    none = np.where(quiet, RARELY, write)
    out = np.ones((5, len(practise), 3))
    out[HOURS] = np.stack([practise * write, *[np.full_like(write, 1e-9)] * 2], axis=1)
    out[NONE] = np.stack([(1.0 - practise) * none, none, np.full_like(write, RARELY)], axis=1)
    out[BLANK] = np.stack(
        [1.0 - practise * write - (1.0 - practise) * none, 1.0 - none, np.full_like(write, 1.0 - RARELY)],
        axis=1,
    )
    out[UNSAID] = np.stack([np.ones_like(write), *[np.full_like(write, RARELY)] * 2], axis=1)
    return out


def _moves() -> tuple[FLOATS, FLOATS]:
    """Chances of the first state, shape (3,), and from state to state in a week, shape (3, 3)."""
    back_short, back_long = 1.0 / SHORT_WEEKS, 1.0 / LONG_WEEKS
    moves = np.array(
        [
            [1.0 - SHORT_RATE - LONG_RATE, SHORT_RATE, LONG_RATE],
            [back_short, 1.0 - back_short, 0.0],
            [back_long, 0.0, 1.0 - back_long],
        ]
    )
    return np.array([1.0, 0.0, 0.0]), moves


def _forward_backward(shown: INTS, emitted: FLOATS) -> tuple[FLOATS, FLOATS]:
    """Chance of each state by golfer, point of the grid and week, and the log evidence of each point.

    Returns
    -------
    states : array, shape (golfer, point, week, 3)
    evidence : array, shape (golfer, point)
    """
    golfers, weeks = shown.shape
    first, moves = _moves()
    ahead = np.empty((golfers, emitted.shape[1], weeks, 3))
    evidence = np.zeros(ahead.shape[:2])
    now = np.broadcast_to(first, (*ahead.shape[:2], 3))
    opened = np.argmax(shown != UNWATCHED, axis=1)
    for week in range(weeks):
        if week:
            # Before the diary opened nothing is told: everybody opens it active.
            moved = now @ moves
            now = np.where((week <= opened)[:, None, None], first, moved)
        now = now * emitted[shown[:, week]]
        total = now.sum(axis=2)
        evidence += np.log(total)
        now = now / total[:, :, None]
        ahead[:, :, week] = now
    later = np.ones_like(now)
    states = np.empty_like(ahead)
    for week in range(weeks - 1, -1, -1):
        both = ahead[:, :, week] * later
        states[:, :, week] = both / both.sum(axis=2, keepdims=True)
        later = (later * emitted[shown[:, week]]) @ moves.T
        later = later / later.sum(axis=2, keepdims=True)
    return states, evidence


def _weeks_silent(shown: INTS) -> FLOATS:
    """Weeks since the last week with a row, shape (golfer, week)."""
    week = np.arange(shown.shape[1])[None, :]
    spoke = np.maximum.accumulate(np.where((shown == HOURS) | (shown == NONE), week, 0), axis=1)
    return np.asarray(week - spoke, dtype=float)
