"""The look shared by all figures: one blue, neutral greys, a title that says the finding."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Any, Literal

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from paryield.report.words import number, one_line

HUE, HUE_80, HUE_95 = "#1b4b82", "#8fb0d3", "#cfdeed"
INK, GREY, PALE, RULE = "#262626", "#5c5c5c", "#dedede", "#c4c4c4"
HUE_50 = "#5585b8"

RC: Any = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 9.0,
    "text.color": INK,
    "text.usetex": False,
    "text.parse_math": False,
    "axes.unicode_minus": True,
    "axes.edgecolor": GREY,
    "axes.labelcolor": GREY,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.7,
    "xtick.color": GREY,
    "ytick.color": GREY,
    "xtick.labelsize": 8.5,
    "ytick.labelsize": 8.5,
    "figure.facecolor": "white",
    "axes.facecolor": "white",
    "svg.fonttype": "none",
}
"""Matplotlib settings of every figure."""


def look(**more: Any) -> AbstractContextManager[None]:
    """Return a context in which matplotlib draws in the shared look, whatever the reader's settings are."""
    settings: Any = {**RC, **more}
    return matplotlib.rc_context(settings)


Width = Literal["wide", "narrow"]


@dataclass(frozen=True)
class Sheet:
    """Size of a figure in inches, and how many characters fit a line of its title."""

    width: float
    title_chars: int
    name_chars: int


SHEETS: dict[Width, Sheet] = {"wide": Sheet(7.2, 76, 26), "narrow": Sheet(3.6, 38, 15)}
LINE_INCHES = 0.18


def sheet(
    title: str, height: float, *, width: Width, left: float, right: float, bottom: float = 0.5
) -> tuple[Figure, Axes]:
    """Return an empty figure with its title set and one pair of axes of the given height in inches."""
    size = SHEETS[width]
    lines = textwrap.wrap(one_line(title), size.title_chars)
    top = 0.14 + LINE_INCHES * len(lines)
    whole = top + height + bottom
    with look():
        figure = Figure(figsize=(size.width, whole))
        box = (left / size.width, bottom / whole, (size.width - left - right) / size.width, height / whole)
        axes = figure.add_axes(box)
        for row, line in enumerate(lines):
            y = 1 - (0.14 + LINE_INCHES * row) / whole
            figure.text(0.04 / size.width, y, line, weight="bold", size=9.5, va="center")
    return figure, axes


def label(text: str, width: Width) -> str:
    """Return the name of a row: on two lines where one does not hold it, cut only where two do not."""
    most = SHEETS[width].name_chars
    lines = textwrap.wrap(one_line(text), most)
    return (
        "\n".join([lines[0], one_line(" ".join(lines[1:]), most)]) if len(lines) > 1 else one_line(text, most)
    )


def spread_out(positions: Sequence[float], gap: float) -> list[float]:
    """Return the positions moved apart so that labels at least ``gap`` apart do not overlap.

    The order is kept and the positions move as little as a single pass upwards and one downwards allow.
    """
    order = sorted(range(len(positions)), key=lambda k: positions[k])
    placed = [positions[k] for k in order]
    for k in range(1, len(placed)):
        placed[k] = max(placed[k], placed[k - 1] + gap)
    excess = (placed[-1] - positions[order[-1]]) / 2 if placed else 0.0
    placed = [value - excess for value in placed]
    for k in range(len(placed) - 2, -1, -1):
        placed[k] = min(placed[k], placed[k + 1] - gap)
    back = [0.0] * len(placed)
    for rank, k in enumerate(order):
        back[k] = placed[rank]
    return back


def hundredths(value: float) -> str:
    """Return a number of strokes to hundredths."""
    return number(value, 2)


SPAN, TOLD = "span", "told:"
"""Marks of what a page can switch off (the ranges), and of what it tells when pointed at."""


def dot_and_interval(
    axes: Axes,
    row: dict[str, Any],
    y: float,
    *,
    colour: str = HUE,
    dot: float = 6.5,
    text: Callable[[float], str] = hundredths,
) -> None:
    """Draw the middle value as a dot, 8 in 10 as a thick line and 95 in 100 as a thin one.

    On a page the dot tells the values, written by ``text``.
    """
    intervals(axes, [row], [y], colour=colour)
    dot_that_tells(axes, row, y, colour=colour, size=dot, text=text)


def intervals(
    axes: Axes, rows: Sequence[Mapping[str, Any]], at: Sequence[float], *, colour: str = HUE
) -> None:
    """Draw 8 in 10 of each row as a thick line and 95 in 100 as a thin one, all of a kind as one path."""
    heights = [height for y in at for height in (y, y, math.nan)]
    for low, high, thick in (("q025", "q975", 1.0), ("q10", "q90", 3.2)):
        ends = [end for row in rows for end in (row[low], row[high], math.nan)]
        axes.plot(ends, heights, color=colour, linewidth=thick, solid_capstyle="butt", gid=SPAN)


def dot_that_tells(
    axes: Axes, row: Mapping[str, Any], y: float, *, colour: str, size: float, text: Callable[[float], str]
) -> None:
    """Draw the middle value as a dot that tells it when pointed at."""
    axes.plot(
        [row["q50"]],
        [y],
        "o",
        color=colour,
        markersize=size,
        markeredgecolor="white",
        markeredgewidth=0.8,
        gid=told(row, text),
    )


def beside(axes: Axes, text: str, y: float, *, colour: str = GREY) -> None:
    """Write a text to the right of a row."""
    axes.annotate(
        text,
        (1.0, y),
        xycoords=("axes fraction", "data"),
        xytext=(6, 0),
        textcoords="offset points",
        va="center",
        fontsize=8.5,
        color=colour,
        annotation_clip=False,
    )


def name_rows(
    axes: Axes, names: Sequence[str], *, size: float = 9.0, above: float = 0.5, below: float = 0.5
) -> None:
    """Name the rows of a figure, the first on top, with some of a row free above and below them."""
    axes.set_yticks(range(len(names)), names, fontsize=size)
    for label in axes.get_yticklabels():
        label.set_color(INK)
        label.set_parse_math(False)
    axes.set_ylim(len(names) - 1 + below, -above)
    axes.tick_params(axis="y", length=0)
    axes.spines["left"].set_visible(False)


def told(row: Mapping[str, Any], text: Callable[[float], str], what: str = "") -> str:
    """Return the mark of a dot that tells its middle value and the range that holds 8 in 10."""
    middle, low, high = (text(float(row[name])) for name in ("q50", "q10", "q90"))
    return f"{TOLD}{what}{middle} (8 in 10: {low} to {high})"


def empty(title: str, reason: str, *, width: Width) -> Figure:
    """Return a figure that says why there is nothing to draw."""
    figure, axes = sheet(title, 0.5, width=width, left=0.1, right=0.1, bottom=0.1)
    axes.set_axis_off()
    with look():
        axes.text(0, 0.5, textwrap.fill(one_line(reason), SHEETS[width].title_chars), color=GREY, va="center")
    return figure
