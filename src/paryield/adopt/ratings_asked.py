"""Asks about courses, tees and ratings that the sheets leave open, once for each."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from datetime import date

from paryield.adopt.days import read_date
from paryield.adopt.memory import Ask, Question
from paryield.adopt.nines import without_nine
from paryield.adopt.rated import Needed, Rated, tees_of
from paryield.adopt.sexes import MAN, WOMAN
from paryield.adopt.sheets import Sheet
from paryield.adopt.values import rating_and_slope, read_number
from paryield.adopt.words import plain

ANOTHER = "another course"
EARLIER = ("those ratings until then, the list's from that day on", "the list's ratings for all rounds")
"""Which ratings hold where a line beside a list of courses tells of other ones before some day."""
PAIR_IN = re.compile(r"(?<![\d/.,])\d{2}(?:[.,]\d)?\s*/\s*\d{2,3}(?![\d/])")
BEFORE = re.compile(
    r"\b(?:before|until|till|up to|earlier|bis|vor|vorher|fruher|avant|jusqu ?au?|antes|hasta|prima"
    r"|fino(?: al)?|voor|tot|voorheen|fore|innan|tidigare|for|inntil|tidligere|indtil"
    r"|was|war|etait|era|var)\b"
)


def settle(rounds: Sequence[Needed], rated: Rated, ask: Ask) -> None:
    """Settle spellings of courses, tees that are not written, and unknown ratings, asking once for each."""
    told, rounds = rounds, [one for one in rounds if one.open]
    _courses(rounds, rated, ask)
    unknown = _sexes(rounds, rated, ask)
    rounds = [one for one in rounds if plain(one.golfer) not in unknown or not _differ(one, rated)]
    _tees(rounds, told, rated, ask)
    asked: dict[tuple[str, str], tuple[str, list[Needed]]] = {}
    for one in rounds:
        key, tee = plain(rated.course(one.course)), plain(one.tee)
        if plain(one.course) in rated.courses and not rated.courses[plain(one.course)]:
            continue
        if rated.found(one.course, one.tee, one.golfer, date.max, one.part) is not None:
            continue
        known = tees_of(rated.known_tees(), key)
        if not tee and (known or _tees_written(rounds, key, rated)):
            if not (usual := rated.tees.get(plain(one.golfer))):
                continue
            tee = plain(usual)
        tee = _whole(tee, rated)
        shown = f"{rated.course(one.course)} {rated.names.get(tee, tee if not one.tee else one.tee)}".strip()
        if plain(one.tee) in [name for course, name in rated.by_sex if course == key]:
            shown = f"{shown}, {WHOSE[rated.sex(one.golfer)]}"
        asked.setdefault((key, tee), (shown, []))[1].append(one)
    for (course, tee), (shown, ones) in asked.items():
        where, what = ones[0].sheet, f"of {shown!r}" if shown else "of these rounds"
        rows = "row" if len(ones) == 1 else f"{len(ones)} rows, first"
        text = (
            f"What are the course rating and the slope {what} ({rows} {ones[0].row})? Write them as 71.2/128."
        )
        answer = ask(Question(f"ratings: {f'{course} {tee}'.strip() or where}", text, where))
        numbers = [read_number(part) for part in (answer or "").replace(",", ".").split("/")]
        if len(numbers) == 2 and numbers[0] is not None and numbers[1] is not None:
            rated.ratings[course, tee] = numbers[0], numbers[1]


WHOSE = {MAN: "men", WOMAN: "ladies", None: "everybody"}


def _differ(one: Needed, rated: Rated) -> bool:
    return rated.differ(one.course, one.tee or rated.tees.get(plain(one.golfer), ""), one.golfer)


def _sexes(rounds: Sequence[Needed], rated: Rated, ask: Ask) -> set[str]:
    """Ask whose ratings hold for golfers who play where those differ; return the open ones."""
    unknown: dict[str, Needed] = {}
    for one in rounds:
        if one.golfer and _differ(one, rated):
            unknown.setdefault(plain(one.golfer), one)
    for golfer, one in unknown.items():
        text = f"Do the ratings of men or of women hold for {one.golfer!r}?"
        answer = ask(Question(f"sex of: {golfer}", text, one.sheet, (MAN, WOMAN)))
        if answer is not None:
            rated.sexes[golfer] = answer
    return {golfer for golfer in unknown if golfer not in rated.sexes}


def _tees_written(rounds: Sequence[Needed], course: str, rated: Rated) -> bool:
    """Whether any round at a course names its tee."""
    return any(one.tee for one in rounds if plain(rated.course(one.course)) == course)


def _whole(tee: str, rated: Rated) -> str:
    """Return the only listed tee that begins as a tee is written, or the tee as it is."""
    tees = {name for _, name in rated.known_tees() if name}
    begun = [one for one in tees if tee and one.startswith(tee)]
    return tee if tee in tees or len(begun) != 1 else begun[0]


def _courses(rounds: Sequence[Needed], rated: Rated, ask: Ask) -> None:
    """Find the listed course that each spelling means: by its name, a name in brackets, or as was said."""
    known = {name for name, _ in rated.known_tees() if name}
    bracketed: dict[str, set[str]] = {}
    for name in known:
        for part in re.findall(r"[(\[]([^)\]]+)[)\]]", rated.names.get(name, "")):
            if (whole := without_nine(name)) is None or whole not in known:
                bracketed.setdefault(plain(part), set()).add(name)
    aliases = {part: next(iter(names)) for part, names in bracketed.items() if len(names) == 1}
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
        if tees_of(rated.known_tees(), course) or _tees_written(rounds, course, rated):
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
    tees = {rated.names.get(tee, tee) for _, tee in rated.known_tees() if tee} | {
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
    courses = [name for name in {name for name, _ in rated.known_tees()} if name and name.split()[0] in words]
    if pair is None or not courses:
        return
    known = [key for key in rated.known_tees() if key[0] in courses]
    keys = [key for key in known if key[1] and key[1].split()[0] in words] or known
    day = read_date(text, "day first", today)
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
