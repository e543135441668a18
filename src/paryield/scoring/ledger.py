"""The arithmetic of a running record, in whole tenths, one round after another."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from paryield.scoring.caps import Cap, cap_tenths
from paryield.scoring.differential import FULL_ROUND_HOLES, expected_differential
from paryield.scoring.entries import Entry
from paryield.scoring.exact import tenths
from paryield.scoring.exceptional import reduction_tenths
from paryield.scoring.index import FULL_RECORD, Average, average_lowest
from paryield.scoring.settings import NINE_HOLES, HandicapSettings
from paryield.scoring.state import LOW_INDEX_DAYS, IndexState


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
