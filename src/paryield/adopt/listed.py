"""What lists of golfers and of courses say, kept for spreadsheets that come without such lists."""

from __future__ import annotations

from collections.abc import Sequence

from paryield.adopt.layout import Layout
from paryield.adopt.memory import Memory
from paryield.adopt.names import shown
from paryield.adopt.nines import BACK, FRONT
from paryield.adopt.rated import Pair, Rated
from paryield.adopt.rows import name_of
from paryield.adopt.sexes import MAN, WOMAN, sexes_in
from paryield.adopt.sheets import Sheet
from paryield.adopt.values import rating_and_slope
from paryield.adopt.words import plain

LISTED, OF, BETWEEN = "listed rating: ", "sex of: ", " | "
EVERYBODY = "everybody"


def call_names(laid: Sequence[tuple[Sheet, Layout]]) -> dict[str, str]:
    """Return call names, plain, with the whole name of the only golfer who may be meant by each.

    A call name stands alone or before the last name: Teddy, and Teddy Vance, for Theodora Vance. One that is
    a part of another golfer's name says nobody.
    """
    found: dict[str, set[str]] = {}
    listed = dict[str, str]()
    for sheet, layout in laid:
        place = layout.column("called")
        if layout.kind != "golfers":
            continue
        for _, row in layout.rows(sheet):
            if (name := name_of(row, layout)) is None:
                continue
            called = "" if place is None else plain(row[place])
            listed[name] = called
            for one in _said(called, plain(shown(name)).split()) if called else ():
                found.setdefault(one, set()).add(name)
    own = {name: set(plain(shown(name)).split()) for name in listed}
    return {
        called: whole
        for called, names in found.items()
        if len(names) == 1
        for whole in names
        if not any(called in words and listed[name] != called for name, words in own.items() if name != whole)
    }


def _said(called: str, words: Sequence[str]) -> set[str]:
    """Return a call name alone, and before what stands behind the first name."""
    rest = [" ".join(words[place:]) for place in range(1, len(words))]
    return {called, *(f"{called} {last}" for last in rest if called not in last.split())}


def listed_sexes(laid: Sequence[tuple[Sheet, Layout]]) -> dict[str, str]:
    """Return who is a man or a woman, by whole names and call names, plain, as lists of golfers say."""
    found: dict[str, str] = {}
    for sheet, layout in laid:
        place = layout.column("sex")
        if layout.kind != "golfers" or place is None:
            continue
        rows = [row for _, row in layout.rows(sheet)]
        sexes = sexes_in((row[place] for row in rows), sheet.rows[layout.header - 1][place])
        for row in rows:
            if (name := name_of(row, layout)) is not None and (sex := sexes.get(plain(row[place]))):
                found[plain(name)] = sex
    for called, name in call_names(laid).items():
        if (sex := found.get(plain(name))) is not None:
            found.setdefault(called, sex)
    return found


def remember(rated: Rated, memory: Memory) -> None:
    """Keep among the answers the ratings that sheets list now, and who is a man or a woman."""
    told: dict[tuple[tuple[str, str], str], Pair] = {
        (key, EVERYBODY): one for key, one in rated.ratings.items()
    }
    for known in (rated.by_sex, rated.nines):
        told |= {(key, of): pair for key, pairs in known.items() for of, pair in pairs.items()}
    for (key, of), (rating, slope) in told.items():
        course, tee = (rated.names.get(name, name) for name in key)
        if course:
            memory.answers[f"{LISTED}{course}{BETWEEN}{tee}{BETWEEN}{of}"] = f"{rating:g}/{slope:g}"
    for golfer, sex in rated.sexes.items():
        memory.answers[f"{OF}{golfer}"] = sex


def recall(rated: Rated, memory: Memory) -> None:
    """Add the ratings that were listed before for courses and tees that no sheet lists now."""
    now = {*rated.ratings, *rated.by_sex, *rated.nines}
    for asked, answer in memory.answers.items():
        if asked.startswith(OF) and answer in (MAN, WOMAN):
            rated.sexes.setdefault(asked.removeprefix(OF), answer)
        parts = asked.removeprefix(LISTED).split(BETWEEN)
        pair = rating_and_slope(answer)
        if not asked.startswith(LISTED) or len(parts) != 3 or pair is None:
            continue
        course, tee, of = parts
        key = plain(course), plain(tee)
        if key in now:
            continue
        rated.names.setdefault(key[0], course)
        rated.names.setdefault(key[1], tee)
        if of in (MAN, WOMAN):
            rated.by_sex.setdefault(key, {})[of] = pair
        elif of in (FRONT, BACK):
            rated.nines.setdefault(key, {})[of] = pair
        else:
            rated.ratings[key] = pair
