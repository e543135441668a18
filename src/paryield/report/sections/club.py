"""The golfers of a club: the list, most pressing first, and the figure of all."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd
from markupsafe import Markup
from matplotlib.figure import Figure

from paryield.report import figures, sentences, words
from paryield.report.attention import Reason, said_once
from paryield.report.figures.style import Width
from paryield.report.plan_words import week_short
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.views import CoachView, Listed

ROWS_PER_FIGURE = 25
"""Golfers in one overview figure: as many as fit on a printed A4 page."""


@dataclass(frozen=True)
class Row:
    """One golfer in the table of the club: what to do first, and numbers to sort by ("" unknown)."""

    view: Listed
    waiting: bool
    first: str
    others: tuple[str, ...]
    index: float | str
    then: float | str
    ahead: str
    chance: float | str
    week: str


def golfers_section(ordered: list[tuple[Listed, list[Reason]]], weeks: int) -> Markup:
    """Return the table of golfers in the order given; what holds for every one of them is said once."""
    shared = sorted(said_once(found for _, found in ordered))
    rows = [_row(view, [one for one in found if one.text not in shared]) for view, found in ordered]
    return part("golfers.html", golfers=rows, weeks=weeks, shared=shared)


def _row(view: Listed, reasons: list[Reason]) -> Row:
    ahead, goal = view.ahead("handicap_index"), view.goal
    given = bool(ahead and ahead["reportable"])
    return Row(
        view=view,
        waiting=any(not reason.waits for reason in reasons),
        first=reasons[0].text if reasons else "",
        others=tuple(one.text for one in reasons[1:]),
        index="" if view.index_now is None else view.index_now,
        then=float(ahead["q50"]) if ahead and given else "",
        ahead=sentences.forecast_short(view),
        chance="" if goal is None or goal.chance is None or words.missing(goal.chance) else goal.chance,
        week=_week(view),
    )


def _week(view: Listed) -> str:
    if view.follows:
        return f"follows the plan {words.one_line(view.follows, 40)!r}"
    return "" if view.plan is None else week_short(view.plan)


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


def _overview(view: CoachView, group: list[Listed], name: str) -> Markup:
    rows = (one.ahead("handicap_index") for one in group)
    forecast = pd.DataFrame([row for row in rows if row is not None])
    names = {one.golfer_id: one.name for one in group}
    now = {one.golfer_id: one.index_now for one in group}
    title = f"Handicap Index today and in {words.weeks_text(view.weeks)}"

    def draw(width: Width) -> Figure:
        return figures.club_overview(
            forecast, index_now=now, names=names, weeks=view.weeks, title=title, width=width
        )

    return both_widths(name, f"{title}, one row a golfer; the list on this page says the same.", draw)
