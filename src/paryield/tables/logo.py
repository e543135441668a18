"""A club's logo: a PNG or SVG beside the settings file, checked and kept as text that stands in a page."""

from __future__ import annotations

import base64
import binascii
import re
from pathlib import Path
from xml.etree import ElementTree

MOST_BYTES = 200_000
"""Largest logo: it stands in every page. [judgement]"""
PNG = b"\x89PNG\r\n\x1a\n"
"""First bytes of a PNG file (PNG Specification, third edition, section 5.2)."""
KINDS = {".png": "image/png", ".svg": "image/svg+xml"}
URI = re.compile(r"data:(image/png|image/svg\+xml);base64,([A-Za-z0-9+/=]+)")
ACTIVE = ("script", "foreignobject", "iframe", "embed", "object", "handler", "style")
"""Elements of an SVG that run something, embed something or load something."""


def read_logo(folder: Path, name: str) -> str:
    """Return a logo as a data address.

    Parameters
    ----------
    folder : Path
        Folder of the settings file; the logo stands in it.
    name : str
        File name, or a data address that an earlier reading made.

    Raises
    ------
    ValueError
        When there is no such file, or it is not a harmless PNG or SVG of at most 200 kB.
    """
    if name.startswith("data:"):
        check_logo(name)
        return name
    if Path(name).name != name:
        raise ValueError("the logo stands in the folder of the settings file")
    kind = KINDS.get(Path(name).suffix.lower())
    if kind is None:
        raise ValueError("the logo is a .png or .svg file")
    try:
        content = (folder / name).read_bytes()
    except OSError as error:
        raise ValueError(f"the logo cannot be read ({error.strerror or error})") from None
    uri = f"data:{kind};base64,{base64.b64encode(content).decode()}"
    check_logo(uri)
    return uri


def logo_file(uri: str) -> tuple[str, bytes]:
    """Return a file name and the content of a logo that :func:`read_logo` made."""
    kind, content = _parts(uri)
    return ("logo.png" if kind == KINDS[".png"] else "logo.svg"), content


def check_logo(uri: str) -> None:
    """Raise ValueError when this is not the data address of a harmless PNG or SVG."""
    kind, content = _parts(uri)
    if len(content) > MOST_BYTES:
        raise ValueError(f"the logo has {len(content)} bytes; at most {MOST_BYTES} are taken")
    if kind == KINDS[".png"]:
        if not content.startswith(PNG):
            raise ValueError("the logo is not a PNG file, whatever its name")
    else:
        _check_svg(content)


def _parts(uri: str) -> tuple[str, bytes]:
    found = URI.fullmatch(uri)
    if not found:
        raise ValueError("the logo is not a PNG or SVG")
    try:
        return found[1], base64.b64decode(found[2], validate=True)
    except binascii.Error:
        raise ValueError("the logo is not a PNG or SVG") from None


def _check_svg(content: bytes) -> None:
    if b"<!doctype" in content.lower() or b"<!entity" in content.lower():
        raise ValueError("the logo's SVG has a document type or entities; save it as plain SVG")
    try:
        root = ElementTree.fromstring(content)
    except (ElementTree.ParseError, LookupError, ValueError):
        raise ValueError("the logo is not an SVG file, whatever its name") from None
    if _local(root.tag) != "svg":
        raise ValueError("the logo is not an SVG file, whatever its name")
    for element in root.iter():
        if _local(element.tag) in ACTIVE:
            raise ValueError(f"the logo's SVG holds <{_local(element.tag)}>; save it without")
        for name, value in element.attrib.items():
            outside = _local(name) == "href" and not value.strip().startswith(("#", "data:image/png"))
            if _local(name).startswith("on") or outside or re.search(r"url\(\s*['\"]?(?!#)", value):
                raise ValueError(f"the logo's SVG has {_local(name)}={value[:40]!r}; save it without")


def _local(name: object) -> str:
    return str(name).rpartition("}")[2].lower()
