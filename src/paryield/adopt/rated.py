"""Course ratings and slopes: lists with a column a tee, spellings of courses, the tee that is not written."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from paryield.adopt.layout import HEADER_ROWS, Layout
from paryield.adopt.names import may_be
from paryield.adopt.nines import BACK, FRONT, NINE_OF_THEM, nine_of, without_nine
from paryield.adopt.plays import not_of_one, part_played, score_cell
from paryield.adopt.sexes import sexes_in
from paryield.adopt.sheets import Cell, Sheet, cell_at
from paryield.adopt.values import rating_and_slope, read_number, read_score
from paryield.adopt.words import meaning_of, plain
from paryield.tables.check import LOWEST_RATING_OF_18

Pair = tuple[float, float]
Ratings = Mapping[tuple[str, str], Pair]
LISTED: tuple[Cell, ...] = ("Course", "Tee", "Course rating", "Slope")


def listed(sheet: Sheet) -> list[Sheet]:
    """Return a list of courses with a column a tee as one with a row a tee, and what stands below it.

    Any other sheet is returned as it is.
    """
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        tees = [place for place, cell in enumerate(row) if place and isinstance(cell, str) and cell]
        below = sheet.rows[number:]
        block = _block(below, tees)
        places = [place for place in tees if any(rating_and_slope(cell_at(one, place)) for one in block)]
        if (
            not block
            or len(places) < 2
            or any(meaning_of(str(row[one])) == "course_rating" for one in places)
        ):
            continue
        if any(meaning_of(str(cell)) in ("adjusted_gross_score", "date") for cell in row):
            return [sheet]
        rows, numbers = [[*LISTED]], [sheet.number_of(number)]
        for place, one in enumerate(block, number + 1):
            for tee in places:
                if (pair := rating_and_slope(cell_at(one, tee))) is not None:
                    rows.append([one[0], row[tee], *pair])
                    numbers.append(sheet.number_of(place))
        end = number + len(block)
        found = [replace(sheet, rows=rows, numbers=tuple(numbers))]
        return [*found, *_rest(sheet, end)]
    return [sheet]


def _block(rows: Sequence[Sequence[Cell]], tees: Sequence[int]) -> list[Sequence[Cell]]:
    """Rows from the first with a course and a pair of ratings to the last such without one in between."""
    out: list[Sequence[Cell]] = []
    for row in rows:
        pairs = [rating_and_slope(cell_at(row, place)) for place in tees]
        if not isinstance(cell_at(row, 0), str) or not any(pairs):
            break
        out.append(row)
    return out


def _rest(sheet: Sheet, end: int) -> list[Sheet]:
    """What stands below a list: where it is one of golfers with an index, its first heading says who."""
    rows = [list(row) for row in sheet.rows[end:]]
    for row in rows:
        indexed = [place for place, cell in enumerate(row) if cell and meaning_of(str(cell)) == "start_index"]
        if indexed and row[0] is not None and meaning_of(str(row[0])) is None:
            row[0] = "Player"
            numbers = tuple(sheet.number_of(place) for place in range(end + 1, len(sheet.rows) + 1))
            return [replace(sheet, rows=rows, numbers=numbers)]
    return []


def tees_of(keys: Iterable[tuple[str, str]], course: str) -> list[str]:
    """Tees of a course, plain, for which ratings are known."""
    return [tee for name, tee in keys if name == course and tee]


def pair_of(ratings: Ratings, course: str, tee: str) -> tuple[str, Pair] | None:
    """Return the tee that is meant and its ratings: as written, or the only one that begins so.

    Without a tee, or with one that is not listed, they are those of the course where it has only one.
    """
    if (found := ratings.get((course, tee))) is not None:
        return tee, found
    tees = tees_of(ratings, course)
    begun = [one for one in tees if tee and one.startswith(tee)]
    if len(begun) == 1:
        return begun[0], ratings[course, begun[0]]
    if tee and tees:
        return None
    pairs = {ratings[course, one] for one in tees}
    if (course, "") in ratings:
        pairs.add(ratings[course, ""])
    return (tee, pairs.pop()) if len(pairs) == 1 else None


@dataclass
class Rated:
    """What was settled of courses, tees and ratings.

    Parameters
    ----------
    ratings : dict
        Course and tee, plain, to course rating and slope.
    courses, names : dict of str to str
        Course as written, plain, to its name; plain names of courses and tees to how they are listed.
    tees : dict of str to str
        Golfer, plain, to the tee that holds where none is written.
    earlier : dict
        Course and tee, plain, to a day and the ratings before it; None in their place while that is open.
    by_sex, nines : dict
        Course and tee, plain, to the ratings of men and of women, or of each nine.
    sexes : dict of str to str
        Golfer, plain, to man or woman.
    lent, own : dict
        Ratings on record of men or of women alone, by course and tee, and those that a golfer, plain, played
        with last: they hold for who is not known to be a man or a woman.
    """

    ratings: dict[tuple[str, str], Pair]
    courses: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    tees: dict[str, str] = field(default_factory=dict)
    earlier: dict[tuple[str, str], tuple[date, Pair | None]] = field(default_factory=dict)
    by_sex: dict[tuple[str, str], dict[str, Pair]] = field(default_factory=dict)
    nines: dict[tuple[str, str], dict[str, Pair]] = field(default_factory=dict)
    sexes: dict[str, str] = field(default_factory=dict)
    lent: dict[tuple[str, str], Pair] = field(default_factory=dict)
    own: dict[str, dict[tuple[str, str], Pair]] = field(default_factory=dict)

    def known_tees(self) -> dict[tuple[str, str], None]:
        """Return the courses and tees, plain, for which any ratings are known."""
        return dict.fromkeys((*self.ratings, *self.by_sex))

    def sex(self, golfer: str) -> str | None:
        """Return whether a golfer, as written, is a man or a woman, where that is known."""
        own = self.sexes.get(plain(golfer))
        if own is None and golfer:
            told = {sex for name, sex in self.sexes.items() if may_be(golfer, name)}
            own = told.pop() if len(told) == 1 else None
        return own

    def _unsexed(self, golfer: str) -> dict[tuple[str, str], Pair]:
        """Ratings on record that hold for a golfer who is not known to be a man or a woman."""
        own = self.own.get(plain(golfer))
        if own is None and golfer:
            told = [held for name, held in self.own.items() if may_be(golfer, name)]
            own = told[0] if len(told) == 1 else None
        return {**self.lent, **(own or {})}

    def open_to(self, golfer: str) -> Ratings:
        """Return the ratings that hold for a golfer: those of men or of women where there are both."""
        sex = self.sex(golfer) if self.by_sex else None
        if sex is None:
            return {**self.ratings, **self._unsexed(golfer)}
        return {**self.ratings, **{key: told[sex] for key, told in self.by_sex.items() if sex in told}}

    def differ(self, course: str, tee: str, golfer: str) -> bool:
        """Whether a course and tee have ratings of men or of women and it is not known which hold."""
        key = plain(self.course(course))
        begun = {(name, one) for name, one in self.by_sex if name == key and one.startswith(plain(tee))}
        return bool(begun - self._unsexed(golfer).keys()) and self.sex(golfer) is None

    def course(self, written: str) -> str:
        """Return a course's name as it is listed, or as it is written."""
        return self.courses.get(plain(written), written)

    def _of(self, ratings: Ratings, course: str, tee: str, golfer: str) -> tuple[str, Pair] | None:
        """Return tee and ratings as :func:`pair_of` does, by the golfer's usual tee where none is written."""
        told = pair_of(ratings, course, tee)
        if told is None and not tee and (usual := self.tees.get(plain(golfer))):
            told = pair_of(ratings, course, plain(usual))
        return told

    def found(
        self, course: str, tee: str, golfer: str, day: date | None, part: str | None = None
    ) -> tuple[str, Pair] | None:
        """Return tee and ratings of a round, or of a nine of it, or None where they are open."""
        key, written = plain(self.course(course)), plain(tee)
        told = self._of(self.open_to(golfer), key, written, golfer)
        if part in (FRONT, BACK, NINE_OF_THEM):
            nines = {
                one: pair
                for one, told_of in self.nines.items()
                if (pair := told_of.get(part, told_of.get(NINE_OF_THEM))) is not None
            }
            nine = self._of(nines, key, written, golfer)
            if nine is not None and (told is None or told[0] == nine[0]):
                return nine
        if told is None:
            return None
        before = self.earlier.get((key, told[0]))
        if before is not None and (day is None or day < before[0]):
            return None if before[1] is None else (told[0], before[1])
        return told


@dataclass(frozen=True)
class Needed:
    """A round with its course, tee and golfer as written; open where its ratings do not stand beside it.

    ``row`` is that of the file, from 1.
    """

    course: str
    tee: str
    golfer: str
    sheet: str
    open: bool = True
    row: int = 0
    part: str | None = None


def needed(sheet: Sheet, layout: Layout, golfer: Callable[[Sequence[Cell]], str | None]) -> Iterator[Needed]:
    """Yield the rounds of a sheet, and say of each whether its ratings stand beside it."""
    worked_out = layout.column("score_differential")
    if layout.kind not in ("rounds", "wide rounds"):
        return
    if "course_rating" in layout.title:
        return
    score, rated = layout.column("adjusted_gross_score"), layout.column("course_rating")
    who = ""
    for number, row in layout.rows(sheet):
        who = golfer(row) or who
        cells = [score_cell(row, layout)] if score is not None else [row[place] for place in layout.spread]
        if not any(read_score(cell) is not None for cell in cells):
            continue
        if not_of_one(row, layout) or (worked_out is not None and read_number(row[worked_out]) is not None):
            continue
        name, tee = (_text(row, layout, meaning) for meaning in ("course", "tee"))
        if (rated is not None or worked_out is not None) and not name:
            continue
        if worked_out is not None and not (_may_be_dated(row, layout) and re.search(r"[^\W\d]{2}", name)):
            continue
        part = part_played(row, layout)
        beside = rated is not None and row[rated] is not None
        yield Needed(name, tee, who, sheet.name, not beside, number, part)


def _may_be_dated(row: Sequence[Cell], layout: Layout) -> bool:
    """Whether a row has no day of its own, or one that is no bare word such as a name."""
    place = layout.column("date")
    cell = None if place is None else row[place]
    return not isinstance(cell, str) or any(map(str.isdigit, cell))


def _text(row: Sequence[Cell], layout: Layout, meaning: str) -> str:
    place = layout.column(meaning)
    cell = layout.title.get(meaning) if place is None or row[place] is None else row[place]
    return "" if cell is None else " ".join(str(cell).split())


def course_ratings(sheet: Sheet, layout: Layout, rated: Rated) -> None:
    """Add the ratings by course and tee that a sheet holds: a list of courses, or rounds that name them.

    Rounds that tell of several ratings for one course and tee say nothing of others there.
    """
    places = [layout.column(name) for name in ("course", "tee", "course_rating", "slope_rating")]
    if places[0] is None or places[2] is None:
        return
    found: dict[tuple[str, str], set[Pair]] = {}
    nines: dict[tuple[str, str], set[Pair]] = {}
    sexed, part = (layout.column(name) for name in ("sex", "holes"))
    sexes = {} if sexed is None else sexes_in(row[sexed] for _, row in layout.rows(sheet))
    for _, cells in layout.rows(sheet):
        name, tee, rating, slope = (cell_at(cells, place) for place in places)
        pair = rating_and_slope(rating) or (read_number(rating), read_number(slope))
        if name is None or pair[0] is None or pair[1] is None or not_of_one(cells, layout):
            continue
        key = plain(name), "" if tee is None else plain(tee)
        own = (pair[0], pair[1])
        sex, nine = sexes.get(plain(cell_at(cells, sexed) or "")), nine_of(cell_at(cells, part))
        if nine is None and (whole := without_nine(str(name))) is not None and own[0] < LOWEST_RATING_OF_18:
            nines.setdefault((whole, key[1]), set()).add(own)
        if layout.kind == "courses" and sex is not None:
            rated.by_sex.setdefault(key, {})[sex] = own
        elif layout.kind == "courses" and nine in (FRONT, BACK):
            rated.nines.setdefault(key, {})[nine] = own
        elif nine == NINE_OF_THEM:
            if own[0] < LOWEST_RATING_OF_18:
                nines.setdefault(key, set()).add(own)
        else:
            found.setdefault(key, set()).add(own)
        if layout.kind == "courses":
            rated.names.setdefault(key[0], " ".join(str(name).split()))
            rated.names.setdefault(key[1], " ".join(str(tee or "").split()))
    for key, pairs in found.items():
        if len(pairs) == 1:
            rated.ratings.setdefault(key, pairs.pop())
    for key, pairs in nines.items():
        if len(pairs) == 1 and NINE_OF_THEM not in rated.nines.get(key, {}):
            rated.nines.setdefault(key, {})[NINE_OF_THEM] = pairs.pop()
