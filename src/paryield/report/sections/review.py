"""What happened since the last review."""

from __future__ import annotations

from typing import Any

from markupsafe import Markup

from paryield.report import figures, review_words, split_words
from paryield.report.first_screen import went_well
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.views import GolferView


def review_section(view: GolferView) -> Markup:
    """Return the review: planned and done, what the change came from, tests, goal, next date."""
    review = view.review
    if review is None:
        return Markup("")
    said = split_words.split_sentences(review.split, dated=False)
    praise = went_well(view)
    figure = both_widths(
        "split",
        " ".join(said),
        lambda width: figures.split_dots(review.split, title=_title(review.split), width=width),
    )
    tests = [
        {
            "name": review_words.test_name(row),
            "before": review_words.test_value(row, "before"),
            "before_on": row["before_on"],
            "after": review_words.test_value(row, "after"),
            "after_on": row["after_on"],
            "change": review_words.test_change(row),
            "shown": _shown(row, praise),
            "verdict": review_words.test_verdict(row),
            "said": review_words.TEST_CELLS[review_words.test_verdict(row)],
        }
        for row in review.tests
    ]
    days = (review.until - review.since).days
    return part(
        "review.html",
        review=review,
        index=review_words.index_sentence(view.rounds, review.since, review.until),
        said=said if view.long else said[:2],
        figure=figure,
        tests=tests,
        practised=review_words.practice_sentence(
            review.practice, days, review.days_unknown, review.days_planned
        ),
        praise=praise,
        decide="" if view.left else review_words.to_decide(view.goal, view.plan),
        long=view.long,
        coming="" if view.left else review_words.next_sentence(review.next_from, review.next_to),
    )


def _shown(row: dict[str, Any], praise: str) -> bool:
    """Whether a test changed clearly and is not what is praised already."""
    clear = review_words.test_verdict(row) in ("better", "worse")
    return clear and review_words.test_praise(row) != praise


def _title(split: list[dict[str, object]]) -> str:
    level = split_words.of_quantity(split, "mean_differential")
    whole = split_words.whole_of(level)
    if whole is None or split_words.direction(whole["change"]) == "cannot tell":
        return "Whether scores changed cannot be told yet"
    cause = split_words.clearest_cause(level)
    went = split_words.direction(whole["change"])
    if cause == "none":
        return f"Scores {went}; no single cause stands out"
    return f"Scores {went}; clearest cause: {split_words.PART_NAMES[cause]}"
