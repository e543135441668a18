"""What a page needs, as plain data: the callers fill it, the pages only show it."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Protocol

import pandas as pd

from paryield.plan.measured import Measured
from paryield.plan.review import Review
from paryield.plan.saved import Ahead, KeptWeek
from paryield.report import frames
from paryield.report.words import missing, one_line

SAFE_FILE = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]*\.(html|pdf)")
"""File names that a page may link to: in the same folder, nothing else."""


@dataclass(frozen=True)
class RunFacts:
    """The fit behind the page: run number, seed, draws kept, and whether it was a rough fit."""

    number: int
    seed: int
    draws: int
    quick: bool = False

    def __post_init__(self) -> None:
        if self.draws < 1:
            raise ValueError(f"a run keeps at least one draw, found {self.draws}")


@dataclass(frozen=True)
class Health:
    """Outcome of the health gate and its lines, with remedies."""

    ok: bool
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Goal:
    """A goal index, its date, and the chance to be at it then (None when not answered).

    ``reached``: the index in force is at it today, and the chance is that of still holding it.
    ``passed``: its day has come or gone; ``reason`` then says what became of it.
    """

    goal: float
    by: date
    chance: float | None = None
    reason: str = ""
    reached: bool = False
    passed: bool = False

    def __post_init__(self) -> None:
        if not missing(self.chance) and not 0 <= float(self.chance) <= 1:  # type: ignore[arg-type]
            raise ValueError(f"a chance lies between 0 and 1, found {self.chance}")


class Framed(Protocol):
    """What stands around whatever is shown of a club: its name, day, fit and cautions."""

    @property
    def club(self) -> str: ...
    @property
    def as_of(self) -> date: ...
    @property
    def run(self) -> RunFacts: ...
    @property
    def health(self) -> Health: ...
    @property
    def cautions(self) -> tuple[str, ...]: ...
    @property
    def banner(self) -> str: ...


class PageView(Framed, Protocol):
    """What every page shows in its frame; ``notes`` must be said beside the numbers."""

    @property
    def notes(self) -> tuple[str, ...]: ...


class Listed(Framed, Protocol):
    """What the list of a club shows of a golfer: a whole page's view has it, and so has a glance."""

    @property
    def golfer_id(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def page(self) -> str: ...
    @property
    def weeks(self) -> int: ...
    @property
    def group(self) -> str: ...
    @property
    def left(self) -> date | None: ...
    @property
    def goal(self) -> Goal | None: ...
    @property
    def plan(self) -> dict[str, Any] | None: ...
    @property
    def follows(self) -> str: ...
    @property
    def index_now(self) -> float | None: ...
    @property
    def evidence(self) -> frozenset[str]: ...
    def rounds_after(self, day: date) -> int: ...
    def ahead(self, quantity: str) -> dict[str, Any] | None: ...


@dataclass(frozen=True)
class GolferView:
    """Everything on one golfer's page.

    Parameters
    ----------
    golfer_id, display_name, club : str
        As stored; shown escaped.
    as_of : date
        Latest day of the club's records.
    run, health : RunFacts, Health
        The fit behind the numbers.
    rounds : DataFrame
        ``played_on``, ``differential``, ``index_after``; differentials in strokes.
    forecast : DataFrame or records
        Records of the ``forecast`` command for several weeks ahead.
    returns : DataFrame or records
        Records of the ``returns`` command, the category ``phantom`` included where there is one.
    areas : DataFrame or records
        Records of the ``areas`` command; none where areas are not shown.
    goal : Goal, optional
        The golfer's goal.
    left : date, optional
        Day on which the golfer left the club; nothing is advised from then on.
    weeks : int
        Horizon of the headline, in weeks.
    notes : tuple of str
        What was measured and what is assumed, with the counts.
    cautions : tuple of str
        Cautions beyond the standing ones.
    banner : str
        Shown on top when the answers are not reportable and were asked for all the same.
    page : str
        Name of this golfer's file, for the link from the coach's page; empty for no link.
    plan : dict, optional
        Record of the ``plan`` command.
    goals : tuple of dict
        Records of the ``goals`` command.
    review : Review, optional
        What happened since the last review.
    tests : tuple of Measured
        The golfer's own tests over time.
    due : tuple of str
        Tests to do next, of a golfer without a round: title and minutes.
    brought : float, optional
        Handicap Index that the golfer came with; in force until the record has one of its own.
    long : bool
        Whether the tables behind the figures are shown too, as in the coach's book.

    Raises
    ------
    InputError
        When a table lacks a column.
    ValueError
        When the name, horizon or file name cannot be used.
    card_apart : bool
        Whether the sessions of the week stand on a card of their own, so that the page does not repeat them.
    kept : KeptWeek, optional
        The week of a saved plan that runs.
    group : str
        The group he trains with, empty without one.
    room : Ahead, optional
        What a plan of the golfer is laid out in.
    """

    golfer_id: str
    display_name: str
    club: str
    as_of: date
    run: RunFacts
    health: Health
    rounds: pd.DataFrame = field(repr=False)
    forecast: Any = field(repr=False)
    returns: Any = field(repr=False)
    areas: Any = field(default=(), repr=False)
    goal: Goal | None = None
    left: date | None = None
    weeks: int = 12
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    banner: str = ""
    page: str = ""
    plan: dict[str, Any] | None = field(default=None, repr=False)
    goals: tuple[dict[str, Any], ...] = field(default=(), repr=False)
    review: Review | None = field(default=None, repr=False)
    tests: tuple[Measured, ...] = field(default=(), repr=False)
    due: tuple[str, ...] = ()
    brought: float | None = None
    kept: KeptWeek | None = None
    card_apart: bool = False
    group: str = ""
    long: bool = False
    room: Ahead | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        if self.weeks < 1:
            raise ValueError(f"the horizon is at least one week, found {self.weeks}")
        if self.page and not SAFE_FILE.fullmatch(self.page):
            raise ValueError(f"a page is a plain file name such as golfer-1.html, found {self.page!r}")
        object.__setattr__(self, "rounds", frames.rounds_frame(self.rounds))
        object.__setattr__(self, "forecast", frames.forecast_frame(self.forecast))
        object.__setattr__(self, "returns", frames.returns_frame(self.returns))
        object.__setattr__(self, "areas", frames.areas_frame(self.areas))

    @property
    def follows(self) -> str:
        """Name of the saved plan that the golfer has settled on, empty without one."""
        return "" if self.kept is None else self.kept.plan

    @property
    def name(self) -> str:
        """The golfer's name on one line, or the id where there is none."""
        return one_line(self.display_name or "") or one_line(self.golfer_id)

    @property
    def index_now(self) -> float | None:
        """The latest Handicap Index of the record, or None below the minimum of scores."""
        known = self.rounds["index_after"].dropna()
        return float(known.iloc[-1]) if len(known) else None

    @property
    def counting(self) -> int:
        """How many rounds the index of today averages."""
        return int(self.rounds["counts"].sum())

    @property
    def evidence(self) -> frozenset[str]:
        """How far returns of practice were measured, the words of all categories."""
        return frozenset(frames.practice_rows(self.returns)["evidence"])

    def rounds_after(self, day: date) -> int:
        """How many rounds were played after a day."""
        return int((self.rounds["played_on"] > pd.Timestamp(day)).sum())

    def ahead(self, quantity: str, weeks: int | None = None) -> dict[str, Any] | None:
        """Return the forecast of one quantity at the headline horizon, or at ``weeks``."""
        return frames.forecast_row(self.forecast, quantity, self.weeks if weeks is None else weeks)


@dataclass(frozen=True)
class CoachView:
    """Everything on the coach's page: the same views, one a golfer."""

    club: str
    as_of: date
    run: RunFacts
    health: Health
    golfers: tuple[Listed, ...]
    weeks: int = 12
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    banner: str = ""

    def __post_init__(self) -> None:
        ids = [view.golfer_id for view in self.golfers]
        twice = sorted({one for one in ids if ids.count(one) > 1})
        if twice:
            raise ValueError(f"golfers shown twice: {', '.join(twice)}")
        other = sorted({view.weeks for view in self.golfers} - {self.weeks})
        if other:
            raise ValueError(f"every golfer is shown {self.weeks} weeks on, found {other}")
