"""Readers of the desk for every test here."""

from __future__ import annotations

from desk_reader import knowing, looked_at, made_unfitted, reader, shared_reader, unfitted
from house import furnished, house, shared_house

__all__ = [
    "furnished",
    "house",
    "knowing",
    "looked_at",
    "made_unfitted",
    "reader",
    "shared_house",
    "shared_reader",
    "unfitted",
]
