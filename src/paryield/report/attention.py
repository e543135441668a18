"""Which golfers a coach should look at first, and why."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta

from paryield.report.views import Listed
from paryield.report.words import by_name, chance_text, day, index_text, missing, number, weeks_text

CHANCE_AT_RISK = 0.5
"""A goal with less than an even chance is at risk (common practice, no source)."""

RECENT_WEEKS, RECENT_ROUNDS = 8, 4
"""Fewer rounds than one every two weeks say little about today (common practice, no source)."""

BIG_CHANGE_STROKES = 1.0
"""An expected change of the index that a golfer would notice (common practice, no source)."""


AFTER_ALL = 100
"""From this rank on a reason can wait: by itself it does not put a golfer among those who need a look."""

OF_ALL = 2 * AFTER_ALL
"""From this rank on a reason is that of most of the club: the season, or a diary that nobody kept up."""

MOST_SHARE, MOST_LEAST = 0.5, 4
"""What more than half of at least so many golfers have is said once, of the club. [judgement]"""


@dataclass(frozen=True)
class Reason:
    """Why a golfer needs attention; a smaller rank comes first."""

    rank: int
    text: str

    @property
    def waits(self) -> bool:
        """Whether it can wait."""
        return self.rank >= AFTER_ALL


def reasons(view: Listed) -> list[Reason]:
    """Return the reasons to look at a golfer, most pressing first; none is fine.

    That nothing is measured yet can wait: in a young club it is so of everybody.
    """
    if view.left is not None:
        return []
    found = [Reason(rank, kind(view)) for rank, kind in enumerate(_KINDS)]
    return [reason for reason in [*found, Reason(AFTER_ALL, _measurable(view))] if reason.text]


def pressing(
    ordered: Iterable[tuple[Listed, list[Reason]]],
) -> tuple[list[Listed], int]:
    """Return the golfers who need a look, and how many others have only what can wait."""
    every = list(ordered)
    common = said_once(found for _, found in every)
    shown = [(view, [one for one in found if one.text not in common]) for view, found in every]
    pairs = [(view, found) for view, found in shown if found]
    now = [view for view, found in pairs if not all(reason.waits for reason in found)]
    return now, len(pairs) - len(now)


def said_once(found: Iterable[Sequence[Reason]]) -> frozenset[str]:
    """Return the reasons that can wait and that every golfer of several has: said above the list."""
    texts = [{reason.text for reason in reasons if reason.waits} for reasons in found]
    return frozenset(set.intersection(*texts)) if len(texts) > 1 else frozenset()


def by_attention(
    views: Iterable[Listed], more: Callable[[Listed], Sequence[Reason]] = lambda _: ()
) -> list[tuple[Listed, list[Reason]]]:
    """Return the golfers with their reasons: most pressing first, then more reasons, then by name.

    ``more`` gives reasons that lie in the records alone; who has left comes last.

    Few rounds or a big change that most of the club has are no reason to look at one golfer before another:
    they can wait, and :func:`said_of_all` says them once.
    """
    pairs = _shared_last([(view, [*reasons(view), *more(view)]) for view in views])

    def order(pair: tuple[Listed, list[Reason]]) -> tuple[int, float, int, str]:
        view, found = pair
        chance = 1.0 if view.goal is None or missing(view.goal.chance) else float(view.goal.chance or 0.0)
        rank = found[0].rank if found else 2 * OF_ALL + (view.left is not None)
        return rank, chance if rank == 0 else 1.0, -len(found), by_name(view.name)

    return sorted(pairs, key=order)


def said_of_all(ordered: Sequence[tuple[Listed, list[Reason]]]) -> list[str]:
    """Return a sentence for each reason that most of the club has."""
    there = sum(view.left is None for view, _ in ordered)
    ranks = [reason.rank - OF_ALL for _, found in ordered for reason in found if reason.rank >= OF_ALL]
    return [
        words.format(count=ranks.count(rank), there=there)
        for rank, words in _SAID_OF_ALL.items()
        if rank in ranks
    ]


def _shared_last(pairs: list[tuple[Listed, list[Reason]]]) -> list[tuple[Listed, list[Reason]]]:
    there = sum(view.left is None for view, _ in pairs)
    ranks = [reason.rank for _, found in pairs for reason in found]
    shared = {rank for rank in _SAID_OF_ALL if there >= MOST_LEAST and ranks.count(rank) > MOST_SHARE * there}

    def moved(reason: Reason) -> Reason:
        return Reason(OF_ALL + reason.rank, reason.text) if reason.rank in shared else reason

    return [
        (view, sorted((moved(reason) for reason in found), key=lambda one: one.rank)) for view, found in pairs
    ]


def _goal(view: Listed) -> str:
    goal = view.goal
    if goal is not None and goal.passed:
        return f"goal passed its day ({index_text(goal.goal)} by {day(goal.by)}): {goal.reason}"
    if goal is None or goal.reached or goal.chance is None or missing(goal.chance):
        return ""
    if goal.chance >= CHANCE_AT_RISK:
        return ""
    return (
        f"goal at risk: {index_text(goal.goal)} by {day(goal.by)} has a chance of {chance_text(goal.chance)}"
    )


def _forecast(view: Listed) -> str:
    row = view.ahead("handicap_index")
    return "" if row is not None and row["reportable"] else "no forecast of the index can be given"


def _recent(view: Listed) -> str:
    count = view.rounds_after(view.as_of - timedelta(weeks=RECENT_WEEKS))
    if count >= RECENT_ROUNDS:
        return ""
    rounds = "no round" if count == 0 else f"{count} round{'' if count == 1 else 's'}"
    return f"few recent rounds: {rounds} in the last {weeks_text(RECENT_WEEKS)}"


def _measurable(view: Listed) -> str:
    return (
        ""
        if view.evidence - {"assumed"}
        else "not measured yet which practice pays: a block and tests would tell, see the advised week"
    )


def _change(view: Listed) -> str:
    row, now = view.ahead("handicap_index"), view.index_now
    if row is None or not row["reportable"] or now is None:
        return ""
    change = float(row["q50"]) - now
    if abs(change) < BIG_CHANGE_STROKES:
        return ""
    verb = "fall" if change < 0 else "rise"
    ahead = f"{number(abs(change))} in {weeks_text(view.weeks)}"
    return f"big expected change: the index may {verb} by about {ahead}"


_KINDS = (_goal, _forecast, _recent, _change)
_SAID_OF_ALL = {
    _KINDS.index(_recent): "{count} of {there} have few recent rounds, so it is the season, or rounds are "
    "missing here: bring in what was played since.",
    _KINDS.index(
        _change
    ): "The index of {count} of {there} is expected to move by a stroke or more: what most "
    "share is the season or the time without practice; each golfer's page says why.",
}
