"""The phantom: a category that nobody practised, so that its apparent return is the noise floor."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from paryield.arrays import FLOATS, INTS
from paryield.dose.diary import Diary


def phantom_hours(diary: Diary, starts: INTS) -> FLOATS:
    """Hours of the phantom: another golfer's mean category, moved to the golfer's own start.

    Parameters
    ----------
    diary : Diary
    starts : int array, shape (golfer,)
        First day of each golfer's record, in days since 1970-01-01.

    Returns
    -------
    array, shape (golfer, day)
        Hours a day; zero before the golfer's start and for golfers without a diary.
    """
    golfers, days, _ = diary.hours.shape
    mean = diary.hours.mean(axis=2)
    out = np.zeros((golfers, days))
    writers = np.flatnonzero(diary.has_diary)
    for place, golfer in enumerate(writers):
        other = writers[(place + max(1, len(writers) // 2)) % len(writers)]
        source = mean[other, max(int(starts[other]) - diary.first_day, 0) :]
        begin = max(int(starts[golfer]) - diary.first_day, 0)
        if other == golfer:
            source = source[::-1]
        out[golfer, begin:] = np.resize(source, days - begin)
    return out


def settled_hours(diary: Diary, known: Mapping[str, tuple[int, FLOATS]]) -> FLOATS:
    """Hours of the phantom as an earlier fit had them, begun again where they end, shape (golfer, day).

    Parameters
    ----------
    diary : Diary
    known : mapping
        By golfer: a day since 1970-01-01 and hours a day from it on. Another golfer's phantom is his own mean
        category, last day first.
    """
    golfers, days, _ = diary.hours.shape
    out = np.zeros((golfers, days))
    for place, golfer in enumerate(diary.golfers):
        if golfer in known:
            first, hours = known[golfer]
            begin = first - diary.first_day
            if len(hours):
                out[place, max(begin, 0) :] = np.resize(hours, max(days - begin, 0))[max(-begin, 0) :]
        elif diary.has_diary[place]:
            out[place] = diary.hours[place].mean(axis=1)[::-1]
    return out
