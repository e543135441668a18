"""Figures as a page holds them."""

from __future__ import annotations

from collections.abc import Callable

from markupsafe import Markup
from matplotlib.figure import Figure

from paryield.report.figures.style import Width
from paryield.report.svg import inline_svg

Draw = Callable[[Width], Figure]


def both_widths(name: str, alt: str, draw: Draw) -> Markup:
    """Return the figure twice: one for a page, one for a telephone; the style shows one of them.

    Parameters
    ----------
    name : str
        Prefix of the ids, unique within the page.
    alt : str
        What the figure shows, for readers who do not see it.
    draw : callable
        Draws the figure at a width.
    """
    widths: tuple[Width, ...] = ("wide", "narrow")
    parts = [
        inline_svg(draw(width), name=f"{name}-{width}", alt=alt, css_class=f"figure {width}")
        for width in widths
    ]
    return Markup("").join(parts)
