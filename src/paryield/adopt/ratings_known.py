"""Ratings of the courses on record, and for whom they hold: one rule for every way in.

Where men and women play a tee with different ratings, a golfer has those last used for his sex. Where that is
not known he has those that he played with himself last; else nothing is handed over, and it is asked.
Otherwise the latest ratings of the course and the tee hold.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import groupby
from typing import NamedTuple

import pandas as pd

from paryield.adopt.rated import Pair, Rated
from paryield.adopt.sexes import sex_of, sexes_in
from paryield.adopt.words import plain
from paryield.tables import Tables

Key = tuple[str, str]
"""Course and tee, plain; the tee is empty where none is written."""
WHOLE = 18


@dataclass(frozen=True)
class KnownRatings:
    """What is on record of courses, tees and ratings.

    Parameters
    ----------
    spelt : dict
        Every course and tee as its last round spells it.
    latest : dict
        Ratings that hold for everybody.
    by_sex : dict
        The last ones of men and of women, where they differ or only one of the two played there.
    lent : dict
        Those of one sex alone, which hold too for whoever is not known to be of the other.
    own : dict
        Golfer to the ratings that he played with last, where ratings differ and his sex is not known.
    sexes : dict of str to str
        Golfer to man or woman.
    """

    spelt: dict[Key, tuple[str, str]] = field(default_factory=dict)
    latest: dict[Key, Pair] = field(default_factory=dict)
    by_sex: dict[Key, dict[str, Pair]] = field(default_factory=dict)
    lent: dict[Key, Pair] = field(default_factory=dict)
    own: dict[str, dict[Key, Pair]] = field(default_factory=dict)
    sexes: dict[str, str] = field(default_factory=dict)

    def of(self, course: str, tee: str, golfer_id: str = "") -> Pair | None:
        """Return course rating and slope that hold for a golfer, or for one who is not known yet."""
        key, sex = (plain(course), plain(tee)), self.sexes.get(golfer_id)
        if key in self.latest:
            return self.latest[key]
        if sex is not None:
            return self.by_sex.get(key, {}).get(sex)
        return self.own.get(golfer_id, {}).get(key) or self.lent.get(key)

    def differ(self, course: str, tee: str) -> bool:
        """Whether it depends on the golfer which ratings hold."""
        key = plain(course), plain(tee)
        return key in self.by_sex or any(key in held for held in self.own.values())

    def lend(self, rated: Rated, names: Mapping[str, str]) -> None:
        """Add them to what sheets say, where those say nothing; ``names`` are the golfers' by id."""
        told = {*rated.ratings, *rated.by_sex}
        for key, (course, _) in self.spelt.items():
            rated.names.setdefault(key[0], course)
        rated.ratings |= {key: pair for key, pair in self.latest.items() if key not in told}
        rated.by_sex |= {key: dict(pairs) for key, pairs in self.by_sex.items() if key not in told}
        rated.lent |= {key: pair for key, pair in self.lent.items() if key not in told}
        for golfer, held in self.own.items():
            fresh = {key: pair for key, pair in held.items() if key not in told}
            rated.own.setdefault(plain(names.get(golfer) or golfer), {}).update(fresh)
        for golfer, sex in self.sexes.items():
            rated.sexes.setdefault(plain(names.get(golfer) or golfer), sex)


class _Used(NamedTuple):
    """Ratings that a golfer played with on a day."""

    day: pd.Timestamp
    golfer: str
    pair: Pair


def ratings_on_record(tables: Tables, *, nine: bool = False) -> KnownRatings:
    """Return the ratings of the club's courses over 18 holes, or over fewer.

    Parameters
    ----------
    tables : Tables
    nine : bool
        Whether rounds over nine holes are asked for: their ratings are of those nine.
    """
    found = KnownRatings(sexes=_sexes(tables))
    rounds = tables.rounds[tables.rounds["course"].notna()]
    short = rounds["holes"].fillna(WHOLE) < WHOLE
    rounds = rounds[short == nine].sort_values(["played_on", "round_no"], kind="stable")
    columns = ["course", "tee", "course_rating", "slope_rating", "played_on", "golfer_id"]
    used: list[tuple[Key, _Used]] = []
    for course, tee, rating, slope, day, golfer in rounds[columns].itertuples(index=False):
        written = str(course), "" if pd.isna(tee) else str(tee)
        key = plain(written[0]), plain(written[1])
        found.spelt[key] = written
        if not (pd.isna(rating) or pd.isna(slope)):
            used.append((key, _Used(day, str(golfer), (float(rating), float(slope)))))
    for key, held in groupby(sorted(used, key=lambda one: one[0]), key=lambda one: one[0]):
        _hold(found, key, [one for _, one in held])
    return found


def _hold(found: KnownRatings, key: Key, used: list[_Used]) -> None:
    """Say for whom the ratings of one course and tee hold, which were used one after the other."""
    last = used[-1].pair
    told = {found.sexes[one.golfer]: one.pair for one in used if one.golfer in found.sexes}
    begun = min(one.day for one in used if one.pair == last)
    beside = any(one.pair != last and one.day >= begun for one in used)
    if beside or len(set(told.values())) > 1:
        if told:
            found.by_sex[key] = told
        for one in used:
            if one.golfer not in found.sexes:
                found.own.setdefault(one.golfer, {})[key] = one.pair
    elif len(told) == 1 and all(one.golfer in found.sexes for one in used):
        found.by_sex[key], found.lent[key] = told, last
    else:
        found.latest[key] = last


def _sexes(tables: Tables) -> dict[str, str]:
    """Return which golfers on record are men and women, as far as words or pairs of letters say."""
    people = tables.golfers[tables.golfers["sex"].notna()]
    cells = [str(cell) for cell in people["sex"]]
    told = sexes_in(cells)
    each = zip(people["golfer_id"].astype(str), cells, strict=True)
    return {golfer: sex for golfer, cell in each if (sex := told.get(plain(cell)) or sex_of(cell))}
