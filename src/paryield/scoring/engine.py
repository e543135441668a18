"""The index engine: many simulated futures of one golfer, by the same rules as the record."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from paryield.errors import InputError
from paryield.scoring.index import FULL_RECORD, lowest_used

if TYPE_CHECKING:
    import numpy.typing as npt

    from paryield.scoring.steps import IndexState

LARGEST = 1000.0


def index_paths(
    state: IndexState, days: npt.ArrayLike, differentials: npt.ArrayLike
) -> npt.NDArray[np.float64]:
    """Return the index in force after each simulated future round.

    The rules are those of :func:`paryield.scoring.handicap_record`, exact in whole tenths: small-record
    table, best 8 of 20, exceptional scores (index in force before the round, unrounded differential),
    low index of the moving 365 days, soft and hard cap, 54.0. Differentials are read to six decimals.

    Parameters
    ----------
    state : IndexState
        Where the golfer's real record stands.
    days : array_like of int, shape (rounds,)
        Day of each round as a date ordinal, not falling, none before the last real round.
    differentials : array_like of float, shape (draws, rounds)
        Unrounded score differentials of 18-hole rounds. NaN: not played in this draw, the index stays.

    Returns
    -------
    ndarray of float, shape (draws, rounds)
        Strokes, whole tenths; NaN below the minimum number of scores.

    Raises
    ------
    InputError
        When shapes disagree, days fall, or a differential is beyond 1000 strokes.

    Examples
    --------
    Two futures of a golfer with three rounds: a good fourth round, and none.

    >>> import numpy as np
    >>> from paryield.scoring import IndexState
    >>> state = IndexState(differentials=(142, 129, 156), index=109, last_day=739750, holes_posted=54)
    >>> index_paths(state, [739757], [[10.1], [np.nan]]).tolist()
    [[9.1], [10.9]]
    """
    from paryield.scoring import kernel  # compiles on first use, so only when it is needed

    on = np.ascontiguousarray(days, dtype=np.int64)
    scores = np.ascontiguousarray(differentials, dtype=np.float64)
    _check(state, on, scores)
    queue = _rising(state)
    table = [lowest_used(n) for n in range(FULL_RECORD + 1)]
    out = np.empty_like(scores)
    kernel.paths(
        np.array(state.differentials, dtype=np.int64),
        0 if state.index is None else state.index,
        state.index is not None,
        np.array([day for day, _ in queue], dtype=np.int64),
        np.array([value for _, value in queue], dtype=np.int64),
        0 if state.last_day is None else state.last_day,
        state.rounds_needed,
        state.maximum_index,
        np.array([used for used, _ in table], dtype=np.int64),
        np.array([extra for _, extra in table], dtype=np.int64),
        on,
        scores,
        out,
    )
    return out


def _rising(state: IndexState) -> list[tuple[int, int]]:
    """Return the low index candidates that no later and lower one has overtaken."""
    queue: list[tuple[int, int]] = []
    for day, value in zip(state.low_days, state.low_values, strict=True):
        while queue and queue[-1][1] >= value:
            queue.pop()
        queue.append((day, value))
    return queue


def _check(state: IndexState, days: npt.NDArray[np.int64], scores: npt.NDArray[np.float64]) -> None:
    wrong = ""
    if scores.ndim != 2 or days.shape != scores.shape[1:]:
        wrong = f"days have shape {days.shape} and differentials {scores.shape}"
    elif np.any(np.diff(days) < 0) or (days.size and state.last_day is not None and days[0] < state.last_day):
        wrong = "a simulated round lies before the one it follows"
    elif np.any(np.abs(scores) > LARGEST):
        wrong = f"a simulated differential is beyond {LARGEST:.0f} strokes"
    if wrong:
        raise InputError(
            wrong, where="index_paths", remedy="give days (rounds,) and differentials (draws, rounds)"
        )
