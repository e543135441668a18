"""What a programme did: its effect beside the plain figures that flatter or confirm it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from paryield.report.figures import style
from paryield.report.words import number, one_line, tick

ROW_INCHES = 0.36


def programme_dots(
    rows: Sequence[dict[str, Any]], *, title: str = "What the programme did", width: style.Width = "wide"
) -> Figure:
    """Draw one row a figure: dot and range where there is a range, blue for the answer, grey for the rest.

    Parameters
    ----------
    rows : sequence of dict
        ``name``, ``q50``, ``low``, ``high`` (None without a range) in strokes, and ``leading``.
    title : str
        The finding.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    if not rows:
        return style.empty(title, "There are too few members to show a figure.", width=width)
    left, right = (2.5, 0.9) if width == "wide" else (1.3, 0.5)
    figure, axes = style.sheet(
        title, ROW_INCHES * len(rows), width=width, left=left, right=right, bottom=0.55
    )
    with style.look():
        for place, row in enumerate(rows):
            colour = style.HUE if row["leading"] else style.GREY
            if row["low"] is not None:
                axes.plot([row["low"], row["high"]], [place, place], color=colour, linewidth=3.2)
            axes.plot([row["q50"]], [place], "o", color=colour, markersize=6.5, markeredgecolor="white")
            axes.annotate(
                number(row["q50"]),
                (1.0, place),
                xycoords=("axes fraction", "data"),
                xytext=(6, 0),
                textcoords="offset points",
                va="center",
                fontsize=8.5,
                color=colour,
                annotation_clip=False,
            )
        axes.axvline(0, color=style.GREY, linewidth=0.8, zorder=1)
        names = [
            one_line(row["name"], 34) if width == "wide" else style.label(row["name"], width) for row in rows
        ]
        axes.set_yticks(range(len(rows)), names, fontsize=9 if width == "wide" else 8)
        axes.set_ylim(len(rows) - 0.5, -0.5)
        axes.tick_params(axis="y", length=0)
        axes.spines["left"].set_visible(False)
        axes.set_xlabel("change in strokes a round (left: better)", fontsize=8.5)
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: tick(value)))
    return figure
