"""Figures of practice: the return by category, and the advised week beside the present one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from matplotlib.ticker import FuncFormatter, MaxNLocator

from paryield.report.figures import style
from paryield.report.frames import noise_row, practice_rows, records, returns_frame
from paryield.report.words import category_text, number, one_line, tick, time_text, weeks_text

ROW_INCHES = 0.34


def returns_dots(
    returns: pd.DataFrame, *, title: str = "What one more weekly hour may save", width: style.Width = "wide"
) -> Figure:
    """Draw the return of each category as dot and interval, largest on top, with the noise floor as a band.

    Parameters
    ----------
    returns : DataFrame
        Records of the ``returns`` command for one golfer; strokes saved a round per weekly hour.
    title : str
        The finding.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    frame = returns_frame(returns)
    rows, noise = records(practice_rows(frame)), noise_row(frame)
    if not rows:
        return style.empty(title, "No practice category has a return to show.", width=width)
    left, right = (1.75, 1.42) if width == "wide" else (1.12, 0.2)
    height = ROW_INCHES * (len(rows) + (noise is not None))
    figure, axes = style.sheet(title, height, width=width, left=left, right=right, bottom=0.52)
    with style.look():
        _noise(axes, noise, len(rows))
        for place, row in enumerate(rows):
            colour = style.HUE if row["verdict"] == "stands out" else style.GREY
            style.dot_and_interval(axes, row, float(place), colour=colour)
            if width == "wide":
                _return_beside(axes, place, row)
        axes.axvline(0, color=style.GREY, linewidth=0.8, zorder=1)
        _return_rows(axes, [category_text(row["category"]) for row in rows], noise is not None, width)
        weeks = weeks_text(int(rows[0]["weeks"]))
        unit = "strokes saved a round" if width == "wide" else "strokes saved"
        axes.set_xlabel(f"{unit} per extra weekly hour, after {weeks}", fontsize=8.5)
        axes.xaxis.label.set_x(0.5 if width == "wide" else 0.28)
    return figure


def _noise(axes: Axes, noise: dict[str, Any] | None, below: int) -> None:
    if noise is None:
        return
    axes.axvspan(noise["q10"], noise["q90"], color=style.PALE, linewidth=0, zorder=0)
    axes.plot(
        [noise["q10"], noise["q90"]], [below, below], color="#8a8a8a", linewidth=3.2, solid_capstyle="butt"
    )
    axes.plot([noise["q50"]], [below], "o", color="#8a8a8a", markersize=6.5, markeredgecolor="white")


def _return_beside(axes: Axes, place: int, row: dict[str, Any]) -> None:
    style.beside(
        axes,
        f"{number(row['q50'], 2)}  {row['evidence']}",
        place,
        colour=style.HUE if row["verdict"] == "stands out" else style.GREY,
    )


def _return_rows(axes: Axes, names: list[str], noise: bool, width: style.Width) -> None:
    short = [one_line(name, style.SHEETS[width].name_chars) for name in names]
    shown = [*short, "noise floor"] if noise else short
    style.name_rows(axes, shown)
    axes.xaxis.set_major_locator(MaxNLocator(6 if width == "wide" else 4))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: tick(value)))


def week_dots(
    record: dict[str, Any],
    *,
    running: Mapping[str, float] | None = None,
    title: str = "The advised week",
    width: style.Width = "wide",
) -> Figure:
    """Draw hours now as a ring and hours advised as a dot, most advised hours on top.

    Where a plan runs, the dot is the plan and the advised week stands second, as a diamond.

    Behind them stands the range of hours that golfers like this one keep up; hours beyond it are hatched,
    because the records say least there.

    Parameters
    ----------
    record : dict
        One record of the ``plan`` command.
    running : mapping of str to float, optional
        Weekly hours by category of a saved plan that runs.
    title : str
        The finding.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    rows = sorted(_weeks(record, running), key=lambda row: (-row["dot"], -row["hours_now"]))
    if not rows:
        return style.empty(title, "There is no practice to plan.", width=width)
    left, right = (1.75, 1.2) if width == "wide" else (1.12, 0.9)
    figure, axes = style.sheet(
        title, ROW_INCHES * len(rows), width=width, left=left, right=right, bottom=0.52
    )
    colour = style.HUE if running is not None or record["verdict"] == "change" else style.GREY
    with style.look():
        for place, row in enumerate(rows):
            _week_row(axes, place, row, colour)
            _hours_beside(axes, place, row, colour)
        names = [one_line(category_text(row["category"]), style.SHEETS[width].name_chars) for row in rows]
        style.name_rows(axes, names)
        most = max(max(row["hours_now"], row["hours_advised"], row["dot"], row["usual_high"]) for row in rows)
        axes.set_xlim(-0.02 * max(most, 1.0), max(most, 1.0) * 1.06)
        signs = "ring: present, dot: advised"
        if running is not None:
            signs = "ring: present, dot: plan, diamond: advised"
        beside = "" if running is not None and width == "narrow" else f" ({signs})"  # the caption says it too
        axes.set_xlabel(f"hours a week{beside}", fontsize=8.5)
    return figure


def _weeks(record: dict[str, Any], running: Mapping[str, float] | None) -> list[dict[str, Any]]:
    """Return the rows of an advised week with the hours of their dots, those of the plan where one runs."""
    rows: list[dict[str, Any]] = record["weeks_plan"]
    if running is None:
        return [row | {"dot": row["hours_advised"], "second": None} for row in rows]
    named = {row["category"] for row in rows}
    blank = {"hours_now": 0.0, "hours_advised": 0.0, "usual_low": 0.0, "usual_high": 0.0}
    more = [{"category": name, **blank} for name in running if rows and name not in named]
    return [
        row | {"dot": running.get(row["category"], 0.0), "second": row["hours_advised"]}
        for row in [*rows, *more]
    ]


def _week_row(axes: Axes, place: int, row: dict[str, Any], colour: str) -> None:
    low, high = row["usual_low"], row["usual_high"]
    axes.add_patch(Rectangle((low, place - 0.3), high - low, 0.6, color=style.PALE, linewidth=0, zorder=0))
    for start, end in ((high, row["dot"]), (row["dot"], low)):
        if end - start > 0.02:
            beyond = Rectangle((start, place - 0.3), end - start, 0.6, fill=False, hatch="////", linewidth=0)
            beyond.set_edgecolor(style.RULE)
            axes.add_patch(beyond)
    axes.plot([row["hours_now"], row["dot"]], [place, place], color=colour, linewidth=1.4, zorder=2)
    axes.plot(
        [row["hours_now"]], [place], "o", markersize=6.5, markerfacecolor="white", markeredgecolor=style.GREY
    )
    axes.plot([row["dot"]], [place], "o", markersize=6.5, color=colour, markeredgecolor="white")
    if row["second"] is not None:
        axes.plot(
            [row["second"]], [place], "D", markersize=5, markerfacecolor="white", markeredgecolor=style.INK
        )


def _hours_beside(axes: Axes, place: int, row: dict[str, Any], colour: str) -> None:
    style.beside(axes, time_text(row["dot"]), place, colour=colour)
