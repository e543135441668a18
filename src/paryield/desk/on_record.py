"""Practice and tests on record: the latest of a golfer, each with the key by which it is corrected."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from paryield.desk.fields import FORMS, Form
from paryield.desk.row_words import amount_text
from paryield.errors import InputError
from paryield.forecast.once import own_rows
from paryield.report.words import missing, one_line
from paryield.tables import TABLES, Tables

LATEST = 30
"""Entries that are listed: a few weeks of practice."""
KINDS = {"practice": "Practice", "assessment": "Tests"}
"""What is listed here, by the name of its form; rounds have a page of their own."""


@dataclass(frozen=True)
class Entered:
    """One entry: its day, what was done and how much, a remark, and its key as the address of the form."""

    on: date
    what: str
    amount: str
    note: str
    at: str

    @property
    def said(self) -> str:
        """What and how much."""
        return f"{self.what}, {self.amount}" if self.amount else self.what


def form_of(kind: str) -> Form:
    """Return the form of a kind of entry that is listed here; InputError for any other."""
    if kind not in KINDS:
        raise InputError(f"no entries are called {kind[:40]!r}", remedy="choose practice or tests")
    return FORMS[kind]


def latest_entries(tables: Tables, golfer_id: str, kind: str, most: int | None = LATEST) -> list[Entered]:
    """Return a golfer's latest entries of a kind, newest first; all of them where ``most`` is None."""
    form = form_of(kind)
    frame = getattr(own_rows(tables, golfer_id), form.table)
    ordered = frame.sort_values(list(TABLES[form.table].key[1:]), ascending=False, kind="stable")
    rows = (ordered if most is None else ordered.head(most)).to_dict("records")
    return [_entered(form, row) for row in rows]


def _entered(form: Form, row: dict[Any, Any]) -> Entered:
    on = row[form.day].date()
    key = {"day": on.isoformat()}
    for name in TABLES[form.table].key[1:]:
        if name != form.day and not missing(row[name]):
            key[name] = f"{row[name]:g}" if isinstance(row[name], float) else str(row[name])
    what = row["category"] if form.kind == "practice" else row["test"]
    note = "" if missing(row.get("note")) else one_line(row["note"], 80)
    return Entered(on, _what(what, row), amount_text(row), note, json.dumps(key, ensure_ascii=False))


def _what(what: Any, row: dict[Any, Any]) -> str:
    if row.get("state") == "none":
        return "no practice"
    said = "practice" if missing(what) else one_line(what, 60).replace("_", " ")
    distance = row.get("distance_ft")
    return said if missing(distance) else f"{said} from {distance:g} feet"


def key_of(form: Form, golfer_id: str, at: str) -> dict[str, str]:
    """Return the key of an entry from its address, as text by column.

    Raises
    ------
    InputError
        When the address is none.
    """
    try:
        found = json.loads(at)
        given = {str(name): str(value) for name, value in found.items()}
    except (ValueError, AttributeError, RecursionError):
        raise InputError("there is no such entry", remedy="choose one of the list") from None
    columns = TABLES[form.table].key[1:]
    key = {name: given.get(name, "") for name in columns}
    return {"golfer_id": golfer_id, **key, form.day: given.get("day", "")}
