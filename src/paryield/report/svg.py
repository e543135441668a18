"""A figure as inline SVG: the same bytes each time, no outside names, no inline styles."""

from __future__ import annotations

import io
import re
import warnings
from xml.etree import ElementTree

from markupsafe import Markup
from matplotlib.figure import Figure

from paryield.report.figures.style import SPAN, TOLD, look

NO_METADATA = {"Date": None, "Creator": None, "Format": None, "Type": None}
DROPPED = ("metadata", "style")
TIP_ROOM = 80.0
"""Half the room of a tip in points: it is not cut off at an edge of the figure."""
NUMBERS = re.compile(r"(\d+\.\d{2})\d+")


def inline_svg(figure: Figure, *, name: str, alt: str, css_class: str = "") -> Markup:
    """Return the figure as an SVG element to stand inside a page.

    Parameters
    ----------
    figure : Figure
        The figure to write.
    name : str
        Prefix of every id, unique within the page; lower-case letters, digits and hyphens.
    alt : str
        What the figure shows, for readers who do not see it.
    css_class : str
        Class of the element.

    Returns
    -------
    Markup
        Safe to embed: texts are escaped, styles are attributes, nothing is loaded from elsewhere.

    Raises
    ------
    ValueError
        When the name has other characters.
    """
    if not re.fullmatch(r"[a-z][a-z0-9-]*", name):
        raise ValueError(f"a figure name holds lower-case letters, digits and hyphens, found {name!r}")
    root = ElementTree.fromstring(_write(figure, name))
    wide = float(root.attrib["viewBox"].split()[2])
    _clean(root, name, wide)
    tells = any("tabindex" in element.attrib for element in root.iter())
    root.attrib = {
        "class": css_class,
        "role": "group" if tells else "img",
        "aria-label": alt,
        "viewBox": root.attrib["viewBox"],
        "stroke-linejoin": "round",
        "stroke-linecap": "butt",
    }
    return Markup(ElementTree.tostring(root, encoding="unicode"))


def _write(figure: Figure, name: str) -> str:
    buffer = io.StringIO()
    with look(**{"svg.hashsalt": name}), warnings.catch_warnings():
        # The page's own fonts draw the text, so a sign that the measuring font lacks does no harm.
        warnings.filterwarnings("ignore", message=r"(?s).*Glyph .*", category=UserWarning)
        warnings.filterwarnings("ignore", message=r"(?s).*Matplotlib currently does not support.*natively")
        figure.savefig(buffer, format="svg", metadata=NO_METADATA)
    return buffer.getvalue()


def _clean(element: ElementTree.Element, name: str, wide: float) -> None:
    element.tag = element.tag.rpartition("}")[2]
    element.tail = None
    if element.tag != "text":
        element.text = None
    mark = element.attrib.get("id", "")
    element.attrib = _attributes(element.attrib, name)
    for child in list(element):
        if child.tag.rpartition("}")[2] in DROPPED:
            element.remove(child)
        else:
            _clean(child, name, wide)
    if element.tag == "defs":
        for shape in element.findall("path"):
            # Each use says its own stroke; one said here would be drawn, and stay dark on the dark page.
            shape.attrib.pop("stroke", None)
    if mark == SPAN:
        element.attrib = {"class": SPAN}
    elif mark.startswith(TOLD):
        _tell(element, mark.removeprefix(TOLD), wide)


def _tell(element: ElementTree.Element, text: str, wide: float) -> None:
    """Let a dot tell its value to whoever points at it or comes to it by the keyboard."""
    element.attrib = {"class": "told", "tabindex": "0", "role": "img", "aria-label": text}
    dot = next(one for one in element.iter("use") if "x" in one.attrib)
    x, y = float(dot.attrib["x"]), float(dot.attrib["y"])
    around = {"cx": f"{x:g}", "cy": f"{y:g}", "r": "9", "fill": "none", "pointer-events": "all"}
    ElementTree.SubElement(element, "circle", around)
    middle = min(max(x, TIP_ROOM), wide - TIP_ROOM)
    tip = {"class": "tip", "x": f"{middle:g}", "y": f"{y - 9:g}", "text-anchor": "middle", "font-size": "9"}
    ElementTree.SubElement(element, "text", tip).text = text


def _attributes(found: dict[str, str], name: str) -> dict[str, str]:
    kept: dict[str, str] = {}
    for key, value in found.items():
        key = key.rpartition("}")[2]
        if key == "style":
            kept.update(_presentation(value))
        elif key == "id":
            kept[key] = f"{name}-{value}"
        elif key == "href":
            kept[key] = f"#{name}-{value.removeprefix('#')}"
        elif key == "d":
            kept[key] = " ".join(NUMBERS.sub(r"\1", value).split())
        else:
            kept[key] = value.replace("url(#", f"url(#{name}-")
    return kept


def _presentation(style: str) -> dict[str, str]:
    """Turn one ``style`` value into presentation attributes, which a strict policy allows."""
    pairs = dict(part.split(":", 1) for part in style.split(";") if ":" in part)
    found = {key.strip(): value.strip() for key, value in pairs.items()}
    found.pop("font-family", None)
    return found
