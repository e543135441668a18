"""Places by lot where there are fewer than golfers who want one; the waiting list is the comparison.

A lot is fair, because everybody has the same chance, and telling, because nothing but luck sets those who got
a place apart from those who wait. The lot is drawn within groups of like level.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np

from paryield.arrays import BOOLS, FLOATS
from paryield.club import Club
from paryield.club.designs import StoredDesign
from paryield.days import EPOCH
from paryield.errors import InputError
from paryield.posterior import Posterior
from paryield.programme.hiding import FEWEST
from paryield.programme.plain import Rounds
from paryield.programme.second import compare_groups
from paryield.tables import make_tables

KIND = "places"
ALIKE = 6
"""Golfers next to one another in level among whom the lot is drawn."""
DAYS_AFTER = 182
ROUNDS_BEFORE, FEWEST_ROUNDS = 20, 3
ORDERS = 999


@dataclass(frozen=True)
class ByLot:
    """What the lot says: those who got a place against those who wait, whether they came or not.

    Parameters
    ----------
    places, waiting : int
        Golfers with rounds on both sides.
    effect, low, high : float
        Strokes a round, negative is better; 9 in 10.
    chance : float
        Share of the lots that could have been drawn with a difference at least as large.
    """

    places: int
    waiting: int
    effect: float
    low: float
    high: float
    chance: float


def draw_places(level: FLOATS, places: int, rng: np.random.Generator) -> BOOLS:
    """Draw who gets a place, shape (N,): the same chance for everybody, within groups of like level.

    Parameters
    ----------
    level : array, shape (N,)
    places : int
    rng : numpy.random.Generator
    """
    order = np.argsort(level, kind="stable")
    row = np.concatenate([rng.permutation(order[at : at + ALIKE]) for at in range(0, len(order), ALIKE)])
    # Systematic sampling from a random start: each has the chance places / N, and no level is passed over.
    # (Madow & Madow 1944, from memory)
    reached = np.floor(np.arange(len(row) + 1) * places / len(row) + rng.random() + 1e-12)
    drawn = np.zeros(len(level), dtype=bool)
    drawn[row[np.diff(reached) > 0]] = True
    return drawn


def start_places(
    club: Club, posterior: Posterior, name: str, places: int, among: Sequence[str], on: date, seed: int
) -> dict[str, Any]:
    """Draw the places of a programme by lot and put the lot on record.

    Parameters
    ----------
    club : Club
    posterior : Posterior
    name : str
        The programme, as the table of programmes will call it.
    places : int
    among : sequence of str
        Who wants a place.
    on : date
        When it starts.
    seed : int

    Raises
    ------
    InputError
        For a golfer that the fit does not know, or as many places as there are golfers.
    """
    wanted = sorted(dict.fromkeys(among))
    unknown = [golfer for golfer in wanted if golfer not in posterior.golfers]
    if unknown:
        raise InputError(
            f"the fit knows no golfer {unknown[0]!r}",
            where="--among",
            remedy="fit again if the golfer is new",
        )
    if not 0 < places < len(wanted):
        raise InputError(
            f"{places} places for {len(wanted)} golfers need no lot",
            where="--places",
            remedy="give fewer places than golfers who want one",
        )
    level = posterior.draws("level").sum(axis=2).mean(axis=0)
    own = np.array([level[posterior.golfer_number(golfer)] for golfer in wanted])
    drawn = draw_places(own, places, np.random.default_rng([seed, 34]))
    facts = {"kind": KIND, "programme": name, "places": places, "seed": seed, "on": on.isoformat()}
    members = [
        (golfer, {"level": float(value), "place": bool(got)})
        for golfer, value, got in zip(wanted, own, drawn, strict=True)
    ]
    club.add_design(f"places of {name}", facts, members, make_tables({}))
    return {
        "programme": name,
        "seed": seed,
        "on": on.isoformat(),
        "places": [golfer for golfer, got in zip(wanted, drawn, strict=True) if got],
        "waiting": [golfer for golfer, got in zip(wanted, drawn, strict=True) if not got],
    }


def by_lot(stored: StoredDesign, rounds: Rounds, orders: int = ORDERS) -> ByLot | None:
    """Analyse a lot as it was drawn; None where a side has fewer than five golfers with rounds.

    Scores of the half year after the start, given the level before, by least squares; the chance is worked
    out by drawing the lot again.
    """
    start = (date.fromisoformat(stored.facts["on"]) - EPOCH).days
    level = np.array([own["level"] for _, _, own in stored.members])
    got = np.array([own["place"] for _, _, own in stored.members], dtype=bool)
    before, after = np.full(len(level), np.nan), np.full(len(level), np.nan)
    for place, (_, golfer, _) in enumerate(stored.members):
        days, scores = rounds.of(golfer)
        earlier, later = scores[days < start][-ROUNDS_BEFORE:], scores[(days >= start)]
        later = later[days[days >= start] < start + DAYS_AFTER]
        if len(earlier) >= FEWEST_ROUNDS:
            before[place] = earlier.mean()
        if len(later) >= FEWEST_ROUNDS:
            after[place] = later.mean()
    known = np.isfinite(before) & np.isfinite(after)
    if min(int((got & known).sum()), int((~got & known).sum())) < FEWEST:
        return None
    found = compare_groups(after[known], got[known].astype(float), before[known])
    rng = np.random.default_rng([int(stored.facts["seed"]), 35])
    others = np.array(
        [_difference(draw_places(level, int(got.sum()), rng), before, after) for _ in range(orders)]
    )
    here = _difference(got, before, after)
    chance = (1.0 + float(np.sum(np.abs(others) >= abs(here) - 1e-9))) / (1.0 + orders)
    low, high = found.interval()
    return ByLot(int((got & known).sum()), int((~got & known).sum()), found.value, low, high, chance)


def _difference(got: BOOLS, before: FLOATS, after: FLOATS) -> float:
    """Difference of the two sides given the level before, by least squares."""
    known = np.isfinite(before) & np.isfinite(after)
    columns = np.column_stack([np.ones(known.sum()), got[known], before[known]])
    return float(np.linalg.lstsq(columns, after[known], rcond=None)[0][1])


def ends_on(stored: StoredDesign) -> date:
    """Last day of the rounds that a lot is analysed on."""
    return date.fromisoformat(stored.facts["on"]) + timedelta(days=DAYS_AFTER)
