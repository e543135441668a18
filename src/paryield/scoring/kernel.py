"""The compiled loop of the index engine; imported on first use only."""

from __future__ import annotations

from collections.abc import Callable
from math import floor, isnan
from typing import Any

import numba
import numpy as np

from paryield.scoring.index import FULL_RECORD, HARD_CAP_TENTHS, SOFT_CAP_TENTHS
from paryield.scoring.steps import LOW_INDEX_DAYS

# Frozen into the cached code: when one of these changes in its own module, this file must change too.
FULL = FULL_RECORD
SOFT, HARD = SOFT_CAP_TENTHS, HARD_CAP_TENTHS
LOW_DAYS = LOW_INDEX_DAYS
MICRO = 1_000_000
MICRO_PER_TENTH = 100_000


def compiled(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile, with a cache on disk where there is a place for it."""
    try:
        return numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # no folder to write a cache to
        return numba.njit(nogil=True, error_model="numpy")(function)


@compiled
def posted(ordered: Any, oldest: int, new: int, full: bool, n: int) -> None:
    """Put ``new`` in its place among the ``n`` values in rising order; ``oldest`` leaves a full record."""
    if full:
        hole = 0
        while ordered[hole] != oldest:
            hole += 1
        while hole + 1 < n and ordered[hole + 1] < new:
            ordered[hole] = ordered[hole + 1]
            hole += 1
    else:
        hole = n
    while hole > 0 and ordered[hole - 1] > new:
        ordered[hole] = ordered[hole - 1]
        hole -= 1
    ordered[hole] = new


@compiled
def capped(average: int, low: int) -> int:
    """Apply soft and hard cap, in tenths."""
    if average <= low + SOFT:
        return average
    return min((low + SOFT + average + 1) // 2, low + HARD)


@compiled
def paths(
    start: Any,
    index_at_start: int,
    has_index_at_start: bool,
    low_days: Any,
    low_values: Any,
    day_at_start: int,
    needed_at_start: int,
    maximum: int,
    used: Any,
    extra: Any,
    days: Any,
    scores: Any,
    out: Any,
) -> None:
    """Fill ``out`` (draws, rounds) with the index after each round; see ``index_paths``.

    Differentials are kept less the sum of all reductions so far, so a reduction of the whole record is
    one addition. Indexes that may still become the low index wait in a queue of rising values. One long
    function, because the state of a draw is a dozen plain numbers.
    """
    draws, rounds = scores.shape
    ring = np.empty(FULL, np.int64)
    ordered = np.empty(FULL, np.int64)
    queue_days = np.empty(low_days.size + rounds, np.int64)
    queue_values = np.empty(low_days.size + rounds, np.int64)
    rising = np.sort(start)
    for draw in range(draws):
        n, oldest, shift = start.size, 0, 0
        index, has_index, last_day, needed = index_at_start, has_index_at_start, day_at_start, needed_at_start
        ring[:n] = start
        ordered[:n] = rising
        head, tail = 0, low_days.size
        queue_days[:tail] = low_days
        queue_values[:tail] = low_values
        for turn in range(rounds):
            score = scores[draw, turn]
            if isnan(score):
                out[draw, turn] = index / 10 if has_index else np.nan
                continue
            micro = floor(score * MICRO + 0.5)
            below = index * MICRO_PER_TENTH - micro if has_index else 0
            new = (micro + MICRO_PER_TENTH // 2) // MICRO_PER_TENTH - shift
            full = n == FULL
            posted(ordered, ring[oldest], new, full, n)
            if full:
                ring[oldest] = new
                oldest = oldest + 1 if oldest + 1 < FULL else 0
            else:
                ring[n] = new
                n += 1
            if below >= 10 * MICRO:
                shift -= 20
            elif below >= 7 * MICRO:
                shift -= 10
            needed -= 1
            if needed <= 0:
                count = used[n]
                total = count * shift
                for place in range(count):
                    total += ordered[place]
                average = (2 * total + count) // (2 * count) + extra[n]
                if n == FULL:
                    while head < tail and queue_days[head] < last_day - LOW_DAYS:
                        head += 1
                    if head < tail:
                        average = capped(average, queue_values[head])
                index, has_index = min(average, maximum), True
                if n == FULL:
                    while tail > head and queue_values[tail - 1] >= index:
                        tail -= 1
                    queue_days[tail] = days[turn]
                    queue_values[tail] = index
                    tail += 1
            last_day = days[turn]
            out[draw, turn] = index / 10 if has_index else np.nan
