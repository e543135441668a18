"""Groups of members: by outcome, hours, kind of practice, level, coach and group."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.programme.members import Outcome
from paryield.tables import Tables
from paryield.tables.categories import AREAS

HOUR_EDGES, LEVEL_EDGES = (2.0, 4.0), (12.0, 22.0)
"""Hours a week, and mean differential on joining (index about 9 and 18). [judgement]"""
NOT_KNOWN = "not known"
KINDS = {
    "off_the_tee": "full swing",
    "approach": "full swing",
    "short_game": "short game",
    "putting": "putting",
}
BY = ("outcome", "hours", "practice", "level", "coach", "group")
"""What members are grouped by, in the order in which groups are given room."""


def labels(outcome: Outcome, tables: Tables, categories: list[str]) -> dict[str, str]:
    """The group of one member under each of :data:`BY`."""
    person = tables.golfers[tables.golfers["golfer_id"] == outcome.member.golfer_id].iloc[0]
    known = outcome.weeks_known > 0
    return {
        "outcome": outcome.member.outcome,
        "hours": band(float(outcome.hours.sum()), HOUR_EDGES, "h a week") if known else NOT_KNOWN,
        "practice": main_kind(outcome.hours, tables, categories) if known else NOT_KNOWN,
        "level": band(outcome.level, LEVEL_EDGES, "over the course rating"),
        "coach": NOT_KNOWN if pd.isna(person["coach"]) else str(person["coach"]),
        "group": NOT_KNOWN if pd.isna(person["group"]) else str(person["group"]),
    }


def band(value: float, edges: tuple[float, ...], unit: str) -> str:
    """The band of a value: under 2, 2 to 4, 4 and more."""
    place = int(np.searchsorted(edges, value, side="right"))
    if place == 0:
        return f"under {edges[0]:g} {unit}"
    if place == len(edges):
        return f"{edges[-1]:g} {unit} and more"
    return f"{edges[place - 1]:g} to {edges[place]:g} {unit}"


def main_kind(hours: FLOATS, tables: Tables, categories: list[str]) -> str:
    """The kind of practice with most hours: putting, short game, full swing or strength and mobility."""
    total: dict[str, float] = {}
    by_name = {category.name: category for category in tables.categories}
    for weekly, name in zip(hours, categories, strict=True):
        if name not in by_name or weekly <= 0:
            continue
        if by_name[name].load == "strength" or name == "mobility":
            total["strength and mobility"] = total.get("strength and mobility", 0.0) + float(weekly)
            continue
        for area in AREAS:
            share = float(weekly) * by_name[name].serves.get(area, 0.0)
            total[KINDS[area]] = total.get(KINDS[area], 0.0) + share
    return max(sorted(total), key=lambda kind: total[kind]) if total else "none"
