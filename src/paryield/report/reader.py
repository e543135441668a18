"""Whom a document is for: the way dates, numbers and distances are written, and the logo at its head."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache

from babel.core import Locale
from babel.numbers import get_decimal_symbol

from paryield.tables.settings import DEFAULTS, Settings


@dataclass(frozen=True)
class Reader:
    """How a document is written.

    Parameters
    ----------
    locale : str
        Unicode locale identifier; dates and decimals follow it, the text stays English.
    distance_unit : {"yd", "m"}
        Unit of distances.
    logo : str
        Data address of the club's logo; empty for none.
    """

    locale: str = DEFAULTS.locale
    distance_unit: str = DEFAULTS.distance_unit
    logo: str = ""


PLAIN = Reader()
_READER: ContextVar[Reader] = ContextVar("reader", default=PLAIN)


def reader() -> Reader:
    """Return the reader that documents are written for now."""
    return _READER.get()


@contextmanager
def written_for(settings: Settings) -> Iterator[Reader]:
    """Write documents as a club's settings say, as long as the context lasts."""
    token = _READER.set(Reader(settings.locale, settings.distance_unit, settings.logo))
    try:
        yield reader()
    finally:
        _READER.reset(token)


def write_for(settings: Settings) -> None:
    """Write as a club's settings say from here on in this context, such as that of one request."""
    _READER.set(Reader(settings.locale, settings.distance_unit, settings.logo))


def locale() -> Locale:
    """Return the reader's locale."""
    return _parsed(reader().locale)


def decimal_point() -> str:
    """Return the sign between a number's whole and its decimals."""
    return _decimal(reader().locale)


@cache
def _parsed(name: str) -> Locale:
    return Locale.parse(name)


@cache
def _decimal(name: str) -> str:
    return str(get_decimal_symbol(_parsed(name)))
