"""TOML from outside: read, or refused with one reason."""

from __future__ import annotations

import tomllib
from typing import Any

LARGEST = 2**63
"""Whole numbers are 64 bits with a sign (toml.io, v1.0.0, Integer)."""

DEEPEST = 20
"""Levels of tables and lists; our files have four. Our choice."""


def read_toml(content: bytes) -> dict[str, Any]:
    """Return what a TOML file holds.

    Parameters
    ----------
    content : bytes
        UTF-8, with or without a byte order mark.

    Raises
    ------
    ValueError
        With the reason in words: no UTF-8, no TOML, nested too deeply, or a number of too many digits.
    """
    try:
        found = tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise ValueError("it is not UTF-8 text") from None
    except RecursionError:
        raise ValueError(DEEP) from None
    except tomllib.TOMLDecodeError as error:
        raise ValueError(f"it cannot be read as TOML ({error})") from None
    except ValueError:  # Python's own limit of 4,300 digits
        raise ValueError(DIGITS) from None
    _check(found)
    return found


DIGITS = "it cannot be read as TOML (a whole number has more than 64 bits)"
DEEP = "it cannot be read as TOML (it is nested too deeply)"


def _check(found: dict[str, Any]) -> None:
    """Refuse depth and digits that the reader lets through: dotted keys, and hexadecimal numbers."""
    level: list[Any] = [found]
    for _ in range(DEEPEST):
        below: list[Any] = []
        for one in level:
            if isinstance(one, dict | list):
                below += one.values() if isinstance(one, dict) else one
            elif isinstance(one, int) and not -LARGEST <= one < LARGEST:
                raise ValueError(DIGITS)
        level = below
    if level:
        raise ValueError(DEEP)
