"""Course ratings and slopes: lists with a column a tee, spellings of courses, the tee that is not written."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from paryield.adopt.layout import HEADER_ROWS, Layout
from paryield.adopt.memory import Question
from paryield.adopt.plays import is_of_nine, not_of_one, score_cell
from paryield.adopt.sheets import Cell, Sheet
from paryield.adopt.values import rating_and_slope, read_date, read_number, read_score
from paryield.adopt.words import meaning_of, plain

Ask = Callable[[Question], str | None]
Pair = tuple[float, float]
Ratings = Mapping[tuple[str, str], Pair]
LISTED: tuple[Cell, ...] = ("Course", "Tee", "Course rating", "Slope")
ANOTHER = "another course"
EARLIER = ("those ratings until then, the list's from that day on", "the list's ratings for all rounds")
"""Which ratings hold where a line beside a list of courses tells of other ones before some day."""
PAIR_IN = re.compile(r"(?<![\d/.,])\d{2}(?:[.,]\d)?\s*/\s*\d{2,3}(?![\d/])")
BEFORE = re.compile(
    r"\b(?:before|until|till|up to|earlier|bis|vor|vorher|fruher|avant|jusqu ?au?|antes|hasta|prima"
    r"|fino(?: al)?|voor|tot|voorheen|fore|innan|tidigare|for|inntil|tidligere|indtil"
    r"|was|war|etait|era|var)\b"
)


def listed(sheet: Sheet) -> list[Sheet]:
    """Return a list of courses with a column a tee as one with a row a tee, and what stands below it.

    Any other sheet is returned as it is.
    """
    for number, row in enumerate(sheet.rows[:HEADER_ROWS], 1):
        tees = [place for place, cell in enumerate(row) if place and isinstance(cell, str) and cell]
        below = sheet.rows[number:]
        block = _block(below, tees)
        places = [place for place in tees if any(rating_and_slope(_at(one, place)) for one in block)]
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
                if (pair := rating_and_slope(_at(one, tee))) is not None:
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
        pairs = [rating_and_slope(_at(row, place)) for place in tees]
        if not isinstance(_at(row, 0), str) or not any(pairs):
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


def _at(row: Sequence[Cell], place: int | None) -> Cell:
    return row[place] if place is not None and place < len(row) else None


def tees_of(ratings: Ratings, course: str) -> list[str]:
    """Tees of a course, plain, for which ratings are known."""
    return [tee for name, tee in ratings if name == course and tee]


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
    """

    ratings: dict[tuple[str, str], Pair]
    courses: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    tees: dict[str, str] = field(default_factory=dict)
    earlier: dict[tuple[str, str], tuple[date, Pair | None]] = field(default_factory=dict)

    def course(self, written: str) -> str:
        """Return a course's name as it is listed, or as it is written."""
        return self.courses.get(plain(written), written)

    def found(self, course: str, tee: str, golfer: str, day: date | None) -> tuple[str, Pair] | None:
        """Return tee and ratings of a round, or None where they are open."""
        key, written = plain(self.course(course)), plain(tee)
        told = pair_of(self.ratings, key, written)
        if told is None and not written and (usual := self.tees.get(plain(golfer))):
            told = pair_of(self.ratings, key, plain(usual))
        if told is None:
            return None
        before = self.earlier.get((key, told[0]))
        if before is not None and (day is None or day < before[0]):
            return None if before[1] is None else (told[0], before[1])
        return told


@dataclass(frozen=True)
class Needed:
    """A round with its course, tee and golfer as written; open where its ratings do not stand beside it."""

    course: str
    tee: str
    golfer: str
    sheet: str
    open: bool = True


def needed(sheet: Sheet, layout: Layout, golfer: Callable[[Sequence[Cell]], str | None]) -> Iterator[Needed]:
    """Yield the rounds of a sheet, and say of each whether its ratings stand beside it."""
    if layout.kind not in ("rounds", "wide rounds") or "score_differential" in layout.columns.values():
        return
    if "course_rating" in layout.title:
        return
    score, rated = layout.column("adjusted_gross_score"), layout.column("course_rating")
    who = ""
    for _, row in layout.rows(sheet):
        who = golfer(row) or who
        cells = [score_cell(row, layout)] if score is not None else [row[place] for place in layout.spread]
        if not any(read_score(cell) is not None for cell in cells):
            continue
        if not_of_one(row, layout):
            continue
        if layout.kind == "rounds" and is_of_nine(row, layout):
            continue
        name, tee = (_text(row, layout, meaning) for meaning in ("course", "tee"))
        if rated is not None and not name:
            continue
        yield Needed(name, tee, who, sheet.name, open=rated is None or row[rated] is None)


def _text(row: Sequence[Cell], layout: Layout, meaning: str) -> str:
    place = layout.column(meaning)
    cell = layout.title.get(meaning) if place is None or row[place] is None else row[place]
    return "" if cell is None else " ".join(str(cell).split())


def settle(rounds: Sequence[Needed], rated: Rated, ask: Ask) -> None:
    """Settle spellings of courses, tees that are not written, and unknown ratings, asking once for each."""
    told, rounds = rounds, [one for one in rounds if one.open]
    _courses(rounds, rated, ask)
    _tees(rounds, told, rated, ask)
    asked: dict[tuple[str, str], tuple[str, str]] = {}
    for one in rounds:
        key, tee = plain(rated.course(one.course)), plain(one.tee)
        if plain(one.course) in rated.courses and not rated.courses[plain(one.course)]:
            continue
        if rated.found(one.course, one.tee, one.golfer, date.max) is not None:
            continue
        known = tees_of(rated.ratings, key)
        if not tee and (known or _tees_written(rounds, key, rated)):
            if not (usual := rated.tees.get(plain(one.golfer))):
                continue
            tee = plain(usual)
        tee = _whole(tee, rated)
        shown = f"{rated.course(one.course)} {rated.names.get(tee, tee if not one.tee else one.tee)}".strip()
        asked.setdefault((key, tee), (shown, one.sheet))
    for (course, tee), (shown, where) in asked.items():
        what = f"of {shown!r}" if shown else "of these rounds"
        text = f"What are the course rating and the slope {what}? Write them as 71.2/128."
        answer = ask(Question(f"ratings: {f'{course} {tee}'.strip() or where}", text, where))
        numbers = [read_number(part) for part in (answer or "").replace(",", ".").split("/")]
        if len(numbers) == 2 and numbers[0] is not None and numbers[1] is not None:
            rated.ratings[course, tee] = numbers[0], numbers[1]


def _tees_written(rounds: Sequence[Needed], course: str, rated: Rated) -> bool:
    """Whether any round at a course names its tee."""
    return any(one.tee for one in rounds if plain(rated.course(one.course)) == course)


def _whole(tee: str, rated: Rated) -> str:
    """Return the only listed tee that begins as a tee is written, or the tee as it is."""
    tees = {name for _, name in rated.ratings if name}
    begun = [one for one in tees if tee and one.startswith(tee)]
    return tee if tee in tees or len(begun) != 1 else begun[0]


def _courses(rounds: Sequence[Needed], rated: Rated, ask: Ask) -> None:
    """Find the listed course that each spelling means: by its name, a name in brackets, or as was said."""
    known = {name for name, _ in rated.ratings if name}
    aliases: dict[str, str] = {}
    for name in known:
        for part in re.findall(r"[(\[]([^)\]]+)[)\]]", rated.names.get(name, "")):
            aliases[plain(part)] = name
    bare = {plain(re.sub(r"[(\[].*?[)\]]", " ", rated.names.get(name, name))): name for name in known}
    for one in rounds:
        written = plain(one.course)
        if not written or written in known or written in rated.courses:
            continue
        exact = aliases.get(written) or bare.get(written)
        if exact is not None:
            rated.courses[written] = rated.names.get(exact, exact)
            continue
        near = sorted(name for name in known if _near(written, name))
        if not near:
            continue
        names = [rated.names.get(name, name) for name in near]
        text = f"Which course is {one.course!r}?"
        proposal = names[0] if len(names) == 1 else None
        answer = ask(Question(f"course: {written}", text, one.sheet, (*names, ANOTHER), proposal))
        if answer != ANOTHER:
            rated.courses[written] = answer or ""


def _near(written: str, name: str) -> bool:
    """Whether a spelling may be a name made short: its words, or their first and some later letters."""
    short, long = written.split(), name.split()
    if len(short) > len(long):
        short, long = long, short
    places = iter(long)
    return all(any(_short_for(one, other) for other in places) for one in short)


def _short_for(word: str, other: str) -> bool:
    if word == other or (len(word) >= 3 and other.startswith(word)):
        return True
    letters = iter(other)
    return len(word) <= 4 and word[0] == other[0] and all(letter in letters for letter in word)


def _tees(rounds: Sequence[Needed], told: Sequence[Needed], rated: Rated, ask: Ask) -> None:
    """Settle which tee holds for whom where none is written and the tees of the course differ."""
    usual: dict[str, Counter[str]] = {}
    shown: dict[str, str] = {}
    for one in told:
        shown.setdefault(plain(one.golfer), one.golfer)
        if one.tee:
            tee = _whole(plain(one.tee), rated)
            usual.setdefault(plain(one.golfer), Counter())[rated.names.get(tee, one.tee)] += 1
    open_: dict[str, str] = {}
    for one in rounds:
        course = plain(rated.course(one.course))
        said = bool(one.tee) or not one.golfer or not one.course
        if said or rated.found(one.course, "", "", date.max) is not None:
            continue
        if tees_of(rated.ratings, course) or _tees_written(rounds, course, rated):
            open_.setdefault(plain(one.golfer), one.sheet)
    if not open_:
        return
    likely = {who: usual[who].most_common(1)[0][0] for who in open_ if who in usual}
    question = Question(
        "tees where none is written",
        f"Some rounds of {', '.join(shown[who] for who in open_)} name no tee. Which one was it? "
        "Write one for all, or Name: tee; Name: tee.",
        next(iter(open_.values())),
        (),
        "; ".join(f"{shown[who]}: {tee}" for who, tee in likely.items()) or None,
    )
    answer = ask(question)
    if answer is not None and ":" not in answer and answer.strip():
        rated.tees |= {who: answer.strip() for who in open_}
    for part in (answer or "").split(";"):
        name, _, tee = part.partition(":")
        if tee.strip():
            rated.tees[plain(name)] = tee.strip()
    if answer is None:
        return
    tees = {rated.names.get(tee, tee) for _, tee in rated.ratings if tee} | {
        tee for counts in usual.values() for tee in counts
    }
    for who, sheet in open_.items():
        if who not in rated.tees:
            text = f"Which tee does {shown[who]!r} play where none is written?"
            if own := ask(Question(f"tee of: {who}", text, sheet, tuple(sorted(tees)))):
                rated.tees[who] = own


def told_earlier(sheets: Sequence[Sheet], rated: Rated, ask: Ask, today: date) -> None:
    """Ask about lines that tell of other ratings than the list they stand beside."""
    for sheet in sheets:
        for number, row in enumerate(sheet.rows, 1):
            for cell in row:
                if not isinstance(cell, str) or rating_and_slope(cell) or not PAIR_IN.search(cell):
                    continue
                if len(plain(cell).split()) > 4:
                    _earlier(cell, f"{sheet.name}, row {sheet.number_of(number)}", rated, ask, today)


def _earlier(text: str, where: str, rated: Rated, ask: Ask, today: date) -> None:
    words = plain(text).split()
    pair = rating_and_slope(PAIR_IN.findall(text)[0])
    courses = [name for name in {name for name, _ in rated.ratings} if name and name.split()[0] in words]
    if pair is None or not courses:
        return
    known = [key for key in rated.ratings if key[0] in courses]
    keys = [key for key in known if key[1] and key[1].split()[0] in words] or known
    day = _day_in(text, today)
    said = None
    if day is not None and len(keys) == 1 and len(PAIR_IN.findall(text)) == 1 and BEFORE.search(plain(text)):
        question = f"The sheet says {text!r}. Which ratings hold for the rounds before {day.day} {day:%B %Y}?"
        said = ask(Question(f"other ratings: {plain(text)}", question, where, EARLIER))
        if said == EARLIER[0]:
            rated.earlier[keys[0]] = day, pair
    else:
        question = f"The sheet says {text!r}. Do the ratings of its list hold for all rounds there?"
        options = (EARLIER[1], "leave these rounds out")
        said = ask(Question(f"other ratings: {plain(text)}", question, where, options))
    if said not in EARLIER:
        for key in keys:
            rated.earlier[key] = (day if day is not None and len(keys) == 1 else date.max), None


def _day_in(text: str, today: date) -> date | None:
    return read_date(text, "day first", today)


def course_ratings(sheet: Sheet, layout: Layout, rated: Rated) -> None:
    """Add the ratings by course and tee that a sheet holds: a list of courses, or rounds that name them.

    Rounds that tell of several ratings for one course and tee say nothing of others there.
    """
    places = [layout.column(name) for name in ("course", "tee", "course_rating", "slope_rating")]
    if places[0] is None or places[2] is None:
        return
    found: dict[tuple[str, str], set[Pair]] = {}
    for _, cells in layout.rows(sheet):
        name, tee, rating, slope = (_at(cells, place) for place in places)
        pair = rating_and_slope(rating) or (read_number(rating), read_number(slope))
        if name is None or pair[0] is None or pair[1] is None or not_of_one(cells, layout):
            continue
        key = plain(name), "" if tee is None else plain(tee)
        found.setdefault(key, set()).add((pair[0], pair[1]))
        if layout.kind == "courses":
            rated.names.setdefault(key[0], " ".join(str(name).split()))
            rated.names.setdefault(key[1], " ".join(str(tee or "").split()))
    for key, pairs in found.items():
        if len(pairs) == 1:
            rated.ratings.setdefault(key, pairs.pop())
