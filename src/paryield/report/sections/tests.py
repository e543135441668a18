"""What a golfer's own tests show over time."""

from __future__ import annotations

from markupsafe import Markup

from paryield.plan.measured import Measured
from paryield.report.figures.tests import MOST_PANELS, panels_of_tests
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.testing_words import (
    ASSUMED,
    SHORTLY,
    change_sentence,
    clear_change,
    measured_sentence,
    next_sentence,
    practised_sentence,
    unclear_sentence,
)
from paryield.report.views import GolferView


def tests_section(view: GolferView) -> Markup:
    """Return results by test, in their own unit and in strokes, with the practice done between them."""
    if not view.tests and not view.due:
        return Markup("")
    said = [(measured_sentence(one), practised_sentence(one)) for one in view.tests]
    alt = " ".join(sentence for sentence, _ in said)
    figure, shortly = None, ""
    if any(len(one.results) > 1 for one in view.tests):
        figure = both_widths("tests", alt, lambda width: panels_of_tests(view.tests, width=width))
        if not view.long:
            said, shortly = _in_short(view.tests), SHORTLY
    return part(
        "tests.html",
        said=said,
        figure=figure,
        next=next_sentence(view.due),
        assumed=ASSUMED,
        shortly=shortly,
    )


def _in_short(tests: tuple[Measured, ...]) -> list[tuple[str, str]]:
    """Say clear changes and what the picture leaves out, and name the others: it shows their results."""
    drawn = [one for one in tests if len(one.results) > 1][:MOST_PANELS]
    said, unclear = [], []
    for one in tests:
        if clear_change(one):
            said.append(change_sentence(one))
        elif one not in drawn or one.change is None:
            said.append(measured_sentence(one))
        else:
            unclear.append(one)
    return [(line, "") for line in [*said, unclear_sentence(unclear)] if line]
