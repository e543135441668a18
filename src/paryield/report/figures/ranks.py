"""Ranks of truths among draws: the ECDF less the line that even ranks follow, with its band."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from matplotlib.figure import Figure

from paryield.report.figures import style
from paryield.report.words import one_line

if TYPE_CHECKING:
    from paryield.evaluate.calibration import Evenness

ACROSS = 4
CELL = (1.75, 1.35)


def rank_figure(calibration: Sequence[Evenness], chance: float = 0.95) -> Figure:
    """Draw one small panel a quantity.

    Parameters
    ----------
    calibration : sequence of dict
        Records of :func:`paryield.evaluate.calibration.uniformity`.
    chance : float
        With which all uniform ECDFs together keep to their bands.
    """
    from arviz_stats.ecdf_utils import ecdf_pit  # seconds to load, which no other figure needs

    down = -(-len(calibration) // ACROSS)
    with style.look():
        figure = Figure(figsize=(ACROSS * CELL[0], down * CELL[1]))
        panels = figure.subplots(down, ACROSS, squeeze=False, sharex=True, sharey=True)
        each = 1.0 - (1.0 - chance) / max(len(calibration), 1)
        for axes, one in zip(panels.flat, calibration, strict=False):
            at, ecdf, lower, upper = ecdf_pit(np.array(one["ranks"]), each, 4000)
            axes.fill_between(at, lower - at, upper - at, color=style.PALE, linewidth=0)
            axes.plot(at, ecdf - at, color=style.INK if one["outside"] else style.HUE, linewidth=1.2)
            name = one_line(f"{one['quantity']} {one['element']}".replace("_", " ").strip(), 26)
            axes.set_title(name, fontsize=7.5, loc="left")
        for axes in panels.flat[len(calibration) :]:
            axes.set_visible(False)
        figure.tight_layout()
    return figure
