"""One page a golfer, one for the coach and one for the facility, as HTML that needs nothing but itself."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from paryield.report import area_words, sections, sentences, verdicts, words
from paryield.report.attention import by_attention, pressing
from paryield.report.frames import practice_rows
from paryield.report.plan_words import week_sentence
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
        answers=golfer_answers(view),
        sections=[section(view) for section in sections.GOLFER],
        evidence=sections.evidence_section(view),
    )


def golfer_answers(view: GolferView) -> list[tuple[str, list[str]]]:
    """Return the questions that a golfer's page answers first, with the sentences that answer them."""
    return [
        ("Where am I now?", sentences.now_sentences(view)),
        (f"Where shall I be in {words.weeks_text(view.weeks)}, practising as now?", _ahead(view)),
        *_lost(view),
        ("What would the next hour do most for?", verdicts.next_hour_sentences(view.returns)),
        *_week(view),
        ("Can I trust it?", _trust(view)),
    ]


def _week(view: GolferView) -> list[tuple[str, list[str]]]:
    if view.plan is None or not view.plan["weeks_plan"]:
        return []
    return [("What should the week look like?", [week_sentence(view.plan)])]


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
        trust=sentences.trust_sentences(view.health, view.run),
        golfers=sections.golfers_section(ordered, view.weeks),
        sections=[section(view) for section in sections.COACH],
        evidence=sections.evidence_section(view, explained=False),
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
        evidence=sections.evidence_section(view, explained=False),
    )


def _lost(view: GolferView) -> list[tuple[str, list[str]]]:
    if view.areas.empty:
        return []
    return [("Where are the strokes lost?", area_words.areas_sentences(view.areas))]


def _ahead(view: GolferView) -> list[str]:
    goal = [sentences.goal_sentence(view.goal)] if view.goal else []
    return sentences.forecast_sentences(view) + goal


def _trust(view: GolferView) -> list[str]:
    answered = bool(view.forecast["reportable"].any()) or len(practice_rows(view.returns)) > 0
    return sentences.trust_sentences(view.health, view.run, view.returns, answered=answered)
