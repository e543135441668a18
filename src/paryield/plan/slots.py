"""Bays and greens shared by several golfers: plans that together take no more time than the club has.

Where they would, quarter hours move, one after the other, where the move costs its golfer least: to practice
that needs no such place, or that needs one with time to spare.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.plan.outcome import Outcome
from paryield.plan.room import Bounds
from paryield.plan.solver import QUARTER
from paryield.tables import Category, Settings
from paryield.units import MINUTES_PER_HOUR

BAY, GREEN = 0, 1
SLACK = 1e-9


def place_of(category: Category) -> int | None:
    """Which place a category takes: a green for putting and short game, a bay for other swings.

    Strength, mobility and play on the course take neither (common practice, no source).
    """
    if category.minutes_per_100_reps is None:
        return None
    short = category.serves.get("putting", 0.0) + category.serves.get("short_game", 0.0)
    return GREEN if short > 0.5 else BAY


def slots(settings: Settings) -> FLOATS:
    """Hours a week of bays and of greens, shape (2,); infinite where the club sets none."""
    minutes = np.array([settings.bay_minutes_per_week, settings.green_minutes_per_week])
    hours: FLOATS = minutes / MINUTES_PER_HOUR
    return hours


@dataclass(frozen=True)
class Shared:
    """One golfer's week among those that share places: hours advised (J,) and what may be done to them."""

    hours: FLOATS
    bounds: Bounds
    outcome: Outcome
    places: tuple[int | None, ...]

    def used(self) -> FLOATS:
        """Hours of bays and greens, shape (2,)."""
        used = np.zeros(2)
        for place, value in zip(self.places, self.hours, strict=True):
            if place is not None:
                used[place] += value
        return used


@dataclass(frozen=True)
class Move:
    """One portion of hours moved to a place (None: to practice that needs none), and its cost in strokes."""

    hours: FLOATS
    cost: float
    place: int | None
    portion: float


def share_places(weeks: Mapping[str, Shared], capacity: FLOATS) -> dict[str, FLOATS]:
    """Fit the weeks of all golfers into the places of the club.

    Parameters
    ----------
    weeks : mapping of golfer to Shared
    capacity : array, shape (2,)
        Hours a week of bays and greens.

    Returns
    -------
    dict of golfer to array, shape (J,)
        Hours of those whose week had to move.

    Raises
    ------
    InputError
        When floors and locks alone take more time than there is.
    """
    now = dict(weeks)
    moved: dict[str, FLOATS] = {}
    known: dict[str, Move | None] = {}
    before = -1
    while True:
        used = np.sum([one.used() for one in now.values()], axis=0) if now else np.zeros(2)
        full = np.flatnonzero(used > capacity + 1e-6)
        if not len(full):
            return moved
        crowded = int(full[np.argmax((used - capacity)[full])])
        spare = capacity - used
        if crowded != before:
            known, before = {}, crowded
        for name, one in now.items():
            # Time to spare only shrinks, so a move stays the cheapest while there is room for it.
            move = known.get(name)
            if name not in known or (move is not None and not _has_room(move, spare)):
                known[name] = cheapest_move(one, crowded, spare)
        open_moves = {name: move for name, move in known.items() if move is not None}
        if not open_moves:
            where = ("bay", "green")[crowded]
            raise InputError(
                f"floors and locks take more {where} time than {capacity[crowded]:g} hours a week",
                where="settings",
                remedy=f"lower them, or raise {where}_minutes_per_week",
            )
        name = min(open_moves, key=lambda golfer: open_moves[golfer].cost)
        one, hours = now[name], open_moves[name].hours
        now[name], moved[name] = Shared(hours, one.bounds, one.outcome, one.places), hours
        del known[name]


def _has_room(move: Move, spare: FLOATS) -> bool:
    return move.place is None or bool(spare[move.place] >= move.portion - SLACK)


def cheapest_move(one: Shared, crowded: int, spare: FLOATS) -> Move | None:
    """The least costly way for a golfer to take a quarter hour less of a crowded place; None without one."""
    found: list[tuple[int, int | None, float]] = []
    given: list[tuple[int, int | None, float]] = []
    for giver, place in enumerate(one.places):
        portion = min(QUARTER, float(one.hours[giver] - one.bounds.floor[giver]))
        if place != crowded or portion <= SLACK:
            continue
        given.append((giver, None, portion))
        for taker, other in enumerate(one.places):
            room = float(one.bounds.ceiling[taker] - one.hours[taker])
            fits = other is None or (other != crowded and spare[other] >= portion - SLACK)
            if taker != giver and fits and room >= portion - SLACK:
                found.append((giver, taker, portion))
    chosen = found or given  # with nowhere else to practise, the time stays free
    if not chosen:
        return None
    candidates = np.array([_shifted(one.hours, *step) for step in chosen])
    costs = one.outcome.lost(candidates).mean(axis=0)
    best = int(np.argmin(costs))
    _, taker_of, portion = chosen[best]
    place = None if taker_of is None else one.places[taker_of]
    return Move(
        candidates[best], float(costs[best] - one.outcome.lost(one.hours[None]).mean()), place, portion
    )


def _shifted(hours: FLOATS, giver: int, taker: int | None, portion: float) -> FLOATS:
    other = hours.copy()
    other[giver] -= portion
    if taker is not None:
        other[taker] += portion
    return other
