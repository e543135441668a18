"""The known name that somebody meant, where one is near; else all there are, so that nobody is led astray."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches

NEAR = 0.6
"""Likeness, 0 to 1, from which a name is taken for a slip of another (the default of difflib)."""


def folded(name: str) -> str:
    """Return a name without case, signs, blanks and leading zeros: what tells two spellings apart."""
    bare = re.sub(r"[\W_]+", "", unicodedata.normalize("NFKC", name).casefold())
    return re.sub(r"(?<!\d)0+(?=\d)", "", bare)


def hint(given: str, names: Iterable[str]) -> str:
    """Return words that name the nearest of the known names, or all where none is near."""
    spelt = {folded(name): name for name in names}
    near = get_close_matches(folded(given), spelt, n=1, cutoff=NEAR)
    return f"nearest is {spelt[near[0]]}" if near else f"there are {', '.join(spelt.values())}"
