"""Checks beside the model's answer: the plain second route, dates moved back, members who never joined."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypedDict

import numpy as np

from paryield.arrays import BOOLS, FLOATS
from paryield.dose.exposure import SPELL_ROUNDS, Enrolment, form_left
from paryield.programme.plain import Rounds, as_frame, outside_change, window_change
from paryield.programme.second import Estimate, mean_change, staggered

SEASONS = (364, 273, 182)
"""Days by which placebo dates are moved back, the longest that the records allow."""
FEWEST_MEMBERS = 5
APART = 1.96
"""Standard errors apart at which two answers are said to disagree. [judgement]"""


class MovedBack(TypedDict):
    """The second route with dates moved back: weeks, effect in strokes and its 95 % range."""

    weeks_back: int
    effect: float
    low: float
    high: float


class PlainChange(TypedDict):
    """Before and after of golfers who were not members: how many, strokes and the 95 % range."""

    golfers: int
    plain_change: float
    low: float
    high: float


@dataclass(frozen=True)
class Layout:
    """Rounds and members as the regressions read them."""

    rounds: Rounds
    members: tuple[Enrolment, ...]

    def columns(self, programme: str | None) -> tuple[FLOATS, FLOATS, BOOLS]:
        """Exposure (R,) to a programme (None: all), columns beside it (R, C), and rounds to use (R,).

        Beside it stand exposure to other programmes and form on joining, which fades by itself. The rounds
        to use leave out the last five before joining.
        """
        day = self.rounds.day.astype(float)
        here, other, form = (np.zeros(len(day)) for _ in range(3))
        use = np.ones(len(day), dtype=bool)
        for one in self.members:
            own = self.rounds.golfer == one.golfer_id
            target = here if programme in (None, one.programme) else other
            target[own] += one.exposure(day[own])
            after = own & (day >= one.start)
            form[after] += form_left(day[after] - one.start)
            use[np.flatnonzero(own & (day < one.start))[-SPELL_ROUNDS:]] = False
        beside = np.column_stack(
            [column for column in (other, form) if column.any()] or [np.empty((len(day), 0))]
        )
        return here, beside, use


def second_route(rounds: Rounds, members: tuple[Enrolment, ...], programme: str | None) -> Estimate | None:
    """Staggered difference in differences, strokes at full exposure; None where it cannot be worked out.

    Members join on their last rounds. Kept, these make the level before too bad and the programme too good;
    left out, the rounds before them are too good, because a bad spell is bad against them. So it is worked
    out both ways: the middle is given, and the gap counts as an error spread evenly between the two.
    """
    here, beside, fair = Layout(rounds, members).columns(programme)
    frame, found = as_frame(rounds), []
    for use in (np.ones(len(fair), dtype=bool), fair):
        one = staggered(frame[use], here[use], beside[use], golfer="golfer", day="day", score="score")
        if one is None:
            return None
        found.append(one)
    kept, left_out = found
    gap = (left_out.value - kept.value) / np.sqrt(12.0)
    error = float(np.hypot((kept.error + left_out.error) / 2, gap))
    return Estimate((kept.value + left_out.value) / 2, error, left_out.freedom, left_out.n)


def placebo(rounds: Rounds, members: tuple[Enrolment, ...], programme: str) -> MovedBack | None:
    """The second route with the programme's dates moved back, on rounds before it really began."""
    real = {one.golfer_id: one.start for one in sorted(members, key=lambda one: -one.start)}
    before = np.array([d < real.get(g, 10**9) for g, d in zip(rounds.golfer, rounds.day, strict=True)], bool)
    earlier = Rounds(rounds.golfer[before], rounds.day[before], rounds.score[before])
    for days in SEASONS:
        moved = tuple(_moved(one, days) for one in members if one.programme == programme)
        seen = [one for one in moved if _covered(earlier, one)]
        if len(seen) < FEWEST_MEMBERS:
            continue
        found = second_route(earlier, moved, programme)
        if found is not None:
            low, high = found.interval()
            return {"weeks_back": days // 7, "effect": found.value, "low": low, "high": high}
    return None


def _moved(one: Enrolment, days: int) -> Enrolment:
    ends = (one.planned_end - days, one.stopped - days)
    return Enrolment(one.golfer_id, one.programme, one.start - days, *ends, one.outcome, one.dated)


def _covered(rounds: Rounds, one: Enrolment) -> bool:
    days, _ = rounds.of(one.golfer_id)
    return int((days < one.start).sum()) >= SPELL_ROUNDS and int((days > one.stopped).sum()) >= SPELL_ROUNDS


def outside(
    rounds: Rounds, members: tuple[Enrolment, ...], outsiders: list[str], as_of: int
) -> PlainChange | None:
    """Before/after of golfers outside who were alike, over the members' dates; None for fewer than five."""
    pairs = [outside_change(rounds, one, outsiders, as_of) for one in members]
    own: dict[str, list[float]] = {}
    for golfer, value in (one for pair in pairs for one in pair):
        own.setdefault(golfer, []).append(value)
    if len(own) < FEWEST_MEMBERS:
        return None
    change = float(np.mean([np.mean([value for _, value in pair]) for pair in pairs if pair]))
    # One golfer may stand for several members: the error counts golfers, not pairs.
    error = mean_change([np.mean(values) for values in own.values()]).error
    return _change_shown(Estimate(change, error, len(own) - 1.0, len(own)))


def never_joined(rounds: Rounds, members: tuple[Enrolment, ...], outsiders: list[str]) -> PlainChange | None:
    """Before/after of all who never joined, over the programme's usual dates; None for fewer than five."""
    start = int(np.median([one.start for one in members]))
    end = int(np.median([one.stopped for one in members]))
    changes = [window_change(*rounds.of(golfer), start, end) for golfer in outsiders]
    known = [change for change in changes if change is not None]
    if len(known) < FEWEST_MEMBERS:
        return None
    return _change_shown(mean_change(known))


def _change_shown(found: Estimate) -> PlainChange:
    low, high = found.interval()
    return {"golfers": found.n, "plain_change": found.value, "low": low, "high": high}


def disagree(draws: FLOATS, other: Estimate) -> bool:
    """Whether the model's answer and the second route are further apart than both errors allow."""
    apart = abs(float(np.median(draws)) - other.value)
    return apart > APART * float(np.hypot(draws.std(), other.error))
