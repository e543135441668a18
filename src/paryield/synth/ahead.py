"""The index a made-up golfer will really have: true rounds ahead, pushed through the exact rules."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.scoring import handicap_records, index_paths
from paryield.synth.club import MadeUpClub
from paryield.synth.truth import Plan


def index_ahead(
    club: MadeUpClub,
    golfer_id: str,
    weeks: int = 12,
    plan: Plan | None = None,
    n_sims: int = 1000,
    seed: int = 0,
) -> FLOATS:
    """Return draws of the Handicap Index in force after ``weeks``, from the golfer's real record on.

    Parameters
    ----------
    club : MadeUpClub
        The club.
    golfer_id : str
        A golfer with rounds in the record.
    weeks, plan, n_sims, seed
        As :meth:`paryield.synth.Truth.forward`.

    Returns
    -------
    array, shape (simulations,)
        Strokes; NaN while there are too few rounds.

    Raises
    ------
    InputError
        When the golfer has no rounds, or as :meth:`paryield.synth.Truth.forward`.
    """
    rounds = club.tables.rounds
    own = rounds[rounds["golfer_id"] == golfer_id]
    if own.empty:
        raise InputError("there are no rounds", where=f"golfer {golfer_id}", remedy="choose another golfer")
    golfers = club.tables.golfers[club.tables.golfers["golfer_id"] == golfer_id]
    record = handicap_records(replace(club.tables, rounds=own, golfers=golfers))[golfer_id]
    ahead = club.truth.forward(golfer_id, weeks, plan, n_sims, seed)
    if not len(ahead.dates):
        index = record.end.index
        return np.full(n_sims, np.nan if index is None else index / 10.0)
    days = np.array([day.toordinal() for day in ahead.dates])
    return np.asarray(index_paths(record.end, days, ahead.differentials)[:, -1])
