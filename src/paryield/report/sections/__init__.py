"""The parts of the pages: each function takes a view and returns one part, empty where it has nothing to say.

A page is the list of its parts. To add one: a frozen view in ``report`` with what is shown, a template in
``templates/partials``, a function here, and its name in the list of the pages that show it.
"""

from collections.abc import Callable

from markupsafe import Markup

from paryield.report.sections.areas import areas_section
from paryield.report.sections.club import golfers_section, overview_section
from paryield.report.sections.evidence import evidence_section
from paryield.report.sections.plan import goals_section, plan_section
from paryield.report.sections.record import record_section
from paryield.report.sections.returns import returns_section
from paryield.report.sections.review import review_section
from paryield.report.sections.tests import tests_section
from paryield.report.views import CoachView, GolferView

GOLFER: tuple[Callable[[GolferView], Markup], ...] = (
    record_section,
    goals_section,
    areas_section,
    returns_section,
    plan_section,
    review_section,
    tests_section,
)
"""Parts of a golfer's page, in reading order, between the answers and the cautions."""

COACH: tuple[Callable[[CoachView], Markup], ...] = (overview_section,)
"""Parts of the coach's page below the list of golfers and the cautions."""

__all__ = [
    "COACH",
    "GOLFER",
    "areas_section",
    "evidence_section",
    "goals_section",
    "golfers_section",
    "overview_section",
    "plan_section",
    "record_section",
    "returns_section",
    "review_section",
    "tests_section",
]
