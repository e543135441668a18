"""What a list of golfers says of them beyond the tables: what they are called, and who is a woman."""

from __future__ import annotations

from collections.abc import Sequence

from paryield.adopt.layout import Layout
from paryield.adopt.rows import name_of
from paryield.adopt.sexes import sexes_in
from paryield.adopt.sheets import Sheet
from paryield.adopt.words import plain


def call_names(laid: Sequence[tuple[Sheet, Layout]]) -> dict[str, str]:
    """Return call names, plain, with the whole name of the only golfer who is listed with each."""
    found: dict[str, set[str]] = {}
    for sheet, layout in laid:
        place = layout.column("called")
        if layout.kind != "golfers" or place is None:
            continue
        for _, row in layout.rows(sheet):
            if (name := name_of(row, layout)) is not None and row[place] is not None:
                found.setdefault(plain(row[place]), set()).add(name)
    return {called: names.pop() for called, names in found.items() if len(names) == 1}


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
