"""Pages as PDF: the same HTML, laid out on paper by WeasyPrint."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from paryield.errors import InputError

PACKAGES = ("libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0", "fonts-dejavu-core")
"""Debian packages that hold the libraries and a font that WeasyPrint needs."""
SHEETS, CARD_SHEETS = 2, 1
CARD = '<body class="pocket">'
SMALLER = ((8.5, 11.5), (8.2, 10.5), (7.8, 9.2))
"""Sizes of print in points, and widths of figures in centimetres, tried to keep a golfer to two sheets.

A card for a pocket has one. How much room words take depends on the fonts that a computer has.
"""
NARROW = re.compile(r'<svg class="figure narrow".*?</svg>', re.S)


def pdf(pages: Sequence[str]) -> bytes:
    """Return HTML pages as one PDF, each page's sheets numbered on their own so that they can be handed out.

    Nothing is loaded from outside the pages.

    Parameters
    ----------
    pages : sequence of str
        Whole documents; links between them are to the ids of their headings.

    Raises
    ------
    InputError
        When the system libraries are missing, with the names of their Debian packages.
    """
    weasyprint = _weasyprint()
    sheets = [_sheet(weasyprint, NARROW.sub("", page)) for page in pages]
    bound = sheets[0].copy([sheet for document in sheets for sheet in document.pages])
    content: bytes = bound.write_pdf()
    return content


def _sheet(weasyprint: Any, page: str) -> Any:
    """Lay a page out on two sheets, a card on one, where a smaller print makes it fit, else as usual."""
    most = CARD_SHEETS if CARD in page else SHEETS
    fetcher = weasyprint.urls.URLFetcher(allowed_protocols=("data",))
    html = weasyprint.HTML(string=page, url_fetcher=fetcher)
    usual = html.render()
    if len(usual.pages) <= most:
        return usual
    for size, width in SMALLER:
        style = (
            f"html {{ font-size: {size}pt !important }} "
            f"figure:not(.fan) .wide {{ width: {width}cm !important }}"
        )
        smaller = html.render(stylesheets=[weasyprint.CSS(string=style)])
        if len(smaller.pages) <= most:
            return smaller
    return usual


def whole(page: str) -> str:
    """Return a golfer's page that keeps on paper what a sheet of two pages leaves out: its longer tables."""
    return page.replace("<body>", '<body class="book">', 1)


def linked(page: str) -> str:
    """Return a page whose links to golfers' files lead to their headings in the same PDF."""
    return re.sub(r'href="(golfer-[A-Za-z0-9_-]+)\.html"', r'href="#\1"', page)


def _weasyprint() -> Any:
    try:
        import weasyprint
    except OSError:  # the library is there, what it loads is not
        raise InputError(
            "PDF needs libraries that this system lacks",
            where="--format pdf",
            remedy=f"install them (Debian: apt-get install {' '.join(PACKAGES)}), or print the HTML pages",
        ) from None
    return weasyprint
