"""What one golfer's observations take from his club, settled by its fit: nobody else's row moves them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.dose.diary import ClubDiary
from paryield.rounds.coach_tests import EASE
from paryield.rounds.strikes import SPREAD
from paryield.tables.categories import AREAS

if TYPE_CHECKING:
    from paryield.model.design import Observations


@dataclass(frozen=True)
class TestTask:
    """One test of the club: its name, kind, the scale of its values, and whether counted in practice."""

    name: str
    kind: str
    scale: str
    practice: bool

    @property
    def form(self) -> int:
        """Place of its scale among the priors of tests: strokes, counts, values in spreads, logarithms."""
        return {"strokes": 0, "probit": 1, "log": 3}.get(self.scale, 2)

    @property
    def ease(self) -> float:
        """Where its values lie at the reference level."""
        if self.scale == "log":
            return float(np.log(SPREAD[self.kind]))
        return EASE.get(self.kind, 0.0) if self.scale == "probit" else 0.0


@dataclass(frozen=True)
class Context:
    """A club as its fit saw it.

    Parameters
    ----------
    first_day : int
        Day of the first row, in days since 1970-01-01; the knots of form run from it.
    kinds : tuple of str
        Kinds of measurement that the club had.
    typical : mapping
        Root mean square of the known errors of each kind.
    tests : tuple of TestTask
    areas : tuple of str
        Scoring area of each test.
    scales : mapping
        Mean and spread of the club's values of each test that has values, in the unit of the values.
    diary : ClubDiary
    habit_area : tuple of float
        Weekly hours that serve each area, mean of those who write a diary.
    ghosts : mapping
        Hours a day of the phantom category by golfer, from a day on: ``(first day, hours)``.
    """

    first_day: int
    kinds: tuple[str, ...]
    typical: Mapping[str, float]
    diary: ClubDiary
    tests: tuple[TestTask, ...] = ()
    areas: tuple[str, ...] = ()
    scales: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    habit_area: tuple[float, ...] = (0.0,) * len(AREAS)
    ghosts: Mapping[str, tuple[int, FLOATS]] = field(default_factory=dict, repr=False)

    def to_dict(self) -> dict[str, Any]:
        """Return plain values, for storage; without the phantom's hours."""
        return {name: value for name, value in asdict(self).items() if name != "ghosts"}

    @classmethod
    def from_dict(cls, record: Mapping[str, Any], ghosts: Mapping[str, tuple[int, FLOATS]]) -> Context:
        """Read what :meth:`to_dict` gave, JSON lists for tuples."""
        return cls(
            first_day=int(record["first_day"]),
            kinds=tuple(record["kinds"]),
            typical=dict(record["typical"]),
            tests=tuple(TestTask(**task) for task in record["tests"]),
            areas=tuple(record["areas"]),
            scales={name: (float(mean), float(sd)) for name, (mean, sd) in record["scales"].items()},
            diary=ClubDiary(**record["diary"]),
            habit_area=tuple(record["habit_area"]),
            ghosts=ghosts,
        )


def context_of(data: Observations) -> Context:
    """Read off the observations of a whole club what those of one golfer hang on."""
    return Context(
        first_day=int(data.starts.min()),
        kinds=tuple(data.seen),
        typical=dict(data.typical),
        tests=data.tests,
        areas=tuple(AREAS[int(row.argmax())] for row in data.test_area),
        scales=data.scales,
        diary=data.diary.club,
        habit_area=tuple(float(mean) for mean in data.habit_centre),
    )
