"""A golfer's tests over time: one panel a test, in its own unit, with the range of each result."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.dates import AutoDateLocator, ConciseDateFormatter, date2num
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from paryield.plan.measured import Measured
from paryield.report.figures import style
from paryield.report.words import number, one_line

PANEL_INCHES, GAP_INCHES = 0.95, 0.72
MOST_PANELS = 8


def panels_of_tests(
    measured: Sequence[Measured], *, title: str = "Tests over time", width: style.Width = "wide"
) -> Figure:
    """Draw each test with two results or more.

    Parameters
    ----------
    measured : sequence of Measured
        Of one golfer; the first :data:`MOST_PANELS` with two results are drawn.
    title : str
        The finding.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    shown = [one for one in measured if len(one.results) > 1][:MOST_PANELS]
    if not shown:
        return style.empty(title, "No test was taken twice yet.", width=width)
    across = 2 if width == "wide" and len(shown) > 1 else 1
    down = -(-len(shown) // across)
    size = style.SHEETS[width]
    height = 0.3 + down * (PANEL_INCHES + GAP_INCHES)
    with style.look():
        figure = Figure(figsize=(size.width, height))
        figure.text(
            0.04 / size.width,
            1 - 0.14 / height,
            one_line(title, size.title_chars),
            weight="bold",
            size=9.5,
            va="center",
        )
        panels = figure.subplots(down, across, squeeze=False)
        figure.subplots_adjust(
            left=0.55 / size.width,
            right=1 - 0.5 / size.width,
            top=1 - 0.68 / height,
            bottom=0.3 / height,
            hspace=GAP_INCHES / PANEL_INCHES,
            wspace=0.45,
        )
        for axes, one in zip(panels.flat, shown, strict=False):
            _panel(axes, one)
        for axes in panels.flat[len(shown) :]:
            axes.set_visible(False)
    return figure


def _panel(axes: Axes, one: Measured) -> None:
    days = [float(date2num(result.on)) for result in one.results]
    for day, result in zip(days, one.results, strict=True):
        axes.plot(
            [day, day], [result.low, result.high], color=style.HUE_80, linewidth=2.2, solid_capstyle="butt"
        )
    values = [result.value for result in one.results]
    axes.plot(
        days, values, "o", color=style.HUE, markersize=4.5, markeredgecolor="white", markeredgewidth=0.6
    )
    digits = 0 if one.unit in ("% made", "yd") else 1
    axes.annotate(
        number(values[-1], digits),
        (days[-1], values[-1]),
        xytext=(6, 0),
        textcoords="offset points",
        va="center",
        fontsize=8.5,
        color=style.HUE,
        annotation_clip=False,
    )
    better = "lower" if one.better_low else "higher"
    axes.set_title(f"{one_line(one.test, 38)}\n{one.unit}, {better} is better", fontsize=8, loc="left")
    axes.yaxis.set_major_locator(MaxNLocator(4))
    locator = AutoDateLocator(minticks=2, maxticks=4)
    axes.xaxis.set_major_locator(locator)
    axes.xaxis.set_major_formatter(ConciseDateFormatter(locator, show_offset=False))
