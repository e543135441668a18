"""Take detail away from a made-up club, to see what an answer is worth without it."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

import numpy as np

from paryield.errors import InputError
from paryield.rounds.card_stats import CHANCES, TALLIES
from paryield.synth import MadeUpClub
from paryield.tables import AREAS, Tables

Keep = Literal["shots", "holes", "stats", "scores"]

LEVELS: tuple[Keep, ...] = ("shots", "holes", "stats", "scores")
"""Levels of detail, the richest first; each holds what the next one holds."""

COUNTED = [*(name for pair in CHANCES.values() for name in pair), *TALLIES.values()]
STAT_COLUMNS = tuple(name for name in COUNTED if name != "holes")
"""Columns of the rounds table that hold stats."""


def hide(club: MadeUpClub, keep: Keep, who: Literal["all", "half"] = "all", seed: int = 0) -> MadeUpClub:
    """Return the club with the rounds of some golfers told only down to a level of detail.

    Parameters
    ----------
    club : MadeUpClub
    keep : {"shots", "holes", "stats", "scores"}
        What is kept beside the scores: everything; all but shots and strokes gained as given; the stats of
        the round; nothing. Tests and practice stay.
    who : {"all", "half"}
        Every golfer, or half of them drawn by the seed.
    seed : int

    Raises
    ------
    InputError
        When the level is unknown.
    """
    if keep not in LEVELS:
        raise InputError(
            f"there is no level of detail {keep!r}", where="hide", remedy=f"use {', '.join(LEVELS)}"
        )
    return replace(club, tables=_hidden(club.tables, keep, hidden_golfers(club, who, seed)))


def hidden_golfers(club: MadeUpClub, who: Literal["all", "half"], seed: int = 0) -> set[str]:
    """Return the golfers whose detail :func:`hide` takes away."""
    ids = np.array(club.truth.ids, dtype=object)
    if who == "half":
        ids = np.random.default_rng([seed, 8]).permutation(ids)[: len(ids) // 2]
    return set(ids.tolist())


def _hidden(tables: Tables, keep: Keep, golfers: set[str]) -> Tables:
    level = LEVELS.index(keep)
    frames = {name: getattr(tables, name).copy() for name in ("rounds", "holes", "shots")}
    mine = frames["rounds"]["golfer_id"].isin(golfers)
    blank = [*AREAS, "baseline"] if level >= LEVELS.index("holes") else []
    blank += list(STAT_COLUMNS) if keep == "scores" else []
    for column in blank:
        frames["rounds"][column] = frames["rounds"][column].mask(mine)
    for name, last in (("shots", "shots"), ("holes", "holes")):
        if level > LEVELS.index(last):
            frame = frames[name]
            frames[name] = frame[~frame["golfer_id"].isin(golfers)].reset_index(drop=True)
    return replace(tables, **frames)
