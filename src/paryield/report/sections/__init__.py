"""The parts of the pages: each function takes a view and returns one part, empty where it has nothing to say.

A golfer's page is the first screen and its folds. To add one: a frozen view in ``report`` with what is shown,
a template in ``templates/partials``, a function here, and its line in :data:`GOLFER`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from paryield.report.sections.club import golfers_section, overview_section
from paryield.report.sections.golfer import (
    areas_section,
    evidence_section,
    goals_section,
    measured_section,
    plan_section,
    record_section,
    returns_section,
    review_section,
    tests_section,
)
from paryield.report.views import CoachView, GolferView


@dataclass(frozen=True)
class Fold:
    """A part of a page that opens below its title; ``name`` is its anchor."""

    name: str
    title: str
    content: Markup
    open: bool = False


GOLFER: tuple[tuple[str, str, Callable[[GolferView], Markup]], ...] = (
    ("week", "My week", plan_section),
    ("rounds", "Rounds and forecast", record_section),
    ("review", "The last six weeks", review_section),
    ("goals", "What can be reached", goals_section),
    ("areas", "Where the strokes are lost", areas_section),
    ("practice", "What the next hour may save", returns_section),
    ("tests", "Tests", tests_section),
    ("evidence", "What was measured", measured_section),
)
"""Anchor, title and content of the folds of a golfer's page, in reading order."""

COACH: tuple[Callable[[CoachView], Markup], ...] = (overview_section,)
"""Parts of the coach's page below the list of golfers and the cautions."""


MOVED_BY = {
    "goals": ("rounds", "review", "goals", "areas"),
    "plans": ("week", "review"),
    "others": ("week", "review"),
}
"""Folds that name a golfer's goal, his saved plans, and his advised week, which others may move.

The other folds stay when one of these moves.
"""


def golfer_folds(view: GolferView, known: Mapping[str, Fold] | None = None) -> list[Fold]:
    """Return the folds of a golfer's page, those left out that have nothing to say.

    ``known`` are folds by name that were drawn already and stay as they are.
    """
    drawn = known or {}
    made = [
        (name, title, drawn[name].content if name in drawn else content(view))
        for name, title, content in GOLFER
    ]
    return [Fold(name, title, content, name == "week") for name, title, content in made if content]


__all__ = [
    "COACH",
    "GOLFER",
    "MOVED_BY",
    "Fold",
    "areas_section",
    "evidence_section",
    "goals_section",
    "golfer_folds",
    "golfers_section",
    "measured_section",
    "overview_section",
    "plan_section",
    "record_section",
    "returns_section",
    "review_section",
    "tests_section",
]
