"""One page a golfer and one for the coach, as HTML that needs nothing but itself."""

from __future__ import annotations

from typing import Any

import pandas as pd
from markupsafe import Markup
from matplotlib.figure import Figure

from paryield.report import figures, sentences, verdicts, words
from paryield.report.attention import by_attention
from paryield.report.figures.style import Width
from paryield.report.frames import noise_row, practice_rows, records
from paryield.report.rendering import render
from paryield.report.svg import inline_svg
from paryield.report.views import CoachView, GolferView

ROWS_PER_FIGURE = 25
"""Golfers in one overview figure: as many as fit on a printed A4 page."""


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
    fan, said = sentences.forecast_title(view), " ".join(sentences.forecast_sentences(view))
    answers = [
        ("Where am I now?", sentences.now_sentences(view)),
        (f"Where shall I be in {words.weeks_text(view.weeks)}, practising as now?", _ahead(view)),
        ("What would the next hour do most for?", verdicts.next_hour_sentences(view.returns)),
        ("Can I trust it?", _trust(view)),
    ]
    rows = records(practice_rows(view.returns))
    drawn = {
        "fan": _both(
            "fan",
            said,
            lambda width: figures.forecast_fan(view.rounds, view.forecast, title=fan, width=width),
        ),
        "returns": _both(
            "returns",
            " ".join(verdicts.verdict_sentence(row) for row in rows) or "No practice category has a return.",
            lambda width: figures.returns_dots(view.returns, title=_returns_title(rows), width=width),
        ),
        "hours": _both(
            "hours",
            _hours_alt(rows),
            lambda width: figures.practice_hours(view.returns, title=_hours_title(rows), width=width),
        ),
    }
    return render(
        "golfer.html",
        view,
        title=view.name,
        answers=answers,
        figures=drawn,
        rows=rows,
        noise=noise_row(view.returns),
        steps=_steps(view),
        findings=[verdicts.verdict_sentence(row) for row in rows],
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
    waiting = [one for one, found in ordered if found]
    golfers = [
        {
            "view": one,
            "reasons": [reason.text for reason in found],
            "ahead": sentences.forecast_short(one),
            "at_risk": any(reason.rank == 0 for reason in found),
            "next_hour": verdicts.next_hour_short(one.returns),
        }
        for one, found in ordered
    ]
    return render(
        "coach.html",
        view,
        title=words.one_line(view.club),
        waiting=waiting,
        trust=sentences.trust_sentences(view.health, view.run),
        overviews=_overviews(view),
        golfers=golfers,
    )


def _overviews(view: CoachView) -> list[Markup]:
    """Draw the golfers with a forecast, lowest index first, so many to a figure that it fits a sheet."""
    ahead = [(one.ahead("handicap_index"), one) for one in view.golfers]
    given = [(row["q50"], one.golfer_id, one) for row, one in ahead if row and row["reportable"]]
    ranked = [one for _, _, one in sorted(given, key=lambda entry: entry[:2])]
    found = []
    for start in range(0, len(ranked), ROWS_PER_FIGURE):
        part = ranked[start : start + ROWS_PER_FIGURE]
        found.append(_overview(view, part, f"overview-{start // ROWS_PER_FIGURE + 1}"))
    return found


def _overview(view: CoachView, part: list[GolferView], name: str) -> Markup:
    forecast = pd.concat([one.forecast for one in part])
    names = {one.golfer_id: one.name for one in part}
    now = {one.golfer_id: one.index_now for one in part}
    title = f"Handicap Index today and in {words.weeks_text(view.weeks)}"

    def draw(width: Width) -> Figure:
        return figures.club_overview(
            forecast, index_now=now, names=names, weeks=view.weeks, title=title, width=width
        )

    return _both(name, f"{title}, one row a golfer; the list on this page says the same.", draw)


def _ahead(view: GolferView) -> list[str]:
    goal = [sentences.goal_sentence(view.goal)] if view.goal else []
    return sentences.forecast_sentences(view) + goal


def _trust(view: GolferView) -> list[str]:
    answered = bool(view.forecast["reportable"].any()) or len(practice_rows(view.returns)) > 0
    return sentences.trust_sentences(view.health, view.run, view.returns, answered=answered)


def _steps(view: GolferView) -> list[dict[str, Any]]:
    """Forecast rows of the printed table: index and level side by side, today left out."""
    given = view.forecast[view.forecast["reportable"] & (view.forecast["weeks"] > 0)]
    weeks = sorted({int(week) for week in given["weeks"]})
    shown = [week for week in weeks if week % 4 == 0 or week == view.weeks] or weeks
    found = []
    for week in shown:
        index, level = view.ahead("handicap_index", week), view.ahead("mean_differential", week)
        on = next(row["on"] for row in (index, level, view.ahead("score_differential", week)) if row)
        found.append({"weeks": week, "on": on, "index": index, "level": level})
    return found


def _returns_title(rows: list[dict[str, Any]]) -> str:
    leading = [words.category_text(row["category"]) for row in rows if row["verdict"] == "stands out"]
    if not leading:
        return "No practice area stands out yet"
    if len(leading) == 1:
        return f"{words.sentence(leading[0])} stands out"
    return f"{words.sentence(', '.join(leading[:-1]))} and {leading[-1]} stand out"


def _hours_title(rows: list[dict[str, Any]]) -> str:
    known = [row for row in rows if not words.missing(row["hours_now"]) and row["hours_now"] > 0]
    if not known:
        return "Hours a week now"
    most = max(known, key=lambda row: float(row["hours_now"]))
    return f"Most hours now go to {words.category_text(most['category'])}"


def _hours_alt(rows: list[dict[str, Any]]) -> str:
    parts = [f"{words.category_text(row['category'])} {words.number(row['hours_now'])}" for row in rows]
    return f"Hours a week by category: {', '.join(parts)}." if parts else "No practice hours are known."


def _both(name: str, alt: str, draw: Any) -> Markup:
    """Return the figure twice: one for a page, one for a telephone; the style shows one of them."""
    widths: tuple[Width, ...] = ("wide", "narrow")
    parts = [
        inline_svg(draw(width), name=f"{name}-{width}", alt=alt, css_class=f"figure {width}")
        for width in widths
    ]
    return Markup("").join(parts)
