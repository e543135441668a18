"""The arithmetic of a running record, in whole tenths, one round after another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Any

from paryield.scoring.caps import Cap, cap_tenths
from paryield.scoring.differential import FULL_ROUND_HOLES, expected_differential
from paryield.scoring.entries import Entry
from paryield.scoring.exact import exact, from_tenths, tenths
from paryield.scoring.exceptional import reduction_tenths
from paryield.scoring.index import FULL_RECORD, Average, average_lowest
from paryield.scoring.settings import NINE_HOLES, HandicapSettings
from paryield.scoring.state import LOW_INDEX_DAYS, IndexState
from paryield.scoring.steps import HandicapRecord, Step


@dataclass
class Ledger:
    """Working state of a record; ``opening`` holds the rounds before there is an index."""

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


def work_through(
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
    before = ledger.index
    value, holes, note = _differential(ledger, entry)
    full = value is not None and holes == FULL_ROUND_HOLES
    shown: dict[str, Any] = {
        "played_on": entry.played_on,
        "round_no": entry.round_no,
        "holes": entry.holes,
        "course": entry.course,
        "counts": entry.counts,
        "scaled": entry.holes < FULL_ROUND_HOLES,
        "differential": from_tenths(tenths(value)) if value is not None and full else None,
        "unrounded": float(value) if value is not None and full else None,
        "index_before": _strokes(before),
    }
    if value is not None and not entry.counts and not full:
        ledger.loose.append((position, value, holes))
    if value is None or not entry.counts:
        return Step(**shown, index_after=_strokes(before), note=note or "does not count for the index")
    reduction = ledger.post(position, entry, value, holes)
    average, low, cap = ledger.revise(entry.played_on.toordinal())
    return Step(
        **shown,
        index_after=_strokes(ledger.index),
        reduction=from_tenths(reduction),
        window=tuple(map(from_tenths, ledger.window)),
        used=average.used if average else (),
        adjustment=from_tenths(average.adjustment) if average else 0.0,
        average=from_tenths(average.tenths) if average else None,
        low_index=from_tenths(low[1]) if low else None,
        low_index_on=date.fromordinal(low[0]) if low else None,
        cap=cap,
        note=note or ("" if average else f"no index before {ledger.settings.holes_for_an_index} holes"),
    )


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
