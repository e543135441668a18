"""What a golfer's own tests show over time."""

from __future__ import annotations

from markupsafe import Markup

from paryield.report.figures.tests import panels_of_tests
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.testing_words import ASSUMED, measured_sentence, practised_sentence
from paryield.report.views import GolferView


def tests_section(view: GolferView) -> Markup:
    """Return results by test, in their own unit and in strokes, with the practice done between them."""
    if not view.tests:
        return Markup("")
    said = [(measured_sentence(one), practised_sentence(one)) for one in view.tests]
    figure = None
    if any(len(one.results) > 1 for one in view.tests):
        alt = " ".join(sentence for sentence, _ in said)
        figure = both_widths("tests", alt, lambda width: panels_of_tests(view.tests, width=width))
    return part("tests.html", said=said, figure=figure, assumed=ASSUMED)
