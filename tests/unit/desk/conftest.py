"""Readers of the desk for every test here."""

from __future__ import annotations

from desk_reader import reader, shared_reader
from house import house, shared_house

__all__ = ["house", "reader", "shared_house", "shared_reader"]
