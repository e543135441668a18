"""Units that a row right below the headings names: balls, minutes, hours, holes, sessions."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence

from paryield.adopt.sheets import Cell
from paryield.adopt.words import HOURS as HOURS_IN_WORDS
from paryield.adopt.words import MINUTES as MINUTES_IN_WORDS
from paryield.adopt.words import plain

MINUTES, REPS, HOURS, HOLES, SESSIONS = "minutes", "repetitions", "hours", "holes", "sessions"
BALLS = re.compile(
    r"(?:no of |number of |anzahl |nb |n )?(?:balls?|shots?|reps?|strokes|putts|balle|baelle|schlage|schlaege"
    r"|stuck|balles?|coups|bolas?|golpes|palline|colpi|ballen|slagen|bollar|slag|baller|bolde)"
)
IN_HOLES = re.compile(
    r"(?:no of |number of )?(?:holes?|hls?|loch|locher|loecher|trous?|hoyos?|buche|hal|hull|huller)"
)
IN_SESSIONS = re.compile(
    r"(?:sessions?|times|visits|einheiten?|mal|seances?|fois|sesion(?:es)?|veces|sessioni|volte|sessies?|keer"
    r"|pass|ganger|gange)"
)


def unit_of(cell: Cell) -> str | None:
    """Return the unit that a cell below a heading names, or None."""
    if not isinstance(cell, str):
        return None
    bare = plain(cell)
    if re.fullmatch(MINUTES_IN_WORDS, bare) or bare in ("minuter", "minutter", "minutos", "minuti"):
        return MINUTES
    if re.fullmatch(HOURS_IN_WORDS, bare) or bare in ("stunden", "timmar", "timer"):
        return HOURS
    for pattern, unit in ((BALLS, REPS), (IN_HOLES, HOLES), (IN_SESSIONS, SESSIONS)):
        if pattern.fullmatch(bare):
            return unit
    return None


def units_below(rows: Sequence[Sequence[Cell]], places: Collection[int]) -> dict[int, str]:
    """Return the units of columns where the first row holds nothing else."""
    if not rows:
        return {}
    found = {place: unit for place, cell in enumerate(rows[0]) if (unit := unit_of(cell)) is not None}
    filled = {place for place, cell in enumerate(rows[0]) if cell is not None}
    return found if filled == set(found) and not set(found).isdisjoint(places) else {}
