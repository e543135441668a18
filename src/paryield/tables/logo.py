"""A club's logo: a PNG beside the settings file, checked and kept as text that stands in a page.

A PNG holds nothing that runs or loads. Other kinds of picture may, and are not taken.
"""

from __future__ import annotations

import base64
import binascii
import re
from pathlib import Path

MOST_BYTES = 200_000
"""Largest logo: it stands in every page. [judgement]"""
PNG = b"\x89PNG\r\n\x1a\n"
"""First bytes of a PNG file (PNG Specification, third edition, section 5.2)."""
URI = re.compile(r"data:image/png;base64,([A-Za-z0-9+/=]+)")


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
        When there is no such file, or it is not a PNG of at most 200 kB.
    """
    if name.startswith("data:"):
        check_logo(name)
        return name
    if Path(name).name != name:
        raise ValueError("the logo stands in the folder of the settings file")
    if Path(name).suffix.lower() != ".png":
        raise ValueError("the logo is a .png file; save the picture as PNG")
    if not (folder / name).is_file():
        raise ValueError("the logo cannot be read (there is no such file)")
    try:
        content = (folder / name).read_bytes()
    except OSError as error:
        raise ValueError(f"the logo cannot be read ({error.strerror or error})") from None
    uri = f"data:image/png;base64,{base64.b64encode(content).decode()}"
    check_logo(uri)
    return uri


def logo_file(uri: str) -> tuple[str, bytes]:
    """Return a file name and the content of a logo that :func:`read_logo` made."""
    return "logo.png", _content(uri)


def check_logo(uri: str) -> None:
    """Raise ValueError when this is not the data address of a PNG."""
    content = _content(uri)
    if len(content) > MOST_BYTES:
        raise ValueError(f"the logo has {len(content)} bytes; at most {MOST_BYTES} are taken")
    if not content.startswith(PNG):
        raise ValueError("the logo is not a PNG file, whatever its name")


def _content(uri: str) -> bytes:
    found = URI.fullmatch(uri)
    if not found:
        raise ValueError("the logo is not a PNG")
    try:
        return base64.b64decode(found[1], validate=True)
    except binascii.Error:
        raise ValueError("the logo is not a PNG") from None
