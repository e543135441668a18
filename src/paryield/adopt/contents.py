"""What columns hold as their cells say, where their headings say nothing or something else."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from datetime import date

from paryield.adopt.log import COUNTED, read_log
from paryield.adopt.names import name_words, short_for
from paryield.adopt.sexes import sexes_in
from paryield.adopt.sheets import Cell
from paryield.adopt.values import read_minutes, read_number
from paryield.adopt.words import DASHES, TOTALS, begins_sum, plain, practice_of

MOSTLY_KNOWN = 0.5
"""Share of the cells of a column that must be names of known golfers, for it to be theirs. [judgement]"""


def _numbers(rows: Sequence[Sequence[Cell]], place: int) -> list[float]:
    found = (read_number(row[place]) for row in rows if place < len(row))
    return sorted(number for number in found if number is not None)


def corrected(columns: dict[int, str], rows: Sequence[Sequence[Cell]]) -> dict[int, str]:
    """Correct what a header says where the cells say otherwise: a rating of 125 is a slope."""
    out = dict(columns)
    for place, meaning in columns.items():
        numbers = _numbers(rows, place)
        middle = numbers[len(numbers) // 2] if numbers else None
        if meaning in ("start_index", "goal_index") and not numbers:
            del out[place]
        if (
            meaning == "course_rating"
            and middle is not None
            and middle > 90
            and "slope_rating" not in columns.values()
        ):
            out[place] = "slope_rating"
        if meaning == "holes" and middle is not None and middle > 18:
            del out[place]
        if (
            meaning == "adjusted_gross_score"
            and middle is not None
            and middle <= 15
            and "score_differential" not in out.values()
        ):
            del out[place]
    return _with_raw(out, rows)


def _with_raw(columns: dict[int, str], rows: Sequence[Sequence[Cell]]) -> dict[int, str]:
    """Keep a column of scores as they were where some row has no adjusted one."""
    places = {meaning: place for place, meaning in columns.items()}
    raw, adjusted = places.get("raw_score"), places.get("adjusted_gross_score")
    if raw is None or adjusted is None:
        return columns
    pairs = [(row[raw], row[adjusted]) for row in rows if max(raw, adjusted) < len(row)]
    if any(one is not None and other is None for one, other in pairs):
        return columns
    return {place: meaning for place, meaning in columns.items() if place != raw}


def with_golfers(
    columns: dict[int, str],
    spread: Mapping[int, object],
    header: Sequence[Cell],
    rows: Sequence[Sequence[Cell]],
    people: Collection[frozenset[str]],
) -> dict[int, str]:
    """Take a column for that of the golfers whose heading says nothing, where most cells are known names."""
    if {"golfer", "golfer_id", "first_name", "last_name"} & set(columns.values()):
        return columns
    for place in range(len(header)):
        if place in columns or place in spread:
            continue
        cells = [str(row[place]) for row in rows if place < len(row) and row[place] is not None]
        known = sum(name_words(cell) in people or short_for(name_words(cell), people) for cell in cells)
        if known and known >= MOSTLY_KNOWN * len(cells):
            return {**columns, place: "golfer"}
    return columns


PRACTICE = 0.5
"""Share of a column's cells that must name a kind of practice for it to say what was done. [judgement]"""
LENGTHS = 0.9
"""Share of a column's cells that must be lengths of time for it to say how long. [judgement]"""
SCORED = ("adjusted_gross_score", "score_differential", "course_rating", "slope_rating")


def names_kind(cell: Cell) -> bool:
    """Whether a cell names a kind of practice; balls alone, as in ``100 balls``, name none."""
    if not isinstance(cell, str):
        return False
    said = [one.phrase for one in read_log(cell)]
    return any(practice_of(one) and not re.fullmatch(COUNTED, one) for one in said)


def cells_of(rows: Sequence[Sequence[Cell]], place: int) -> list[Cell]:
    """Return the filled cells of a column."""
    return [row[place] for row in rows if place < len(row) and row[place] is not None]


def practice_share(rows: Sequence[Sequence[Cell]], place: int) -> float:
    """Return the share of a column's filled cells that name a kind of practice."""
    cells = cells_of(rows, place)
    return sum(map(names_kind, cells)) / len(cells) if cells else 0.0


def with_words_for_amounts(columns: dict[int, str], rows: Sequence[Sequence[Cell]]) -> dict[int, str]:
    """Take a column of amounts for that of what was practised where its cells say it: ``putting 30``.

    What says less of it in another column is a remark then, where the sheet has none.
    """
    held = {meaning: place for place, meaning in columns.items()}
    if "log" in held or not set(held) & {"date", "week", "week_ending"}:
        return columns
    told = {
        held[name]: practice_share(rows, held[name]) for name in ("minutes", "hours", "reps") if name in held
    }
    place = max(told, key=lambda one: told[one], default=None)
    beside = practice_share(rows, held["category"]) if "category" in held else 0.0
    if place is None or told[place] < PRACTICE or told[place] <= beside:
        return columns
    out = {**columns, place: "log"}
    if "category" in held and "note" in held:
        del out[held["category"]]
    elif "category" in held:
        out[held["category"]] = "note"
    return out


def with_contents(
    columns: dict[int, str],
    spread: Mapping[int, object],
    header: Sequence[Cell],
    rows: Sequence[Sequence[Cell]],
) -> dict[int, str]:
    """Take columns whose headings say nothing for what their cells say.

    Men and women; how many were made, beside how many were tried; what was practised, where no heading says
    it and the remarks name less of it.
    """
    out = dict(columns)
    free = [place for place, cell in enumerate(header) if cell is not None and place not in spread]
    for place in free:
        letters = re.fullmatch(r"\s*\w\s*/\s*\w\s*", str(header[place])) is not None
        if (place not in out or letters) and sexes_in(cells_of(rows, place), header[place]):
            out[place] = "sex"
    free = [place for place in free if place not in out]
    held = {meaning: place for place, meaning in out.items()}
    if "tried" in held and "made" not in held:
        fits = [place for place in free if _parts_of(rows, place, held["tried"])]
        if len(fits) == 1:
            out[fits[0]] = "made"
    if not set(held) & {"log", "category", *SCORED} and set(held) & {"date", "week", "week_ending"}:
        told = {place: practice_share(rows, place) for place in free}
        beside = practice_share(rows, held["note"]) if "note" in held else 0.0
        fits = [place for place, share in told.items() if share >= PRACTICE and share > beside]
        if len(fits) == 1:
            out[fits[0]] = "category"
    if "category" in out.values() and not set(held) & {"minutes", "hours", "reps", "tried"}:
        fits = [place for place in free if place not in out and _are_lengths(rows, place)]
        if len(fits) == 1:
            out[fits[0]] = "minutes"
    return dict(sorted(out.items()))


def _are_lengths(rows: Sequence[Sequence[Cell]], place: int) -> bool:
    """Whether the cells of a column are lengths of time, most of them with a unit."""
    cells = cells_of(rows, place)
    lengths = [read_minutes(cell) is not None for cell in cells]
    units = [isinstance(cell, str) and read_number(cell) != read_minutes(cell) for cell in cells]
    said = [one and two for one, two in zip(lengths, units, strict=True)]
    return bool(cells) and sum(lengths) >= LENGTHS * len(cells) and any(said)


def _parts_of(rows: Sequence[Sequence[Cell]], part: int, whole: int) -> bool:
    """Whether the numbers of a column are whole, and never more than those of another one beside them."""
    pairs = [
        (read_number(row[part]), read_number(row[whole]))
        for row in rows
        if max(part, whole) < len(row) and row[part] is not None
    ]
    told = [(one, other) for one, other in pairs if one is not None and other is not None]
    return (
        len(told) == len(pairs)
        and bool(told)
        and all(0 <= one <= other and one == int(one) for one, other in told)
        and any(one < other for one, other in told)
    )


NAME = ("name", "nom", "nome", "nombre", "naam", "namn", "navn", "nimi")
"""A heading for a first name where the last name has a column of its own, and the other way round."""
MOST_MINUTES, LEAST_MINUTES = 600.0, 10.0
"""Between these is the longest time of a kind of practice in a sheet of them. [judgement]"""


def with_two_names(columns: dict[int, str], header: Sequence[Cell]) -> dict[int, str]:
    """Take a name for the first name beside last names, and for the last name beside first names."""
    held = set(columns.values())
    if "first_name" in held and "last_name" not in held:
        return {
            place: "last_name" if what == "golfer" and plain(header[place]) in NAME else what
            for place, what in columns.items()
        }
    if "last_name" not in held or "first_name" in held:
        return columns
    return {
        place: "first_name" if what == "golfer" and plain(header[place]) in NAME else what
        for place, what in columns.items()
    }


def with_unknown_kinds(
    columns: Mapping[int, str],
    spread: dict[int, date | float | str],
    header: Sequence[Cell],
    rows: Sequence[Sequence[Cell]],
) -> dict[int, date | float | str]:
    """Take columns of lengths of time among those of kinds of practice for kinds to be asked about."""
    kinds = [
        place for place, what in spread.items() if isinstance(what, str) and what.startswith("practice ")
    ]
    if len(kinds) < 2 or len(kinds) < len(spread):
        return spread
    found: dict[int, date | float | str] = {}
    for place in range(min(kinds), min(max(kinds) + 2, len(header))):
        cell = header[place]
        if place in columns or place in spread or not isinstance(cell, str) or _adds_up(cell):
            continue
        cells = [one for one in cells_of(rows, place) if one != cell and str(one).strip() not in DASHES]
        lengths = [minutes for one in cells if (minutes := read_minutes(one)) is not None]
        if lengths and len(lengths) == len(cells) and LEAST_MINUTES < max(lengths) <= MOST_MINUTES:
            found[place] = f"practice {cell.strip()}"
    return dict(sorted({**spread, **found}.items()))


def _adds_up(heading: str) -> bool:
    return begins_sum(heading) or not TOTALS.isdisjoint(plain(heading).split())
