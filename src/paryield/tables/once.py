"""What belongs to a club's tables is worked out once for all its golfers, and forgotten with the tables."""

from __future__ import annotations

import atexit
from collections.abc import Callable, Hashable
from typing import Any
from weakref import WeakKeyDictionary

from paryield.tables.frames import Tables

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
