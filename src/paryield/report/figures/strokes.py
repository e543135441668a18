"""Figures of strokes: lost by scoring area, and what a change came from."""

from __future__ import annotations

from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from paryield.report.figures import style
from paryield.report.frames import Rows, areas_frame, records
from paryield.report.split_words import is_clear, of_quantity, part_text
from paryield.report.words import area_text, index_text, missing, number, tick

AREA_INCHES, LOWER = 0.46, 0.27

PART_INCHES = 0.32


def area_dots(areas: Rows, *, title: str = "Strokes lost by area", width: style.Width = "wide") -> Figure:
    """Draw each area as dot and interval, most strokes beyond golfers of the same index on top.

    Parameters
    ----------
    areas : DataFrame or records
        Records of the ``areas`` command for one golfer; strokes a round.
    title : str
        The finding.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    rows = records(areas_frame(areas))
    if not rows:
        return style.empty(title, "No area has a number to show.", width=width)
    left, right = (1.75, 1.42) if width == "wide" else (1.12, 0.2)
    figure, axes = style.sheet(
        title, AREA_INCHES * len(rows), width=width, left=left, right=right, bottom=0.66
    )
    goal = rows[0]["goal"]
    with style.look():
        for place, row in enumerate(rows):
            _area_row(axes, row, place, width)
        axes.axvline(0, color=style.GREY, linewidth=0.8, zorder=1)
        _area_axes(axes, [area_text(row["area"]) for row in rows], width)
        ring = "" if missing(goal) else f"; ring: than those of index {index_text(float(goal))}"
        _legend(axes, ring, width)
    return figure


def _legend(axes: Axes, ring: str, width: style.Width) -> None:
    if width == "wide":
        axes.set_xlabel(f"strokes a round more than golfers of the same index{ring}", fontsize=8.5, x=0.5)
    else:
        axes.set_xlabel(f"strokes a round more than golfers\nof the same index{ring}", fontsize=8.5, x=0.28)


def _area_row(axes: Axes, row: dict[str, Any], place: int, width: style.Width) -> None:
    colour = style.HUE if row["verdict"] == "loses more" else style.GREY
    against = {band: row[f"against_same_index_{band}"] for band in ("q025", "q10", "q50", "q90", "q975")}
    style.dot_and_interval(axes, against, float(place), colour=colour)
    if not missing(row["against_goal_q50"]):
        low, middle, high = (row[f"against_goal_{band}"] for band in ("q10", "q50", "q90"))
        y = place + LOWER
        axes.plot([low, high], [y, y], color="#8a8a8a", linewidth=1.0, zorder=1)
        axes.plot([middle], [y], "o", markersize=5, markerfacecolor="white", markeredgecolor=style.INK)
    if width == "wide":
        style.beside(axes, f"{_signed(against['q50'])}  {row['evidence']}", place, colour=colour)


def _signed(value: float) -> str:
    text = number(value)
    return f"+{text}" if round(value, 1) > 0 else text


def _area_axes(axes: Axes, names: list[str], width: style.Width) -> None:
    style.name_rows(axes, names, below=0.6)
    axes.xaxis.set_major_locator(MaxNLocator(6 if width == "wide" else 4))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: tick(value, signed=True)))


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
        title, PART_INCHES * len(rows), width=width, left=left, right=right, bottom=0.52
    )
    with style.look():
        for place, row in enumerate(rows):
            colour = style.HUE if is_clear(row) else style.GREY
            style.dot_and_interval(axes, row["change"], float(place), colour=colour)
            if width == "wide":
                text = f"{number(row['change']['q50'], 2)}  {row['evidence']}"
                style.beside(axes, text, place, colour=colour)
        axes.axvline(0, color=style.GREY, linewidth=0.8, zorder=1)
        axes.axhline(0.5, color=style.RULE, linewidth=0.7)
        names = [style.label(part_text(row), width) for row in rows]
        style.name_rows(axes, names)
        axes.xaxis.set_major_locator(MaxNLocator(6 if width == "wide" else 4))
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: tick(value)))
        axes.set_xlabel("change of an average round, strokes (left: lower scores)", fontsize=8.5)
        if width == "narrow":
            axes.set_xlabel("strokes (left: lower scores)", fontsize=8.5)
    return figure
