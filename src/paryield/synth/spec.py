"""What a made-up club is asked to be: its size, its seed and the kind of club."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from paryield.errors import InputError
from paryield.synth.skills import TRAIN


@dataclass(frozen=True)
class Traits:
    """How a kind of club behaves.

    Parameters
    ----------
    plain : str
        The kind in one sentence.
    effect, rounds : float
        Factors on what practice gives and on the number of rounds.
    missing : float
        Share of golfer-weeks without an entry in the diary although there was a week to write about.
    practise_weak, follow_form : float
        How strongly hours go to the weak area, and how strongly bad rounds raise the hours.
    enrol, tied, busy : bool
        Members join a programme when playing badly; chipping and bunker always move together; golfers
        with many hours are better players to begin with.
    unwritten : float
        Share of idle weeks that leave no row in the diary.
    quits : float
        Share of golfers who give up practice, and the diary with it, during the record; they play on.
    shares : tuple of float
        Weights of the areas in the strokes lost: off the tee, approach, short game, putting.
    half_life, form : float
        Factors on half-lives, and on the slow ups and downs.
    juniors : float
        Share of golfers who are juniors and gain strokes by growing.
    lessons : float
        Lessons a year of each golfer: they give strokes, and he practises more at the time.
    unposted : float
        Chance that a round well above the expected score is not posted.
    sends : bool
        The coach sends those who play worse than most to the programme.
    familiar : float
        Strokes by which a golfer's first test of a kind is worse than his skill.
    mismatch : float
        Spread between golfers of how far their tests of an area lie from their course for good, strokes.
    """

    plain: str
    effect: float = 1.0
    rounds: float = 1.0
    missing: float = 0.05
    practise_weak: float = 0.0
    follow_form: float = 0.0
    enrol: bool = False
    tied: bool = False
    busy: bool = False
    unwritten: float = 0.0
    quits: float = 0.0
    shares: tuple[float, ...] = (5.0, 7.0, 4.0, 3.0)
    half_life: float = 1.0
    form: float = 1.0
    juniors: float = 0.0
    lessons: float = 0.0
    unposted: float = 0.0
    sends: bool = False
    familiar: float = 0.0
    mismatch: float = 0.0


CASES: dict[str, Traits] = {
    "steady": Traits("habits do not depend on scores"),
    "weak": Traits("practise what is weak, and more after bad rounds", practise_weak=1.2, follow_form=0.35),
    "thin": Traits("few rounds, a third of the diary missing", rounds=0.4, missing=0.33),
    "null": Traits("practice does nothing", effect=0.0),
    "enrol": Traits("members join a programme when playing badly", enrol=True),
    "tied": Traits("chipping and bunker always move together", tied=True),
    "busy": Traits("busy golfers are better players to begin with", busy=True),
    "silent": Traits(
        "idle weeks leave no row; one golfer in five gives up practice and diary", unwritten=1.0, quits=0.2
    ),
    "other": Traits(
        "other shares of the areas, gains three times as large and forgotten as fast, form twice as wide",
        effect=3.0,
        shares=(3.0, 5.0, 6.0, 5.0),
        half_life=0.3,
        form=2.0,
    ),
    "harmful": Traits("practice makes worse: a swing rebuilt and not finished", effect=-0.4),
    "growing": Traits(
        "practice does nothing, and four golfers in ten are juniors who grow", effect=0.0, juniors=0.4
    ),
    "lessons": Traits("lessons give strokes, and more is practised after them", lessons=3.0),
    "unposted": Traits("a third of the bad rounds is not posted", unposted=0.33),
    "tested": Traits(
        "practice does nothing; first tests are worse, and golfers have lasting strengths at tests",
        effect=0.0,
        familiar=1.2,
        mismatch=1.5,
    ),
    "sent": Traits("the coach sends those who play worse than most to the programme", sends=True),
}
"""The kinds of club by the name that ``--case`` takes."""

SHARES = (
    "stats_share",
    "area_strokes_share",
    "nine_hole_share",
    "late_share",
    "holes_share",
    "shots_share",
    "blocks_share",
)
SIX = ("short_putting", "chipping", "bunker", "irons", "driver", "strength")


@dataclass(frozen=True)
class ClubSpec:
    """A made-up club, before it is made.

    Parameters
    ----------
    golfers, weeks : int
        Size of the club and length of the record.
    seed : int
        One seed gives one club.
    case : str
        Key of :data:`CASES`.
    ends_on : date
        Last day of the record; the record starts ``7 * weeks - 1`` days earlier.
    future_weeks : int
        Weeks lived on after the record, kept out of the tables.
    rounds_per_month : float
        Club average over the year, before the factor of the case.
    categories : tuple of str
        Practice categories in use.
    effect, noise : float
        Factors on what practice gives and on the spread of a round.
    programme_effect : float
        Strokes gained at the end of a programme beyond what its hours give.
    stats_share, area_strokes_share, nine_hole_share, late_share : float
        Shares of rounds with round stats, with strokes gained per area, over nine holes, and of golfers
        who join during the record.
    holes_share, shots_share : float
        Shares of rounds with a score by hole and with every shot; rounds with shots have holes too. Their
        stats are those of the holes.
    programme, assessments : bool
        Whether the club runs a programme (always so in the case ``enrol``) and tests its golfers.
    strikes, events : bool
        Whether balls are measured in a bay, and lessons and injuries are on record.
    blocks_share : float
        Share of golfers who practise in blocks by lot; where the club tests, they test every other week.
    plan_weeks : int
        Weeks before the end of the record from which every golfer has a plan; another one follows it.
    adherence, adherence_spread : float
        Share of a plan that golfers do, and its relative spread between them.
    name : str
        Name of the club.
    """

    golfers: int = 60
    weeks: int = 78
    seed: int = 1
    case: str = "steady"
    ends_on: date = date(2026, 7, 5)
    future_weeks: int = 26
    rounds_per_month: float = 2.5
    categories: tuple[str, ...] = SIX
    effect: float = 1.0
    noise: float = 1.0
    programme_effect: float = 0.0
    stats_share: float = 0.5
    area_strokes_share: float = 0.0
    nine_hole_share: float = 0.0
    late_share: float = 0.15
    programme: bool = False
    assessments: bool = False
    strikes: bool = False
    events: bool = False
    blocks_share: float = 0.0
    plan_weeks: int = 0
    adherence: float = 1.0
    adherence_spread: float = 0.2
    name: str = "Made-up club"
    holes_share: float = 0.0
    shots_share: float = 0.0

    def __post_init__(self) -> None:
        _at_least("golfers", self.golfers, 1)
        _at_least("weeks", self.weeks, 1)
        _at_least("seed", self.seed, 0)
        _at_least("future_weeks", self.future_weeks, 0)
        _at_least("plan_weeks", self.plan_weeks, 0)
        for name in ("rounds_per_month", "effect", "noise", "adherence", "adherence_spread"):
            _at_least(name, getattr(self, name), 0.0)
        for name in SHARES:
            if not 0.0 <= getattr(self, name) <= 1.0:
                raise _wrong(name, getattr(self, name), "give a share from 0 to 1")
        if self.case not in CASES:
            raise _wrong("case", self.case, f"choose one of {', '.join(CASES)}")
        unknown = [category for category in self.categories if category not in TRAIN]
        if unknown or not self.categories or len(set(self.categories)) < len(self.categories):
            raise _wrong("categories", self.categories, f"name each once, out of {', '.join(TRAIN)}")
        if self.traits.tied and not {"chipping", "bunker"} <= set(self.categories):
            raise _wrong("categories", self.categories, "the case tied needs chipping and bunker")

    @property
    def traits(self) -> Traits:
        """Behaviour of the kind of club."""
        return CASES[self.case]

    @property
    def shares(self) -> np.ndarray:
        """Mean share of each area in the strokes lost, shape (areas,)."""
        weights = np.array(self.traits.shares)
        return np.asarray(weights / weights.sum())

    @property
    def starts_on(self) -> date:
        """First day of the record."""
        return self.ends_on - timedelta(days=7 * self.weeks - 1)

    @property
    def has_programme(self) -> bool:
        """Whether a programme runs."""
        return self.programme or self.traits.enrol or self.traits.sends


def _at_least(name: str, value: float, least: float) -> None:
    if not value >= least:
        raise _wrong(name, value, f"give {least} or more")


def _wrong(name: str, value: object, remedy: str) -> InputError:
    return InputError(f"{name} cannot be {value!r}", where="made-up club", remedy=remedy)
