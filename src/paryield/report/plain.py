"""A plain page of headings, sentences, tables and figures: what changed, and calibration."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from paryield.report.rendering import environment, style


@dataclass(frozen=True)
class Section:
    """A heading with sentences, a table whose first column names the row, and a figure as inline SVG."""

    heading: str
    lines: Sequence[str] = ()
    head: Sequence[str] = ()
    rows: Sequence[Sequence[Any]] = ()
    figure: Markup | None = None


def plain_page(title: str, lead: Sequence[str], sections: Sequence[Section], foot: Sequence[str] = ()) -> str:
    """Return a whole HTML document: no script, no request to anywhere."""
    css, policy = style()
    template = environment().get_template("plain.html")
    return template.render(title=title, lead=lead, sections=sections, foot=foot, css=css, policy=policy)
