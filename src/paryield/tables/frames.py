"""The typed tables, always present with all columns; what is worked out of them is kept while they are."""

from __future__ import annotations

import atexit
from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from weakref import WeakKeyDictionary

import pandas as pd

from paryield.tables.categories import SHIPPED, Category
from paryield.tables.schema import DTYPES, TABLES
from paryield.tables.settings import DEFAULTS, Settings


@dataclass(frozen=True, eq=False)
class Tables:
    """All tables of a club.

    Each field is a DataFrame with the columns of its table in :data:`paryield.tables.schema.TABLES`, in
    that order: ids and text ``string``, dates ``datetime64[ns]``, counts ``Int64``, decimals ``float64``
    (NaN blank), yes/no ``boolean``. A missing value is unknown; 0 is none.

    Raises
    ------
    ValueError
        When a frame lacks a column or has one of another dtype; use :func:`make_tables` to convert.
    """

    golfers: pd.DataFrame
    rounds: pd.DataFrame
    holes: pd.DataFrame
    shots: pd.DataFrame
    practice: pd.DataFrame
    assessments: pd.DataFrame
    strikes: pd.DataFrame
    programmes: pd.DataFrame
    limits: pd.DataFrame
    plans: pd.DataFrame
    calendar: pd.DataFrame
    events: pd.DataFrame
    categories: tuple[Category, ...] = SHIPPED
    settings: Settings = DEFAULTS

    def __post_init__(self) -> None:
        for name, frame in self.items():
            table = TABLES[name]
            if tuple(frame.columns) != table.names:
                raise ValueError(f"table {name!r} must have the columns {', '.join(table.names)}")
            for column, found in zip(table.columns, frame.dtypes.tolist(), strict=True):
                if found != DTYPES[column.kind]:
                    raise ValueError(f"{name}.{column.name} must be {DTYPES[column.kind]}, found {found}")

    def items(self) -> Iterator[tuple[str, pd.DataFrame]]:
        """Yield (name, frame) of each table in the order of the schema."""
        for name in TABLES:
            yield name, getattr(self, name)

    def category(self, name: str) -> Category:
        """Return the category of this name; KeyError when the club has none."""
        for category in self.categories:
            if category.name == name:
                return category
        raise KeyError(name)

    def equals(self, other: Tables) -> bool:
        """Tell whether all rows, categories and settings are the same, in the same order."""
        return (
            self.categories == other.categories
            and self.settings == other.settings
            and all(frame.equals(getattr(other, name)) for name, frame in self.items())
        )


def as_table(name: str, frame: pd.DataFrame) -> pd.DataFrame:
    """Give a frame all columns of its table in order and dtype; blanks with a default are filled.

    Parameters
    ----------
    name : str
        Name of the table.
    frame : DataFrame
        Some or all columns of the table; others are not accepted.

    Raises
    ------
    KeyError, ValueError
        When there is no such table, or a column that the table does not have.
    """
    table = TABLES[name]
    unknown = [str(column) for column in frame.columns if column not in table.names]
    if unknown:
        raise ValueError(f"table {name!r} has no column {', '.join(unknown)}")
    columns = {}
    for column in table.columns:
        dtype = DTYPES[column.kind]
        values = frame[column.name] if column.name in frame else pd.Series(pd.NA, frame.index, dtype="object")
        if dtype == "float64":
            values = pd.to_numeric(values.astype("object").where(values.notna(), None)).astype("float64")
        else:
            values = values.astype("object").where(values.notna(), None).astype(dtype)  # type: ignore[call-overload]
        if dtype == "string":
            values = values.mask(values == "")
        if column.default is not None:
            values = values.fillna(typed_default(column.kind, column.default))
        columns[column.name] = values
    return pd.DataFrame(columns, columns=list(table.names)).reset_index(drop=True)


def typed_default(kind: str, default: str) -> str | int | float | bool:
    """Return a default of the schema as a value of its kind."""
    if kind == "count":
        return int(default)
    if kind in ("decimal", "index", "differential"):
        return float(default)
    return default == "yes" if kind == "yes_no" else default


def make_tables(
    frames: Mapping[str, pd.DataFrame],
    *,
    categories: tuple[Category, ...] = SHIPPED,
    settings: Settings | None = None,
) -> Tables:
    """Build :class:`Tables` from frames by table name; absent tables are empty, dtypes are converted.

    Raises
    ------
    KeyError, ValueError
        As :func:`as_table`.
    """
    for name in frames:
        if name not in TABLES:
            raise KeyError(f"no table is called {name!r}; the tables are {', '.join(TABLES)}")
    typed = {name: as_table(name, frames.get(name, pd.DataFrame())) for name in TABLES}
    return Tables(**typed, categories=categories, settings=settings or DEFAULTS)


def empty_tables() -> Tables:
    """Return tables without rows, with the shipped categories and default settings."""
    return make_tables({})


_KEPT: WeakKeyDictionary[Tables, dict[Hashable, Any]] = WeakKeyDictionary()
atexit.register(_KEPT.clear)


def once[T](tables: Tables, key: Hashable, make: Callable[[], T]) -> T:
    """Return what ``make`` gave for these tables and this key the first time.

    Parameters
    ----------
    tables : Tables
        The same object, not an equal one. Kept without holding it, so that nobody who was erased stays.
    key : hashable
        What was asked of the tables.
    make : callable
        Its value must not hold the tables.
    """
    known = _KEPT.setdefault(tables, {})
    if key not in known:
        known[key] = make()
    found: T = known[key]
    return found


def departed(tables: Tables, day: date) -> dict[str, date]:
    """Return the golfers who had left the club by a day, with the day on which they left."""
    people = tables.golfers
    gone = people[(people["left_on"] <= pd.Timestamp(day)).fillna(False)]
    return {
        str(golfer): pd.Timestamp(left).date()
        for golfer, left in zip(gone["golfer_id"], gone["left_on"], strict=True)
    }
