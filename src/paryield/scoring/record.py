"""The running handicap record of one golfer, each step open to a check by hand.

Readings taken where the published text leaves room: rounds of one day are handled in order, as if the
index were revised between them; an index counts towards the low index only when it came from 20
differentials; the low index is sought among the indexes calculated from 365 days before the previous
score to the day of that score, both days included (clarifications 5.7/1 and 5.7/2).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, Any, cast

from paryield.errors import InputError
from paryield.scoring.differential import FULL_ROUND_HOLES
from paryield.scoring.entries import Entry, entries_of
from paryield.scoring.exact import Number, exact, from_tenths, tenths
from paryield.scoring.ledger import Ledger
from paryield.scoring.settings import HandicapSettings
from paryield.scoring.state import LOW_INDEX_DAYS
from paryield.scoring.steps import HandicapRecord, Step

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

    Examples
    --------
    >>> from datetime import date
    >>> from paryield.scoring import Entry
    >>> days = [date(2026, 5, 1), date(2026, 5, 8), date(2026, 5, 15)]
    >>> played = zip(days, [14.2, 12.9, 15.6], strict=True)
    >>> record = handicap_record([Entry(day, score_differential=value) for day, value in played])
    >>> [step.index_after for step in record.steps]
    [None, None, 10.9]
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
    return _work_through(entries, settings, start=start, low=low, low_on=low_index_on)


def _work_through(
    entries: Sequence[Entry],
    settings: HandicapSettings,
    *,
    start: int | None = None,
    low: int | None = None,
    low_on: date | None = None,
) -> HandicapRecord:
    """Return the record of rounds in order; start and low index in tenths."""
    ledger = Ledger(settings, index=start)
    counted = [entry.played_on.toordinal() for entry in entries if entry.counts]
    if low is not None:
        day = low_on.toordinal() if low_on else _soonest_to_expire(counted)
        ledger.lows.append((day, low))
    steps = tuple(_step(ledger, position, entry) for position, entry in enumerate(entries))
    final = dict(ledger.converted)
    first = next((tenths(s.index_after) for s in steps if s.index_after is not None), None)
    unsettled = ledger.loose if ledger.started else [*ledger.loose, *ledger.opening]
    for position, value, holes in unsettled:
        scaled = (
            ledger.scale_up(value, holes, first) if first is not None else value * FULL_ROUND_HOLES / holes
        )
        final.setdefault(position, tenths(scaled))
    differentials = tuple(
        from_tenths(final[position]) if position in final and step.differential is None else step.differential
        for position, step in enumerate(steps)
    )
    return HandicapRecord(steps, differentials, ledger.state(), None if start is None else from_tenths(start))


def _soonest_to_expire(days: Sequence[int]) -> int:
    return max(days[0], days[-1] - LOW_INDEX_DAYS) if days else 0


def _step(ledger: Ledger, position: int, entry: Entry) -> Step:
    before = _strokes(ledger.index)
    value, holes, note = _differential(ledger, entry)
    full = value is not None and holes == FULL_ROUND_HOLES
    if value is not None and not entry.counts and not full:
        ledger.loose.append((position, value, holes))
    shown: dict[str, Any] = {
        "played_on": entry.played_on,
        "round_no": entry.round_no,
        "holes": entry.holes,
        "course": entry.course,
        "counts": entry.counts,
        "scaled": entry.holes < FULL_ROUND_HOLES,
        "differential": from_tenths(tenths(value)) if value is not None and full else None,
        "unrounded": float(value) if value is not None and full else None,
        "index_before": before,
    }
    if value is None or not entry.counts:
        return Step(**shown, index_after=before, note=note or "does not count for the index")
    moved = _posted(ledger, position, entry, value, holes)
    if not ledger.started:
        note = note or f"no index before {ledger.settings.holes_for_an_index} holes"
    return Step(**shown, note=note, **moved)


def _posted(ledger: Ledger, position: int, entry: Entry, value: Fraction, holes: int) -> dict[str, Any]:
    """Post a counting round and return what its step shows of the record."""
    reduction = ledger.post(position, entry, value, holes)
    average, low, cap = ledger.revise(entry.played_on.toordinal())
    moved: dict[str, Any] = {
        "index_after": _strokes(ledger.index),
        "reduction": from_tenths(reduction),
        "window": tuple(map(from_tenths, ledger.window)),
    }
    if average is None:
        return moved
    latest = ledger.posted[-len(ledger.window) :]
    return moved | {
        "used": average.used,
        "rounds": tuple(latest[place] for place in average.used),
        "adjustment": from_tenths(average.adjustment),
        "average": from_tenths(average.tenths),
        "low_index": from_tenths(low[1]) if low else None,
        "low_index_on": date.fromordinal(low[0]) if low else None,
        "cap": cap,
    }


def _differential(ledger: Ledger, entry: Entry) -> tuple[Fraction | None, int, str]:
    """Return the unrounded differential, the holes it is for, and why it is not for 18."""
    if entry.score_differential is not None:
        return exact(entry.score_differential, "score differential"), FULL_ROUND_HOLES, ""
    if not ledger.settings.acceptable(entry.holes):
        return None, entry.holes, "too few holes"
    part = entry.partial(None if ledger.index is None else from_tenths(ledger.index))
    if part is None:
        return None, entry.holes, "no score to work with"
    if entry.holes == FULL_ROUND_HOLES:
        return part, FULL_ROUND_HOLES, ""
    if ledger.index is None:
        return part, entry.holes, "waits for an index"
    return ledger.scale_up(part, entry.holes, ledger.index), FULL_ROUND_HOLES, ""


def _strokes(index: int | None) -> float | None:
    return None if index is None else from_tenths(index)
