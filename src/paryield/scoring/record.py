"""The running handicap record of one golfer, in whole tenths, each step open to a check by hand.

Readings taken where the published text leaves room: rounds of one day are handled in order, as if the
index were revised between them; an index counts towards the low index only when it came from 20
differentials; the low index is sought among the indexes calculated from 365 days before the previous
score to the day of that score, both days included (clarifications 5.7/1 and 5.7/2).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING, Any, cast

from paryield.errors import InputError
from paryield.scoring.differential import FULL_ROUND_HOLES, expected_differential
from paryield.scoring.entries import Entry, entries_of
from paryield.scoring.exact import Number, exact, from_tenths, tenths
from paryield.scoring.index import FULL_RECORD, Average, Cap, average_lowest, cap_tenths, reduction_tenths
from paryield.scoring.settings import NINE_HOLES, HandicapSettings
from paryield.scoring.steps import LOW_INDEX_DAYS, HandicapRecord, IndexState, Step

if TYPE_CHECKING:
    import pandas as pd


@dataclass
class Ledger:
    """Working state of a record; ``opening`` holds the rounds before there is an index.

    Once there is one, ``window`` belongs to the last of the rounds at the positions ``posted``.
    """

    settings: HandicapSettings
    index: int | None = None
    started: bool = False
    holes_posted: int = 0
    last_day: int | None = None
    window: list[int] = field(default_factory=list)
    lows: list[tuple[int, int]] = field(default_factory=list)
    opening: list[tuple[int, Fraction, int]] = field(default_factory=list)
    loose: list[tuple[int, Fraction, int]] = field(default_factory=list)
    converted: dict[int, int] = field(default_factory=dict)
    posted: list[int] = field(default_factory=list)

    def scale_up(self, part: Fraction, holes: int, index: int) -> Fraction:
        """Add the expected differential of the holes not played."""
        rest = expected_differential(
            Fraction(index, 10),
            FULL_ROUND_HOLES - holes,
            per_index=self.settings.expected_nine_per_index,
            base=self.settings.expected_nine_constant,
        )
        return part + rest

    def low(self) -> tuple[int, int] | None:
        """Return day and value of the low index: the window hangs on the previous score (5.7/1)."""
        if self.last_day is None or len(self.window) < FULL_RECORD:
            return None
        first = self.last_day - LOW_INDEX_DAYS
        inside = [(value, -day) for day, value in self.lows if first <= day <= self.last_day]
        if not inside:
            return None
        value, day = min(inside)
        return -day, value

    def post(self, position: int, entry: Entry, value: Fraction, holes: int) -> int:
        """Put a counting round on the record; return its exceptional reduction in tenths."""
        self.posted.append(position)
        self.holes_posted += NINE_HOLES if entry.holes == NINE_HOLES else FULL_ROUND_HOLES
        full = holes == FULL_ROUND_HOLES
        reduction = reduction_tenths(self.index, value) if full else 0
        if full:
            self.window = [each + reduction for each in [*self.window, tenths(value)][-FULL_RECORD:]]
        if not self.started:
            self.opening.append((position, value, holes))
            if self.holes_posted >= self.settings.holes_for_an_index:
                self.start()
        return reduction

    def start(self) -> None:
        """Begin the index: rounds that waited are scaled up by a provisional index (our reading)."""
        self.started = True
        if any(holes < FULL_ROUND_HOLES for _, _, holes in self.opening):
            provisional = average_lowest(self.doubled())
            index = min(provisional.tenths, self.settings.maximum_tenths)
            full = [
                (position, tenths(self.scale_up(value, holes, index) if holes < FULL_ROUND_HOLES else value))
                for position, value, holes in self.opening
            ]
            self.converted.update(full)
            self.window = [value for _, value in full][-FULL_RECORD:]

    def doubled(self) -> list[int]:
        """Return the opening rounds as differentials, short ones in proportion to their holes."""
        return [tenths(value * FULL_ROUND_HOLES / holes) for _, value, holes in self.opening][-FULL_RECORD:]

    def revise(self, day: int) -> tuple[Average | None, tuple[int, int] | None, Cap]:
        """Calculate the index after a posted round and note it for later low indexes."""
        average: Average | None = None
        low: tuple[int, int] | None = None
        cap: Cap = "none"
        if self.started:
            average, low = average_lowest(self.window), self.low()
            capped, cap = cap_tenths(average.tenths, low[1] if low else None)
            self.index = min(capped, self.settings.maximum_tenths)
            if len(self.window) == FULL_RECORD:
                self.lows.append((day, self.index))
        self.last_day = day
        return average, low, cap

    def state(self) -> IndexState:
        """Return where the record stands, with no low index that can no longer count."""
        first = (self.last_day or 0) - LOW_INDEX_DAYS
        lows = sorted((min(day, self.last_day or day), value) for day, value in self.lows if day >= first)
        return IndexState(
            differentials=tuple(self.window if self.started or not self.opening else self.opening_window()),
            index=self.index,
            low_days=tuple(day for day, _ in lows),
            low_values=tuple(value for _, value in lows),
            last_day=self.last_day,
            holes_posted=self.holes_posted,
            minimum_scores=self.settings.minimum_scores,
            maximum_index=self.settings.maximum_tenths,
        )

    def opening_window(self) -> list[int]:
        """Return the window of a record without an index of its own yet."""
        waiting = any(holes < FULL_ROUND_HOLES for _, _, holes in self.opening)
        return self.doubled() if waiting else self.window


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
