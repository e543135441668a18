"""How far a split that looks best is drawn toward an even one: what was measured of it stays, at least half.

Which split looks best rests on returns that few records have measured, on a form of the model that no record
can settle, and on a search that picks the largest of many estimates. An even split rests on none of these.
The two combined lose less than either: for shares of money this is the finding of Tu & Zhou 2011, Journal of
Financial Economics 99 (1), doi 10.1016/j.jfineco.2010.08.013 (abstract read); for hours of practice it was
seen on made-up clubs (notebook 04). As gains are concave in the hours, the combination never gains less than
the two do on average.
"""

from __future__ import annotations

import numpy as np

from paryield.plan.outcome import FLOATS
from paryield.plan.solver import INTS, Room, rounded

LEAST_TRUST = 0.5
"""Part of the split that looks best where nothing was measured. On twelve thin clubs .25 to .5 lost least, on
five of usual habits .5 to .75, on four after a season of emphases .5. [judgement]"""
HALVINGS = 60


def shrunk(quarters: INTS, room: Room, evidence: float) -> INTS:
    """Draw a split toward an even one, in whole quarter hours that fill the room.

    Parameters
    ----------
    quarters : int array, shape (J,)
        The split that looks best.
    room : Room
    evidence : float
        Share measured of the returns that it rests on, 0 to 1: the part of it that stays, but for
        :data:`LEAST_TRUST`.
    """
    trust = max(LEAST_TRUST, min(evidence, 1.0))
    return rounded(trust * quarters + (1.0 - trust) * even_split(room), room)


def even_split(room: Room) -> FLOATS:
    """Return the split of a room nearest to an even one, in parts of quarter hours, shape (J,).

    Every category has the same, but for those whose least is more and those whose most is less.
    """
    below, above = 0.0, float(room.high.max(initial=0))
    for _ in range(HALVINGS):
        level = 0.5 * (below + above)
        if np.clip(level, room.low, room.high).sum() < room.total:
            below = level
        else:
            above = level
    found: FLOATS = np.clip(above, room.low, room.high)
    return found
