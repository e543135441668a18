"""The model, term by term: each file holds priors, columns from the tables, strokes and a label.

Likelihood, forecast, split, stored contents, health lines and words are made from these lists.
"""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import numpy as np

from paryield.model.prior import Constant, Value
from paryield.model.terms.coach_tests import CoachTests
from paryield.model.terms.drift import Drift
from paryield.model.terms.form import Form
from paryield.model.terms.level import Level
from paryield.model.terms.practice import Practice, Response, Start
from paryield.model.terms.round_terms import Course
from paryield.model.terms.score import MeasuredAreas, Score
from paryield.model.terms.stats import STATS, OwnStats, Stat
from paryield.model.terms.term import Effect, Part, Term, Values

FILES = (
    "background",
    "season",
    "growth",
    "events",
    "programme",
    "joining",
    "round_terms",
)
"""Files of this folder whose terms are added to all that a golfer loses, in this order."""


def terms_of(file: str) -> list[Term]:
    """The terms that a file of this folder defines, in the order of its lines."""
    module = import_module(f"{__name__}.{file}")
    return [
        one()
        for one in vars(module).values()
        if isinstance(one, type) and issubclass(one, Term) and one.__module__ == module.__name__
    ]


TERMS: tuple[Term, ...] = tuple(term for file in FILES for term in terms_of(file))
"""What is added to all that a golfer loses."""
PRACTICE, COURSE = Practice(), Course()
EFFECTS: tuple[Effect, ...] = (Level(), Drift(), Response(), Start(), Form(), OwnStats())
"""A golfer's own, in the order of his effects."""
MEASURED = (Score(), *STATS, MeasuredAreas(), CoachTests())
"""What measurements add."""
ALL: tuple[Part | Stat, ...] = (*EFFECTS, *TERMS, PRACTICE, COURSE, *MEASURED)
VALUES: dict[str, Value] = {value.name: value for term in ALL for value in term.values}
"""Every population value that answers are made of, by name."""
KNOWN: dict[str, Value] = {
    **VALUES,
    **{value.name: value for value in PRACTICE.inner},
    **{name: Value(name, unit=one.unit) for term in ALL for name, one in term.fixed},
}
"""Every population value that the likelihood reads, by name, with its dimensions and unit."""


def shared_strokes(p: Values, columns: Mapping[str, Any], xp: Any = np) -> Any:
    """All terms' strokes, (..., T): the one sum of the likelihood, of past days and of days to come.

    ``columns`` holds what each term weighs, (C, T) by its name; a term that is not there adds nothing.
    """
    total: Any = 0.0
    for term in TERMS:
        if term.name in columns and len(columns[term.name]):
            total = total + term.strokes(p, columns[term.name], xp)
    return total


def constants() -> tuple[Constant, ...]:
    """Every constant of the priors, once."""
    found = {one.name: one for term in ALL for one in term.known()}
    return tuple(found.values())


__all__ = [
    "ALL",
    "COURSE",
    "EFFECTS",
    "KNOWN",
    "MEASURED",
    "PRACTICE",
    "STATS",
    "TERMS",
    "VALUES",
    "constants",
    "shared_strokes",
]
