"""Figures of a club: all golfers now and at the horizon, and what a programme did."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from paryield.report.figures import style
from paryield.report.frames import forecast_frame, records
from paryield.report.words import index_text, index_tick, missing, number, one_line, tick, weeks_text

GOLFER_INCHES = 0.27

PROGRAMME_INCHES = 0.36


def club_overview(
    forecast: pd.DataFrame,
    *,
    index_now: Mapping[str, float | None],
    names: Mapping[str, str],
    weeks: int = 12,
    title: str = "Handicap Index now, and where it is likely to be",
    width: style.Width = "wide",
) -> Figure:
    """Draw one row a golfer: today's index as an open ring, the index to come as dot and interval.

    Parameters
    ----------
    forecast : DataFrame
        Records of the ``forecast`` command for all golfers.
    index_now : mapping
        Today's Handicap Index by golfer id; None where there is none.
    names : mapping
        Name to show by golfer id.
    weeks : int
        Horizon to show.
    title : str
        The finding.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    frame = forecast_frame(forecast)
    wanted = (frame["quantity"] == "handicap_index") & (frame["weeks"] == weeks) & frame["reportable"]
    rows = records(frame[wanted].sort_values(["q50", "golfer_id"], kind="stable"))
    if not rows:
        return style.empty(title, "No golfer has a forecast to show.", width=width)
    left, right = (2.1, 1.3) if width == "wide" else (1.25, 0.2)
    figure, axes = style.sheet(
        title, GOLFER_INCHES * (len(rows) + 1), width=width, left=left, right=right, bottom=0.52
    )
    with style.look():
        style.intervals(axes, rows, range(len(rows)))
        today = [index_now.get(str(row["golfer_id"])) for row in rows]
        known = [(now, place) for place, now in enumerate(today) if not missing(now)]
        axes.plot(
            [float(now or 0.0) for now, _ in known],
            [place for _, place in known],
            "o",
            markersize=7,
            markerfacecolor="none",
            markeredgecolor=style.INK,
            zorder=5,
        )
        for place, (row, now) in enumerate(zip(rows, today, strict=True)):
            _golfer_row(axes, row, now, place, width)
        _golfer_axes(
            axes,
            [one_line(names[str(row["golfer_id"])], style.SHEETS[width].name_chars) for row in rows],
            width,
        )
        ring = "ring: now" if width == "narrow" else "ring: today"
        axes.set_xlabel(
            f"Handicap Index (lower is better); {ring}, dot: in {weeks_text(weeks)}", fontsize=8.5
        )
        if width == "narrow":
            axes.set_xlabel(f"Handicap Index; {ring}, dot: in {weeks_text(weeks)}", fontsize=8.5, x=0.28)
    return figure


def _golfer_row(axes: Axes, row: dict[str, Any], now: float | None, place: int, width: style.Width) -> None:
    style.dot_that_tells(axes, row, float(place), colour=style.HUE, size=5.0, text=index_text)
    if width == "narrow":
        return
    style.beside(
        axes,
        f"{index_text(now)} → {index_text(row['q50'])}"
        if not missing(now)
        else f"→ {index_text(row['q50'])}",
        place,
        colour=style.GREY,
    )


def _golfer_axes(axes: Axes, names: list[str], width: style.Width) -> None:
    style.name_rows(axes, names, above=0.7, below=0.7)
    axes.grid(axis="x", color="#ececec", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.xaxis.set_major_locator(MaxNLocator(7 if width == "wide" else 4, integer=True))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: index_tick(value)))


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
        title, PROGRAMME_INCHES * len(rows), width=width, left=left, right=right, bottom=0.55
    )
    with style.look():
        for place, row in enumerate(rows):
            colour = style.HUE if row["leading"] else style.GREY
            if row["low"] is not None:
                axes.plot([row["low"], row["high"]], [place, place], color=colour, linewidth=3.2)
            axes.plot([row["q50"]], [place], "o", color=colour, markersize=6.5, markeredgecolor="white")
            style.beside(axes, number(row["q50"]), place, colour=colour)
        axes.axvline(0, color=style.GREY, linewidth=0.8, zorder=1)
        names = [
            one_line(row["name"], 34) if width == "wide" else style.label(row["name"], width) for row in rows
        ]
        style.name_rows(axes, names, size=9 if width == "wide" else 8)
        axes.set_xlabel("change in strokes a round (left: better)", fontsize=8.5)
        axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: tick(value)))
    return figure
