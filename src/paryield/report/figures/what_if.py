"""The forecast under another week of practice, drawn into a still picture of the present week."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd
from markupsafe import Markup, escape
from matplotlib import dates as mdates
from matplotlib.axes import Axes
from matplotlib.ticker import FuncFormatter, MaxNLocator

from paryield.arrays import FLOATS
from paryield.report.figures import style
from paryield.report.svg import inline_svg
from paryield.report.words import index_text

POINTS_PER_INCH = 72.0
LABEL_POINTS = 10.0
BESIDE_POINTS = 8.0
"""From the edge of the axes to the labels, so that a goal on the last day does not touch them."""


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
    figure, axes = style.sheet(title, 2.5, width="narrow", left=0.5, right=0.78, bottom=0.44)
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
        f"now {index_text(at)}",
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
