"""Seven columns that stand for the days of a week, however short their headings are."""

from __future__ import annotations

from collections.abc import Sequence

from paryield.adopt.sheets import Cell
from paryield.adopt.words import plain

WEEKDAY_NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
IN_ORDER = tuple(
    tuple(days.split())
    for days in (
        *("m t w t f s s", "l m x j v s d", "l m m j v s d", "l m m g v s d", "m d m d f s s"),
        *("m d w d v z z", "m t o t f l s", "p t s c p s n"),
        *("mo tu we th fr sa su", "lu ma mi ju vi sa do", "lu ma me je ve sa di", "lu ma me gi ve sa do"),
        *("mo di mi do fr sa so", "ma di wo do vr za zo", "ma ti on to fr lo so", "ma ti on to fr lo sondag"),
        *("lun mar mie jue vie sab dom", "lun mar mer jeu ven sam dim", "lun mar mer gio ven sab dom"),
        *("man tir ons tor fre lor son", "man tis ons tors fre lor son", "maa din woe don vri zat zon"),
    )
)
"""The days of a week from Monday, as they are shortened in English, Spanish, French, Italian, German, Dutch
and the languages of the North, compared as :func:`plain` has them: alone, a letter says nothing."""


def weekdays_in_order(row: Sequence[Cell]) -> dict[int, str]:
    """Return columns to weekdays where seven columns beside one another are headed by these in order."""
    words = [plain(cell) if isinstance(cell, str) else "" for cell in row]
    for first in range(len(words) - len(WEEKDAY_NAMES) + 1):
        seven = tuple(words[first : first + len(WEEKDAY_NAMES)])
        if seven in IN_ORDER:
            return {first + place: name for place, name in enumerate(WEEKDAY_NAMES)}
    return {}
