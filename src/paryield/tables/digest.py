"""A digest of the rows of each golfer that a model reads: whether anything changed, and for whom."""

from __future__ import annotations

import hashlib
import json
import zlib
from dataclasses import asdict
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.tables.frames import Tables

READ: dict[str, tuple[str, ...]] = {
    "golfers": ("birth_year", "joined_on", "start_index", "low_index", "low_index_on", "diary_complete"),
    "rounds": (),
    "holes": (),
    "shots": (),
    "practice": (),
    "assessments": (),
    "strikes": (),
    "programmes": (),
    "events": ("happened_on", "kind", "until"),
}
"""Tables that a model reads, and the columns; all but notes where none are named."""
SPREAD = np.uint64(0x9E3779B97F4A7C15)
"""Odd number by which sums of hashes are spread over 64 bits (2^64 over the golden ratio)."""


def golfer_digests(tables: Tables) -> dict[str, str]:
    """Return one digest a golfer of the golfers table.

    The order of rows and columns without entries do not matter; names, goals and notes neither.
    """
    ids = pd.Index(tables.golfers["golfer_id"].astype(object))
    sums = np.zeros((len(ids), len(READ)), dtype=np.uint64)
    for place, (name, columns) in enumerate(READ.items()):
        frame: pd.DataFrame = getattr(tables, name)
        number = ids.get_indexer(pd.Index(frame["golfer_id"].astype(object)))
        hashes = _row_hashes(frame, columns or tuple(str(column) for column in frame if column != "note"))
        np.add.at(sums[:, place], number[number >= 0], hashes[number >= 0])
    shared = json.dumps([asdict(category) for category in tables.categories], sort_keys=True)
    found = {}
    for golfer, row in zip(ids, sums, strict=True):
        told = {name: int(total) for name, total in zip(READ, row, strict=True) if total}
        found[str(golfer)] = hashlib.sha256(f"{told} {shared}".encode()).hexdigest()[:20]
    return found


def _row_hashes(frame: pd.DataFrame, columns: tuple[str, ...]) -> npt.NDArray[np.uint64]:
    """One hash a row, of the cells that are not blank, shape (rows,)."""
    total = np.zeros(len(frame), dtype=np.uint64)
    for column in columns:
        values: pd.Series[Any] = frame[column]
        known = values.notna().to_numpy(bool)
        if known.any():
            cells = pd.util.hash_pandas_object(values, index=False).to_numpy(np.uint64)
            own = np.uint64(2 * zlib.crc32(column.encode()) + 1)
            total += np.where(known, (cells ^ own) * SPREAD, np.uint64(0))
    mixed = (total ^ (total >> np.uint64(29))) * SPREAD
    return np.asarray(mixed ^ (mixed >> np.uint64(32)), dtype=np.uint64)
