"""The running handicap record of one golfer, each step open to a check by hand.

Readings taken where the published text leaves room: rounds of one day are handled in order, as if the
index were revised between them; an index counts towards the low index only when it came from 20
differentials; the low index is sought among the indexes calculated from 365 days before the previous
score to the day of that score, both days included (clarifications 5.7/1 and 5.7/2).
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import TYPE_CHECKING, cast

from paryield.errors import InputError
from paryield.scoring.entries import Entry, entries_of
from paryield.scoring.exact import Number, tenths
from paryield.scoring.ledger import work_through
from paryield.scoring.settings import HandicapSettings
from paryield.scoring.steps import HandicapRecord

if TYPE_CHECKING:
    import pandas as pd


def handicap_record(
    rounds: pd.DataFrame | Iterable[Entry],
    holes: pd.DataFrame | None = None,
    *,
    low_index: Number | None = None,
    low_index_on: date | None = None,
    minimum_scores: int | None = None,
    start_index: Number | None = None,
    settings: HandicapSettings | None = None,
) -> HandicapRecord:
    """Work through a golfer's rounds and return the record step by step.

    Parameters
    ----------
    rounds : DataFrame or iterable of Entry
        One golfer's rows of the rounds table, in any order. Rounds with ``counts_for_index`` no have a
        differential but never move the index.
    holes : DataFrame, optional
        The golfer's rows of the holes table, for rounds without an adjusted gross score.
    low_index, low_index_on : number and date, optional
        A low index known from elsewhere, for a club that holds only the last 20 rounds. Without a date
        it is taken to expire as soon as it may: dated 365 days before the last round, or on the day of
        the first one if that is later.
    minimum_scores : int, optional
        Short for ``settings`` with that minimum.
    start_index : number, optional
        Index in force until the record has its own.
    settings : HandicapSettings, optional
        National settings.

    Raises
    ------
    InputError
        When rows belong to several golfers, a round stands twice, or a value cannot be.
    """
    if settings is None:
        settings = HandicapSettings() if minimum_scores is None else HandicapSettings(minimum_scores)
    elif minimum_scores is not None and minimum_scores != settings.minimum_scores:
        raise InputError("minimum_scores is given twice", remedy="give it in the settings only")
    if hasattr(rounds, "columns"):
        entries = entries_of(cast("pd.DataFrame", rounds), holes)
    else:
        entries = sorted(rounds, key=lambda entry: (entry.played_on, entry.round_no))
    start = None if start_index is None else tenths(start_index)
    low = None if low_index is None else tenths(low_index)
    return work_through(entries, settings, start=start, low=low, low_on=low_index_on)
