"""An advised week once it is found: what it holds, what is said beside it, and its record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.forecast.rounds import early_notes
from paryield.plan.cautions import cautions_of
from paryield.plan.outcome import Outcome
from paryield.plan.phases import Week, is_strength
from paryield.plan.room import (
    Bounds,
    Wishes,
)
from paryield.plan.sessions import phase_rows, reps_of, session_rows, short_notes
from paryield.plan.solver import QUARTER, Room
from paryield.plan.week_verdict import (
    KEEP,
)
from paryield.posterior import Posterior
from paryield.posterior.evidence import evidence_word
from paryield.results import summary
from paryield.tables import Tables
from paryield.tables.categories import Category
from paryield.units import hours_words

NO_DIARY = (
    "no diary of the golfer's own: the present split is that of golfers of like level, its hours those on "
    "file or the median of the club"
)
SCALED = "the last 12 weeks come to {done} a week: the present week is the usual split brought to {hours}"
SCALED_FROM = 0.25
"""Share by which planned and practised hours may differ before it is said."""
CAPPED = "planned for the most weekly hours on file, {hours}"
SHORT = "not all of the time could be placed: {hours} a week stay free"
SHOWN = 0.01
"""Hours a week from which two weeks are told apart."""
HELD_BACK = "{name} is kept up in the season, not built: no more of it is planned"
UNKNOWN = "{name}: nobody in the club has practised it, so it counts as no gain"


@dataclass(frozen=True)
class Advice:
    """One golfer's plan, before it is written down.

    ``now``, ``best`` and ``advised`` are hours a week by category, shape (J,); ``gain`` are draws of
    strokes saved by ``best`` against ``now`` at the horizon, shape (S,). ``regret`` and ``regret_now`` are
    strokes that the advised and the present week fall short of the best one of each draw, ``evidence`` the
    share measured of the returns that ``best`` moves, ``price`` what it costs if the hours it adds do
    nothing. ``before`` is what the run before answered to the same question.
    """

    golfer_id: str
    names: tuple[str, ...]
    hours: float
    weeks: tuple[Week, ...]
    shares: FLOATS
    bounds: Bounds
    room: Room
    now: FLOATS
    best: FLOATS
    advised: FLOATS
    gain: FLOATS = field(repr=False)
    regret: float
    regret_now: float
    evidence: float
    price: float
    verdict: str
    before: str | None
    notes: tuple[str, ...]
    outcome: Outcome = field(repr=False)
    search: Outcome = field(repr=False)


def told_apart(hours: float, done: float) -> bool:
    """Return whether planned and practised weekly hours differ by so much that both are said."""
    return abs(hours - done) > SCALED_FROM * max(hours, done)


def held_back(
    tables: Tables, names: Sequence[str], bounds: Bounds, room: Room, best: FLOATS
) -> tuple[str, ...]:
    """Say of strength work whose return may stand out why the week has no more of it."""
    most = room.hours(room.high)
    return tuple(
        HELD_BACK.format(name=name.replace("_", " "))
        for place, name in enumerate(names)
        if is_strength(tables.category(name))
        and best[place] >= most[place] - SHOWN
        and bounds.usual[1, place] >= most[place] + QUARTER
    )


def notes_of(
    posterior: Posterior,
    golfer_id: str,
    names: Sequence[str],
    wishes: Wishes,
    hours: float,
    advised: FLOATS,
) -> tuple[str, ...]:
    """Return what is said beside a week: where its hours come from, and what does not fit."""
    notes = []
    done = float(posterior.constant("recent")[posterior.golfer_number(golfer_id)].sum())
    if done <= 0:
        notes.append(NO_DIARY)
    elif told_apart(hours, done):
        notes.append(SCALED.format(done=hours_words(done), hours=hours_words(hours)))
    if hours < wishes.hours:
        notes.append(CAPPED.format(hours=hours_words(hours)))
    if hours - advised.sum() > QUARTER + 1e-6:
        notes.append(SHORT.format(hours=hours_words(hours - float(advised.sum()))))
    notes += early_notes(posterior, ())
    notes += [UNKNOWN.format(name=name) for name in names if name not in posterior.categories]
    return tuple(notes)


def record_of(
    found: Advice, tables: Tables, locks: Mapping[str, tuple[int, float]], aim: str, as_of: int
) -> dict[str, Any]:
    """Return an advised week as a record of the ``plan`` command."""
    categories = [tables.category(name) for name in found.names]
    return {
        "golfer_id": found.golfer_id,
        "hours": found.hours,
        "weeks": len(found.weeks),
        "aim": aim,
        "verdict": found.verdict,
        "evidence": evidence_word(found.evidence),
        "gain": summary(found.gain),
        "chance_gain": float(np.mean(found.gain > 0)),
        "price_if_wrong": found.price,
        "regret": found.regret,
        "regret_now": found.regret_now,
        "areas_to_test": areas_to_test(categories, found.best - found.now),
        "limited": limited(found),
        "cautions": list(cautions_of(tables, found.golfer_id, categories, found.advised, as_of)),
        "weeks_plan": [
            {
                "category": category.name,
                "hours_now": tidy(found.now[place]),
                "hours_advised": tidy(found.advised[place]),
                "hours_best": tidy(found.best[place]),
                "reps_advised": reps_of(category, found.advised[place]),
                "usual_low": tidy(found.bounds.usual[0, place]),
                "usual_high": tidy(found.bounds.usual[1, place]),
            }
            for place, category in enumerate(categories)
        ],
        "phases": phase_rows(found.weeks, found.shares, found.names, found.advised),
        "sessions": session_rows(
            found.weeks, found.shares, categories, found.advised, locks, found.bounds.ceiling
        ),
        "notes": [*found.notes, *short_notes(found.names, found.advised, locks)],
    }


def areas_to_test(categories: Sequence[Category], moved: FLOATS) -> list[str]:
    """Scoring areas whose tests would show what the moved hours do, those of the largest moves first."""
    ranked = sorted(zip(categories, np.abs(moved), strict=True), key=lambda pair: -pair[1])
    areas = [max(one.serves, key=one.serves.__getitem__) for one, hours in ranked if hours >= QUARTER]
    return list(dict.fromkeys(areas))[:2]


def limited(found: Advice) -> list[str]:
    """Categories of which less is advised than is practised now because no more is allowed."""
    held = np.minimum(found.bounds.ceiling, found.advised)
    if found.verdict != KEEP:
        held = found.bounds.ceiling
    return [name for name, now, most in zip(found.names, found.now, held, strict=True) if most < now - SHOWN]


def tidy(hours: float) -> float:
    """Hours to a thousandth, rounded down so that a sum never passes what was given."""
    return float(np.floor(hours * 1000 + 1e-6) / 1000)
