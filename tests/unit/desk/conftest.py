"""Readers of the desk for every test here."""

from __future__ import annotations

from desk_reader import reader, shared_reader

__all__ = ["reader", "shared_reader"]
