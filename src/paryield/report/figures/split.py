"""What a change came from: one dot and interval a part, largest on top."""

from __future__ import annotations

from typing import Any

from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from paryield.report.figures import style
from paryield.report.split_words import is_clear, of_quantity, part_text
from paryield.report.words import number, tick

ROW_INCHES = 0.32


def split_dots(
    records: list[dict[str, Any]],
    *,
    title: str = "What the change came from",
    quantity: str = "mean_differential",
    width: style.Width = "wide",
) -> Figure:
    """Draw each part of a change as dot and interval, the whole on top and the parts by size below it.

    Parameters
    ----------
    records : list of dict
        Records of the ``split`` command for one golfer; strokes, negative where scores fell.
    title : str
        The finding.
    quantity : {"mean_differential", "observed_mean"}
        Which change.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    parts = of_quantity(records, quantity)
    if not parts:
        return style.empty(title, "There is no change to show.", width=width)
    whole = [one for one in parts if one["part"] == "whole"]
    rest = [one for one in parts if one["part"] != "whole"]
    rest = [one for one in rest if one["part"] != "practice" or one["category"] is not None]
    rest.sort(key=lambda one: -abs(one["change"]["q50"]))
    rows = [*whole, *rest]
    left, right = (1.95, 1.5) if width == "wide" else (1.3, 0.2)
    figure, axes = style.sheet(
        title, ROW_INCHES * len(rows), width=width, left=left, right=right, bottom=0.52
    )
    with style.look():
        for place, row in enumerate(rows):
            colour = style.HUE if is_clear(row) else style.GREY
            style.dot_and_interval(axes, row["change"], float(place), colour=colour)
            if width == "wide":
                text = f"{number(row['change']['q50'], 2)}  {row['evidence']}"
                axes.annotate(
                    text,
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
        axes.axhline(0.5, color=style.RULE, linewidth=0.7)
        names = [style.label(part_text(row), width) for row in rows]
        axes.set_yticks(range(len(rows)), names, fontsize=9)
        for label in axes.get_yticklabels():
            label.set_color(style.INK)
            label.set_parse_math(False)
        axes.set_ylim(len(rows) - 0.5, -0.5)
        axes.tick_params(axis="y", length=0)
        axes.spines["left"].set_visible(False)
        axes.xaxis.set_major_locator(MaxNLocator(6 if width == "wide" else 4))
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: tick(value)))
        axes.set_xlabel("change of an average round, strokes (left: lower scores)", fontsize=8.5)
        if width == "narrow":
            axes.set_xlabel("strokes (left: lower scores)", fontsize=8.5)
    return figure
