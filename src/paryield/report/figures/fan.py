"""The forecast fan: the real record, the index and level to come, and the same under another week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
import pandas as pd
from markupsafe import Markup, escape
from matplotlib import dates as mdates
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from paryield.arrays import FLOATS
from paryield.report.figures import style
from paryield.report.frames import forecast_frame, records, rounds_frame
from paryield.report.svg import inline_svg
from paryield.report.words import day, index_text, index_tick, month

RECORD_WEEKS = 52
"""Weeks of the record that are drawn before the forecast."""

TOLD_WEEKS = 4
"""Weeks between the days whose forecast a page tells when pointed at."""

TITLE = "Rounds so far, and the Handicap Index to come"
BANDS = (("q025", "q975", style.HUE_95), ("q10", "q90", style.HUE_80), ("q25", "q75", style.HUE_50))

POINTS_PER_INCH = 72.0
LABEL_POINTS = 10.0
BESIDE_POINTS = 8.0
"""From the edge of the axes to the labels, so that a goal on the last day does not touch them."""


def forecast_fan(
    rounds: pd.DataFrame,
    forecast: pd.DataFrame,
    *,
    goal: tuple[date, float] | None = None,
    title: str = TITLE,
    width: style.Width = "wide",
) -> Figure:
    """Draw differentials as grey dots, the index as a line, and the fan of the index to come.

    Parameters
    ----------
    rounds : DataFrame
        ``played_on``, ``differential``, ``index_after``; strokes. ``counts``: those ringed.
    forecast : DataFrame
        Records of the ``forecast`` command for one golfer; those not reportable are left out.
    goal : (date, float), optional
        Day and index of the goal; one beyond the forecast stands at its edge.
    title : str
        The finding.
    width : {"wide", "narrow"}
        For a page or for a telephone.
    """
    past, coming = rounds_frame(rounds), forecast_frame(forecast)
    coming = coming[coming["reportable"]]
    index = coming[coming["quantity"] == "handicap_index"]
    if index.empty and past.empty:
        return style.empty(title, "No rounds on record and no forecast to draw.", width=width)
    figure, axes = style.sheet(
        title, 3.0, width=width, left=0.5, right=1.35 if width == "wide" else 0.86, bottom=0.44
    )
    with style.look():
        now = coming["on"].min() if len(coming) else past["played_on"].max()
        past = past[past["played_on"] > now - timedelta(weeks=RECORD_WEEKS)]
        _record(axes, past)
        labels = _level(axes, coming[coming["quantity"] == "mean_differential"], width) + _fan(
            axes, index, width
        )
        if goal is not None and len(index):
            _goal(axes, goal, mdates.date2num(index["on"].max()))
        _axes(axes, width)
        if len(index):
            _now(axes, mdates.date2num(now))
        _labels(axes, labels)
    return figure


Label = tuple[float, str, str]


def _record(axes: Axes, past: pd.DataFrame) -> None:
    when = mdates.date2num(past["played_on"].to_numpy())
    played, counts = past["differential"].to_numpy(float), past["counts"].to_numpy(bool)
    axes.plot(when, played, "o", color="#9a9a9a", markersize=3.4, zorder=2)
    if counts.any():
        ring: dict[str, Any] = {
            "markerfacecolor": "none",
            "markeredgecolor": style.INK,
            "markeredgewidth": 1.1,
        }
        axes.plot(when[counts], played[counts], "o", markersize=6.4, zorder=3, **ring)
    known = past["index_after"].notna().to_numpy()
    if known.any():
        values = past["index_after"].to_numpy(float)[known]
        axes.step(when[known], values, where="post", color=style.HUE, linewidth=1.5, zorder=4)


def _fan(axes: Axes, index: pd.DataFrame, width: style.Width) -> list[Label]:
    if index.empty:
        return []
    when = mdates.date2num(index["on"].to_numpy())
    for low, high, colour in BANDS:
        axes.fill_between(when, index[low], index[high], color=colour, linewidth=0, zorder=1, gid=style.SPAN)
    axes.plot(when, index["q50"], color=style.HUE, linewidth=1.6, zorder=4)
    for at, row in zip(when, records(index), strict=True):
        if row["weeks"] % TOLD_WEEKS == 0:
            mark = style.told(row, index_text, f"{day(row['on'])}: index ")
            axes.plot([at], [row["q50"]], "o", color=style.HUE, markersize=3.0, zorder=6, gid=mark)
    last = records(index)[-1]
    name = "Handicap Index" if width == "wide" else "index"
    return [
        (last["q50"], f"{name} {index_text(last['q50'])}", style.HUE),
        (last["q75"], "50 %", style.HUE),
        (last["q90"], "80 %", style.HUE),
        (last["q975"], "95 %", style.HUE),
    ]


def _level(axes: Axes, level: pd.DataFrame, width: style.Width) -> list[Label]:
    if level.empty:
        return []
    when = mdates.date2num(level["on"].to_numpy())
    axes.plot(when, level["q50"], color=style.INK, linewidth=1.2, linestyle=(0, (5, 2)), zorder=5)
    for edge in ("q10", "q90"):
        axes.plot(
            when,
            level[edge],
            color=style.GREY,
            linewidth=0.9,
            linestyle=(0, (1, 1.5)),
            zorder=5,
            gid=style.SPAN,
        )
    last = records(level)[-1]
    name = "average round" if width == "wide" else "average"
    return [(last["q50"], f"{name} {index_text(last['q50'])}", style.INK)]


def _goal(axes: Axes, goal: tuple[date, float], last: float) -> None:
    when = min(float(mdates.date2num(goal[0])), last)
    axes.plot([when], [goal[1]], "D", color="white", markeredgecolor=style.INK, markersize=6, zorder=7)
    axes.annotate(
        f"goal {index_text(goal[1])}",
        (when, goal[1]),
        xytext=(-6, -3),
        textcoords="offset points",
        ha="right",
        color=style.INK,
        fontsize=8,
        zorder=7,
    )


def _axes(axes: Axes, width: style.Width) -> None:
    axes.margins(x=0.01, y=0.05)
    axes.set_ylabel("strokes (lower is better)", fontsize=8.5)
    axes.yaxis.set_major_locator(MaxNLocator(6, integer=True))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: index_tick(value)))
    axes.xaxis.set_major_locator(mdates.MonthLocator(interval=2 if width == "wide" else 5))
    between = " " if width == "narrow" else "\n"
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: month(mdates.num2date(value), between)))
    axes.grid(axis="y", color="#ececec", linewidth=0.6)
    axes.set_axisbelow(True)


def _now(axes: Axes, when: float) -> None:
    axes.axvline(when, color=style.RULE, linewidth=0.8, zorder=0)
    axes.annotate(
        "forecast",
        (when, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(3, 2),
        textcoords="offset points",
        color=style.GREY,
        fontsize=8,
    )


def _labels(axes: Axes, labels: list[Label]) -> None:
    low, high = axes.get_ylim()
    inches = axes.get_window_extent().height / axes.figure.dpi
    gap = (high - low) * 0.155 / inches
    for y, (_, text, colour) in zip(
        style.spread_out([float(np.asarray(label[0])) for label in labels], gap), labels, strict=True
    ):
        axes.annotate(
            text,
            (1.0, y),
            xycoords=("axes fraction", "data"),
            xytext=(4, 0),
            textcoords="offset points",
            va="center",
            color=colour,
            fontsize=8,
            annotation_clip=False,
        )


@dataclass(frozen=True)
class Picture:
    """The present week drawn once, and the scale by which another week is drawn over it.

    ``scale`` holds, for x and y, slope and offset from day number and strokes to the picture's points.
    """

    base: str
    alt: str
    scale: tuple[tuple[float, float], tuple[float, float]]
    label_x: float
    lowest: float
    highest: float
    now: float

    def svg(self, records: list[dict[str, Any]], said: str) -> Markup:
        """Return the picture with the index forecast of ``records`` drawn over it."""
        rows = [row for row in records if row["quantity"] == "handicap_index" and row["reportable"]]
        base = self.base.replace(self.alt, str(escape(said)), 1)
        if not rows:
            return Markup(base)
        when = mdates.date2num([date.fromisoformat(row["on"]) for row in rows])
        low, middle, high = (
            np.clip([row[level] for row in rows], self.lowest, self.highest)
            for level in ("q10", "q50", "q90")
        )
        band = self._path(when, low) + " L" + self._path(when[::-1], high[::-1])[1:] + " Z"
        y = self._y(float(middle[-1]))
        if abs(y - self._y(self.now)) < LABEL_POINTS:
            y = self._y(self.now) + (LABEL_POINTS if middle[-1] <= self.now else -LABEL_POINTS)
        over = (
            f'<path class="band" d="{band}" fill="{style.HUE_80}" fill-opacity="0.55"/>'
            f'<path class="middle" d="{self._path(when, middle)}" fill="none" stroke="{style.HUE}" '
            'stroke-width="1.8"/>'
            f'<text x="{self.label_x:.1f}" y="{y + 3:.1f}" fill="{style.HUE}" font-size="8" '
            f'font-weight="bold">mine {index_text(rows[-1]["q50"])}</text>'
        )
        return Markup(base.removesuffix("</svg>") + over + "</svg>")

    def _path(self, when: FLOATS, values: FLOATS) -> str:
        (slope, start), _ = self.scale
        points = [
            f"{slope * x + start:.1f} {self._y(float(y)):.1f}" for x, y in zip(when, values, strict=True)
        ]
        return "M" + " L".join(points)

    def _y(self, value: float) -> float:
        slope, start = self.scale[1]
        return slope * value + start


def what_if_picture(
    present: list[dict[str, Any]],
    full: list[dict[str, Any]],
    *,
    goal: float | None = None,
    by: date | None = None,
) -> Picture:
    """Draw the present week in grey.

    Parameters
    ----------
    present, full : list of dict
        Forecast records of the present week, and of the fullest week, which sets the scale.
    goal, by : float and date, optional
        Goal index and its date.
    """
    index = _index(present)
    title = "Handicap Index: present week in grey, mine in blue"
    figure, axes = style.sheet(title, 2.5, width="narrow", left=0.5, right=0.95, bottom=0.44)
    with style.look():
        if not index.empty:
            _draw(axes, index, pd.concat([index, _index(full)]), goal, by)
    alt = "what-if-picture"
    base = inline_svg(figure, name="what-if", alt=alt, css_class="figure moving")
    per_point = POINTS_PER_INCH / figure.dpi
    height = figure.get_size_inches()[1] * POINTS_PER_INCH
    corner = axes.transData.transform([[0.0, 0.0], [1.0, 1.0]]) * per_point
    slope = corner[1] - corner[0]
    scale = ((float(slope[0]), float(corner[0][0])), (-float(slope[1]), height - float(corner[0][1])))
    right = float(axes.transAxes.transform((1.0, 0.0))[0]) * per_point + BESIDE_POINTS
    low, high = sorted(axes.get_ylim())
    return Picture(str(base), alt, scale, right, low, high, _last(index))


def _index(records: list[dict[str, Any]]) -> pd.DataFrame:
    frame = pd.DataFrame(
        [row for row in records if row["quantity"] == "handicap_index" and row["reportable"]]
    )
    return frame if frame.empty else frame.assign(on=pd.to_datetime(frame["on"]))


def _draw(axes: Axes, index: pd.DataFrame, both: pd.DataFrame, goal: float | None, by: date | None) -> None:
    when = mdates.date2num(index["on"].to_numpy())
    axes.fill_between(when, index["q10"], index["q90"], color=style.PALE, linewidth=0)
    axes.plot(when, index["q50"], color=style.GREY, linewidth=1.4, linestyle=(0, (5, 2)))
    values = [float(both["q10"].min()), float(both["q90"].max()), *([] if goal is None else [goal])]
    margin = 0.08 * max(max(values) - min(values), 1.0)
    axes.set_ylim(min(values) - margin, max(values) + margin)
    axes.set_xlim(when[0], when[-1])
    axes.set_ylabel("strokes (lower is better)", fontsize=8.5)
    axes.yaxis.set_major_locator(MaxNLocator(6, integer=True))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: index_text(value).removesuffix(".0")))
    axes.xaxis.set_major_locator(mdates.AutoDateLocator(maxticks=5))
    axes.xaxis.set_major_formatter(mdates.DateFormatter("%b %Y"))
    axes.grid(axis="y", color="#ececec", linewidth=0.6)
    axes.set_axisbelow(True)
    if goal is not None and by is not None:
        place = (float(mdates.date2num(by)), goal)
        axes.plot([place[0]], [place[1]], "D", color=style.INK, markersize=5, clip_on=False)
        axes.annotate("goal", place, xytext=(-5, 4), textcoords="offset points", ha="right", fontsize=8)
    at = _last(index)
    axes.annotate(
        f"present {index_text(at)}",
        (1.0, at),
        xycoords=("axes fraction", "data"),
        xytext=(BESIDE_POINTS, 0),
        textcoords="offset points",
        va="center",
        color=style.GREY,
        fontsize=8,
        annotation_clip=False,
    )


def _last(index: pd.DataFrame) -> float:
    return 0.0 if index.empty else float(index["q50"].iloc[-1])
