"""The golfers of a club: the list, most pressing first, and the figure of all."""

from __future__ import annotations

import pandas as pd
from markupsafe import Markup
from matplotlib.figure import Figure

from paryield.report import figures, sentences, verdicts, words
from paryield.report.attention import Reason
from paryield.report.figures.style import Width
from paryield.report.plan_words import week_sentence
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.views import CoachView, GolferView

ROWS_PER_FIGURE = 25
"""Golfers in one overview figure: as many as fit on a printed A4 page."""


def golfers_section(ordered: list[tuple[GolferView, list[Reason]]], weeks: int) -> Markup:
    """Return the list of golfers in the order given, with the reasons to look at each."""
    golfers = [
        {
            "view": one,
            "reasons": found,
            "waiting": any(not reason.waits for reason in found),
            "ahead": sentences.forecast_short(one),
            "at_risk": any(reason.rank == 0 for reason in found),
            "next_hour": verdicts.next_hour_short(one.returns),
            "week": None if one.plan is None else week_sentence(one.plan),
        }
        for one, found in ordered
    ]
    return part("golfers.html", golfers=golfers, weeks=weeks)


def overview_section(view: CoachView) -> Markup:
    """Draw the golfers with a forecast, lowest index first, so many to a figure that it fits a sheet."""
    ahead = [(one.ahead("handicap_index"), one) for one in view.golfers]
    given = [(row["q50"], one.golfer_id, one) for row, one in ahead if row and row["reportable"]]
    ranked = [one for _, _, one in sorted(given, key=lambda entry: entry[:2])]
    if not ranked:
        return Markup("")
    overviews = []
    for start in range(0, len(ranked), ROWS_PER_FIGURE):
        group = ranked[start : start + ROWS_PER_FIGURE]
        overviews.append(_overview(view, group, f"overview-{start // ROWS_PER_FIGURE + 1}"))
    return part("overview.html", overviews=overviews, weeks=view.weeks)


def _overview(view: CoachView, group: list[GolferView], name: str) -> Markup:
    forecast = pd.concat([one.forecast for one in group])
    names = {one.golfer_id: one.name for one in group}
    now = {one.golfer_id: one.index_now for one in group}
    title = f"Handicap Index today and in {words.weeks_text(view.weeks)}"

    def draw(width: Width) -> Figure:
        return figures.club_overview(
            forecast, index_now=now, names=names, weeks=view.weeks, title=title, width=width
        )

    return both_widths(name, f"{title}, one row a golfer; the list on this page says the same.", draw)
