"""Which golfer is meant: an id, or a name that only one golfer has."""

from __future__ import annotations

import difflib
from collections.abc import Mapping

import sqlalchemy as sa

from paryield.club import layout
from paryield.errors import InputError
from paryield.units import counted


def golfer_called(connection: sa.Connection, given: str) -> str:
    """Return the id of the golfer that somebody has named.

    An id as it is stored comes first; then an id, a whole name and a first or last name in any case, where
    one golfer alone answers to it.

    Raises
    ------
    InputError
        When several golfers answer to the name, or none; the nearest ids and names are suggested.
    """
    golfers = layout.CLUB_TABLES["golfers"]
    rows = connection.execute(sa.select(golfers.c.golfer_id, golfers.c.display_name))
    names = {str(row.golfer_id): str(row.display_name or "") for row in rows}
    if given in names:
        return given
    wanted = " ".join(given.split()).casefold()
    for ways in (_ids, _whole_names, _parts_of_names):
        found = [golfer for golfer, known in ways(names) if wanted in known]
        if len(found) == 1:
            return found[0]
        if found:
            several = ", ".join(f"{names[golfer]} ({golfer})" for golfer in found[:4])
            more = f" and {len(found) - 4} more" if len(found) > 4 else ""
            what = f"{len(found)} golfers answer to {given!r}"
            raise InputError(what, remedy=f"say which: {several}{more}")
    raise InputError(f"there is no golfer {given!r}", remedy=_nearest(names, given))


def _ids(names: Mapping[str, str]) -> list[tuple[str, set[str]]]:
    return [(golfer, {golfer.casefold()}) for golfer in names]


def _whole_names(names: Mapping[str, str]) -> list[tuple[str, set[str]]]:
    return [(golfer, {" ".join(name.split()).casefold()} - {""}) for golfer, name in names.items()]


def _parts_of_names(names: Mapping[str, str]) -> list[tuple[str, set[str]]]:
    return [(golfer, set(name.casefold().split())) for golfer, name in names.items()]


def _nearest(names: Mapping[str, str], given: str) -> str:
    spelt = {golfer.casefold(): golfer for golfer in names}
    spelt |= {name.casefold(): f"{name} ({golfer})" for golfer, name in names.items() if name}
    near = difflib.get_close_matches(given.casefold(), spelt, n=1, cutoff=0.5)
    return f"the nearest is {spelt[near[0]]}" if near else f"the club holds {counted(len(names), 'golfer')}"
