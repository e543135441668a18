"""A round with its card: strokes typed hole by hole become rows of rounds and of holes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import pandas as pd

from paryield.errors import InputError
from paryield.results import Problem
from paryield.scoring import adjusted_gross_score
from paryield.scoring.club import index_listing
from paryield.scoring.course import course_handicap_of_round
from paryield.tables import Tables

HOLES = range(1, 19)
WHOLE = (frozenset(HOLES), frozenset(range(1, 10)), frozenset(range(10, 19)))
"""Holes that make a card: all, the first nine, the second nine."""
UNKNOWN_SCORE = (
    "it cannot be worked out from the holes without course rating, slope rating (55 to 155) and every stroke "
    "index: type those, or the score"
)
FIELDS = {"strokes": "hole", "par": "par", "stroke_index": "index"}
"""First part of a field's name by column of the holes table; the hole follows."""


@dataclass(frozen=True)
class Card:
    """Rows of a round and its holes, and what is wrong by field of the form."""

    row: dict[str, str]
    holes: list[dict[str, str]] = field(default_factory=list)
    wrong: dict[str, str] = field(default_factory=dict)


def names() -> list[str]:
    """Return the names of the fields of a card."""
    return [f"{kind}.{hole}" for kind in FIELDS.values() for hole in HOLES]


def typed(given: Mapping[str, str]) -> list[int]:
    """Return the holes for which strokes were typed."""
    return [hole for hole in HOLES if given.get(f"hole.{hole}", "").strip()]


def card_of(given: Mapping[str, str], row: Mapping[str, str], tables: Tables) -> Card:
    """Return a round and its holes as rows, as they were typed.

    What is blank and follows from the card is filled in: how many holes, the par of the round, and the
    adjusted gross score (each hole cut at net double bogey by the index in force before that day, Rule 3.1).

    Parameters
    ----------
    given : mapping
        Text by field of the form.
    row : mapping
        The round's row as typed: golfer_id, played_on and what else is known; without a round_no it is new.
    tables : Tables
        The club's, for the golfer's index and the number of the round that day.
    """
    played = typed(given)
    wrong = _wrong(given, played)
    round_no = row.get("round_no") or next_round(row, tables)
    key = {"golfer_id": row["golfer_id"], "played_on": row.get("played_on", ""), "round_no": round_no}
    holes = [
        {
            **key,
            "hole": str(hole),
            **{column: given.get(f"{name}.{hole}", "").strip() for column, name in FIELDS.items()},
        }
        for hole in played
    ]
    whole = {**row, "round_no": round_no}
    if not wrong:
        whole = {"holes": str(len(played)), "par": str(sum(int(one["par"]) for one in holes)), **whole}
        if not (whole.get("score_differential") or whole.get("adjusted_gross_score")):
            whole["adjusted_gross_score"] = _adjusted(whole, holes, tables)
            if not whole["adjusted_gross_score"]:
                wrong["adjusted_gross_score"] = UNKNOWN_SCORE
    return Card(whole, holes, wrong)


def field_of(problem: Problem, card: Card) -> str:
    """Return the field of the form that a problem of an import is about, empty where there is none."""
    if not problem.file.startswith("holes") or problem.row is None or problem.column not in FIELDS:
        return ""
    place = problem.row - 2
    if not 0 <= place < len(card.holes):
        return ""
    return f"{FIELDS[problem.column]}.{card.holes[place]['hole']}"


def _wrong(given: Mapping[str, str], played: list[int]) -> dict[str, str]:
    wrong = {}
    if frozenset(played) not in WHOLE:
        meant = min((one for one in WHOLE if set(played) <= one), key=len)
        for hole in sorted(meant - set(played)):
            wrong[f"hole.{hole}"] = f"hole {hole} has no score: type it, or leave every hole blank"
    for hole in played:
        for name, what in (("hole", "strokes"), ("par", "par")):
            text = given.get(f"{name}.{hole}", "").strip()
            if not (text.isascii() and text.isdecimal() and 0 < int(text) <= 30):
                found = f"found {text[:20]!r}" if text else "it is blank"
                wrong[f"{name}.{hole}"] = f"{what} of hole {hole} must be a whole number, {found}"
    return wrong


def next_round(row: Mapping[str, str], tables: Tables) -> str:
    """Return the number of the round on its day: one more than those on record."""
    rounds = tables.rounds
    mine = rounds[rounds["golfer_id"] == row["golfer_id"]]
    held = mine[mine["played_on"].dt.strftime("%Y-%m-%d") == row.get("played_on", "")]
    return str(1 if held.empty else int(held["round_no"].max()) + 1)


def _adjusted(row: Mapping[str, str], holes: list[dict[str, str]], tables: Tables) -> str:
    """Return the adjusted gross score, or nothing where ratings or a stroke index are not known."""
    try:
        slope, rating = (
            float(row.get(name, "").replace(",", ".")) for name in ("slope_rating", "course_rating")
        )
        ranks = [int(one["stroke_index"]) for one in holes]
        index = index_before(tables, row["golfer_id"], date.fromisoformat(row.get("played_on", "")))
        strokes, pars = ([int(one[name]) for one in holes] for name in ("strokes", "par"))
        handicap = (
            None
            if index is None
            else course_handicap_of_round(index, slope, rating, sum(pars), nine=len(holes) == 9)
        )
        return str(adjusted_gross_score(strokes, pars, ranks, handicap))
    except (ValueError, InputError):  # then it is asked for
        return ""


def index_before(tables: Tables, golfer_id: str, day: date) -> float | None:
    """Return the Handicap Index in force before a day; the one at the start where no round is on record."""
    found = [one for one in index_listing(tables, golfer_id) if one["played_on"] < day.isoformat()]
    known = [one["index_after"] for one in found if one["index_after"] is not None]
    if known:
        return float(known[-1])
    start = tables.golfers.set_index("golfer_id")["start_index"].get(golfer_id)
    return None if start is None or pd.isna(start) else float(start)
