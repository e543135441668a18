"""The advised week beside the present one: hours by category."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from paryield.report.figures import style
from paryield.report.words import category_text, one_line, time_text

ROW_INCHES = 0.34


def week_dots(
    record: dict[str, Any], *, title: str = "The advised week", width: style.Width = "wide"
) -> Figure:
    """Draw hours now as a ring and hours advised as a dot, most advised hours on top.

    Behind them stands the range of hours that golfers like this one keep up; hours beyond it are hatched,
    because the records say least there.

    Parameters
    ----------
    record : dict
        One record of the ``plan`` command.
    title : str
        The finding.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    rows = sorted(record["weeks_plan"], key=lambda row: (-row["hours_advised"], -row["hours_now"]))
    if not rows:
        return style.empty(title, "There is no practice to plan.", width=width)
    left, right = (1.75, 1.2) if width == "wide" else (1.12, 0.9)
    figure, axes = style.sheet(
        title, ROW_INCHES * len(rows), width=width, left=left, right=right, bottom=0.52
    )
    colour = style.HUE if record["verdict"] == "change" else style.GREY
    with style.look():
        for place, row in enumerate(rows):
            _row(axes, place, row, colour)
            _beside(axes, place, row, colour)
        names = [one_line(category_text(row["category"]), style.SHEETS[width].name_chars) for row in rows]
        axes.set_yticks(range(len(rows)), names, fontsize=9)
        for label in axes.get_yticklabels():
            label.set_color(style.INK)
        axes.set_ylim(len(rows) - 0.5, -0.5)
        axes.tick_params(axis="y", length=0)
        axes.spines["left"].set_visible(False)
        most = max(max(row["hours_now"], row["hours_advised"], row["usual_high"]) for row in rows)
        axes.set_xlim(-0.02 * max(most, 1.0), max(most, 1.0) * 1.06)
        axes.set_xlabel("hours a week (ring: now, dot: advised)", fontsize=8.5)
    return figure


def _row(axes: Axes, place: int, row: dict[str, Any], colour: str) -> None:
    low, high = row["usual_low"], row["usual_high"]
    axes.add_patch(Rectangle((low, place - 0.3), high - low, 0.6, color=style.PALE, linewidth=0, zorder=0))
    for start, end in ((high, row["hours_advised"]), (row["hours_advised"], low)):
        if end - start > 0.02:
            beyond = Rectangle((start, place - 0.3), end - start, 0.6, fill=False, hatch="////", linewidth=0)
            beyond.set_edgecolor(style.RULE)
            axes.add_patch(beyond)
    axes.plot([row["hours_now"], row["hours_advised"]], [place, place], color=colour, linewidth=1.4, zorder=2)
    axes.plot(
        [row["hours_now"]], [place], "o", markersize=6.5, markerfacecolor="white", markeredgecolor=style.GREY
    )
    axes.plot([row["hours_advised"]], [place], "o", markersize=6.5, color=colour, markeredgecolor="white")


def _beside(axes: Axes, place: int, row: dict[str, Any], colour: str) -> None:
    axes.annotate(
        time_text(row["hours_advised"]),
        (1.0, place),
        xycoords=("axes fraction", "data"),
        xytext=(6, 0),
        textcoords="offset points",
        va="center",
        fontsize=8.5,
        color=colour,
        annotation_clip=False,
    )
