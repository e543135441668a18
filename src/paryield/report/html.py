"""One page a golfer, one for the coach and one for the facility, as HTML that needs nothing but itself."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from paryield.report import sections, sentences, words
from paryield.report.attention import by_attention, pressing, said_of_all
from paryield.report.first_screen import first_screen
from paryield.report.rendering import render
from paryield.report.views import CoachView, GolferView, PageView


def golfer_page(view: GolferView) -> str:
    """Return one golfer's page as an HTML document.

    Parameters
    ----------
    view : GolferView
        What to show; nothing is computed here.

    Returns
    -------
    str
        A whole document: no script, no request to anywhere, readable on a telephone and in print.
    """
    return render(
        "golfer.html",
        view,
        title=view.name,
        first=first_screen(view),
        folds=sections.golfer_folds(view),
    )


def coach_page(view: CoachView) -> str:
    """Return the coach's page: every golfer of the club, those who need attention first.

    Parameters
    ----------
    view : CoachView
        What to show.

    Returns
    -------
    str
        A whole document like :func:`golfer_page`.
    """
    ordered = by_attention(view.golfers)
    waiting, later = pressing(ordered)
    return render(
        "coach.html",
        view,
        title=words.one_line(view.club),
        count=len(ordered),
        waiting=waiting,
        later=later,
        of_all=said_of_all(ordered),
        trust=sentences.trust_sentences(view.health, view.run),
        golfers=sections.golfers_section(ordered, view.weeks),
        sections=[section(view) for section in sections.COACH],
        evidence=sections.evidence_section(view),
    )


def facility_page(
    view: PageView, *, answers: Sequence[tuple[str, Sequence[str]]] = (), parts: Sequence[Markup] = ()
) -> str:
    """Return the facility's report: the answers first, then its parts, the cautions and the evidence.

    Parameters
    ----------
    view : PageView
        Club, day, fit, notes and cautions.
    answers : sequence of (question, sentences)
        What the report says in words.
    parts : sequence of Markup
        Parts made by :func:`paryield.report.rendering.part`, in reading order.
    """
    return render(
        "facility.html",
        view,
        title=words.one_line(view.club),
        answers=answers,
        sections=parts,
        evidence=sections.evidence_section(view),
    )
