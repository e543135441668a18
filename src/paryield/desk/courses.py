"""Courses as the club's last round on them has them: tee, ratings, par, and par and stroke index by hole."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from paryield.adopt import ratings_on_record
from paryield.report.words import missing, one_line
from paryield.tables import Tables

ROUND = ["golfer_id", "played_on", "round_no"]
RATINGS = ("course_rating", "slope_rating")
KEPT = ("course", "tee", *RATINGS, "par")
"""Columns of a round that are the course's own."""
NINE = {"holes": "9"}
"""What a round over nine holes of a course says besides: its ratings are of those nine."""


@dataclass(frozen=True)
class Course:
    """One course from one tee.

    Parameters
    ----------
    label : str
        As it is offered: course and tee.
    values : dict
        Text by column of the rounds table, blanks left out.
    holes : dict
        Par and stroke index by hole as text; empty where no card is on record.
    asks : bool
        Whether ratings are left out because it is not known which of those on record hold for the golfer.
    """

    label: str
    values: dict[str, str]
    holes: dict[int, tuple[str, str]]
    asks: bool = False

    def given(self) -> dict[str, str]:
        """Return what a form of a round is filled with."""
        card = {f"par.{hole}": par for hole, (par, _) in self.holes.items()}
        ranks = {f"index.{hole}": rank for hole, (_, rank) in self.holes.items()}
        return {**dict.fromkeys((*KEPT, *NINE), ""), **self.values, **card, **ranks}


def filled_in(
    tables: Tables, given: Mapping[str, str], known: str, filled: str, golfer_id: str, before: str | None
) -> dict[str, str]:
    """Return what a course that is known fills in; what another one filled in before goes.

    Parameters
    ----------
    given : mapping
        Text by field as the form holds it.
    known, filled : str
        Label of the course that is chosen, and of the one that filled in the form so far.
    golfer_id : str
        Blank where nobody is chosen.
    before : str or None
        The golfer for whom the form was filled in so far. Where that is another one than now, the ratings
        follow the golfer, unless one of them was typed by hand. None where that is not known.

    Returns
    -------
    dict of str to str
        ``asks`` says that ratings are left blank, as it is not known which hold for the golfer.
    """
    courses = courses_of(tables, golfer_id)
    if known in courses and (known != filled or before is None):
        return courses[known].given() | ({"asks": "yes"} if courses[known].asks else {})
    was = courses_of(tables, before or "")[filled].given() if filled in courses else {}
    if known not in courses:
        return {name: "" for name, text in was.items() if given.get(name) == text}
    if any(given.get(name, "").strip() != was[name] for name in RATINGS):
        return {}
    now = courses[known].given()
    return {name: now[name] for name in RATINGS} | ({"asks": "yes"} if courses[known].asks else {})


def courses_of(tables: Tables, golfer_id: str = "") -> dict[str, Course]:
    """Return the club's courses by label, those played last first.

    Ratings are those that hold for the golfer (:mod:`paryield.adopt.ratings_known`), par that of the last
    round on course and tee that has one, nine holes apart from 18; the card is the last one of 18 holes from
    that tee.
    """
    ratings = {nine: ratings_on_record(tables, nine=nine) for nine in (False, True)}
    rounds = tables.rounds[tables.rounds["course"].notna()].sort_values("played_on", kind="stable")
    cards = _cards(tables)
    found: dict[str, tuple[pd.Timestamp, Course]] = {}
    short = rounds["holes"].fillna(18) < 18
    for (name, tee, nine), played in rounds.groupby(["course", "tee", short], dropna=False, sort=False):
        said = [name, *([] if missing(tee) else [tee]), *(["9 holes"] if nine else [])]
        label = one_line(", ".join(map(str, said)), 80)
        values = {column: _last(played[column]) for column in KEPT}
        written = str(name), "" if missing(tee) else str(tee)
        held = ratings[bool(nine)]
        pair = held.of(*written, golfer_id)
        values |= dict(zip(RATINGS, ("", "") if pair is None else map(_text, pair), strict=True))
        values |= NINE if nine else {}
        keys = [key for key in zip(*(played[one] for one in ROUND), strict=True) if key in cards]
        holes = cards[keys[-1]] if keys else {}
        known = {key: text for key, text in values.items() if text}
        latest = played["played_on"].max()
        same = next((one for one in found if one.casefold() == label.casefold()), None)
        if same is not None and latest <= found[same][0]:
            continue
        found.pop(same or label, None)
        found[label] = latest, Course(label, known, holes, pair is None and held.differ(*written))
    ranked = sorted(found.values(), key=lambda pair: pair[0], reverse=True)
    return {course.label: course for _, course in ranked}


def _cards(tables: Tables) -> dict[tuple[object, ...], dict[int, tuple[str, str]]]:
    """Return par and stroke index by hole of every card of 18 holes, by the key of its round."""
    found = {}
    for key, card in tables.holes.groupby(ROUND, sort=False):
        if card["hole"].nunique() == 18:
            held = zip(card["hole"], card["par"], card["stroke_index"], strict=True)
            found[key] = {int(hole): (_text(par), _text(rank)) for hole, par, rank in held}
    return found


def _last(values: pd.Series) -> str:
    known = values.dropna()
    return "" if known.empty else _text(known.iloc[-1])


def _text(value: object) -> str:
    if missing(value):
        return ""
    return f"{value:g}" if isinstance(value, float) else str(value)
