"""Between typed frames and rows of plain values, and the fingerprint of a club's content."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any, cast

import numpy as np
import pandas as pd

from paryield.club.layout import dtypes, keys

Row = tuple[Any, ...]

BLANK_KEY: dict[str, Any] = {
    "string": "",
    "datetime64[ns]": date(1, 1, 1),
    "Int64": -1,
    "float64": -1.0,
}
"""What a blank part of a key is stored as, by dtype, because a database key part cannot be blank; the
schema allows none of these values in a key part."""

PYTHON: dict[str, Any] = {"string": str, "Int64": int, "float64": float, "boolean": bool}


def to_rows(table: str, frame: pd.DataFrame) -> list[Row]:
    """Return the rows of a frame as plain values in the order of the columns, None where blank."""
    columns = [plain_column(frame[name], dtype) for name, dtype in dtypes(table).items()]
    return list(zip(*columns, strict=True))


def plain_column(series: pd.Series[Any], dtype: str) -> list[Any]:
    """Return one column as plain values, None where blank."""
    if dtype == "datetime64[ns]":
        return [None if value is pd.NaT else value.date() for value in series]
    blank = series.isna().to_numpy(dtype=bool)
    make = PYTHON[dtype]
    values = series.astype(object).tolist()
    return [None if empty else make(value) for value, empty in zip(values, blank, strict=True)]


def to_frame(table: str, rows: Sequence[Row]) -> pd.DataFrame:
    """Return rows of plain values as a typed frame."""
    columns = list(zip(*rows, strict=True)) if rows else [() for _ in dtypes(table)]
    return pd.DataFrame(
        {
            name: typed_column(values, dtype)
            for (name, dtype), values in zip(dtypes(table).items(), columns, strict=True)
        }
    )


def typed_column(values: Sequence[Any], dtype: str) -> pd.Series[Any]:
    """Return plain values as a typed column."""
    if dtype == "datetime64[ns]":
        texts = ["NaT" if value is None else value.isoformat() for value in values]
        return pd.Series(np.array(texts, dtype="datetime64[ns]"))
    if dtype == "float64":
        return pd.Series(np.array([np.nan if v is None else v for v in values], dtype="float64"))
    return pd.Series(pd.array(list(values), dtype=cast(Any, dtype)))


def keyed(table: str, rows: Iterable[Row]) -> list[tuple[Row, Row]]:
    """Return each row with its key; blank key parts as in :data:`BLANK_KEY`."""
    names = list(dtypes(table))
    parts = [(names.index(name), BLANK_KEY[dtypes(table)[name]]) for name in keys(table)]
    return [(tuple(blank if row[at] is None else row[at] for at, blank in parts), row) for row in rows]


def plain(value: Any) -> Any:
    """Return a value as JSON holds it."""
    return value.isoformat() if isinstance(value, date) else value


def record(table: str, row: Row) -> dict[str, Any]:
    """Return a row as a JSON record without its blanks."""
    return {name: plain(value) for name, value in zip(dtypes(table), row, strict=True) if value is not None}


def key_record(table: str, key: Row) -> dict[str, Any]:
    """Return a key as a JSON record without its blanks."""
    pairs = zip(keys(table), key, strict=True)
    return {name: plain(value) for name, value in pairs if value != BLANK_KEY[dtypes(table)[name]]}


def digest(content: dict[str, list[Row]], settings: str) -> str:
    """Return the sha256 of rows and settings: the order of rows and blank columns do not matter."""
    whole = hashlib.sha256()
    for table in sorted(content):
        lines = [json.dumps(record(table, row), sort_keys=True, ensure_ascii=True) for row in content[table]]
        for line in sorted(lines):
            whole.update(f"{table}\t{line}\n".encode())
    whole.update(f"settings\t{settings}\n".encode())
    return whole.hexdigest()
