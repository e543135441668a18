"""The club's small settings file: name, own categories, handicap settings, and the logo beside it.

The logo is a PNG, kept as text that stands in a page: a PNG holds nothing that runs or loads. Other kinds of
picture may, and are not taken.
"""

from __future__ import annotations

import base64
import binascii
import json
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from babel.core import Locale, UnknownLocaleError

from paryield.results import Problem
from paryield.tables.categories import AREAS, BY_NAME, MIXED_DAYS, SHIPPED, Category
from paryield.tables.nearest import hint
from paryield.tables.toml import read_toml

MOST_BYTES = 200_000
"""Largest logo: it stands in every page. [judgement]"""
PNG = b"\x89PNG\r\n\x1a\n"
"""First bytes of a PNG file (PNG Specification, third edition, section 5.2)."""
URI = re.compile(r"data:image/png;base64,([A-Za-z0-9+/=]+)")

DISTANCE_UNITS = ("yd", "m")
SHOWN_ONLY = ("logo", "locale", "distance_unit", "bay_minutes_per_week", "green_minutes_per_week")
"""Settings that no fit depends on: they do not make one stale."""


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


@dataclass(frozen=True)
class Settings:
    """What a club sets for itself; every setting has a default.

    Parameters
    ----------
    club_name : str
        Name shown on reports.
    minimum_scores : int
        Score differentials needed for an index: 3 (54 holes; verified: usga.org handicapping FAQ,
        number of scores to get a Handicap Index). Some associations set 1 (verified:
        danskgolfunion.dk), so it is a national setting.
    maximum_index : float
        Highest Handicap Index: 54.0 (Rule 5.3; verified: randa.org). A club may set less.
    minimum_holes : int
        Fewest holes of an 18-hole score: 10 from 2024 on (verified: usga.org 2024 revision FAQ).
    expected_nine_per_index, expected_nine_constant : float
        Expected 9-hole differential = per_index x Handicap Index + constant. The official table is not
        published (verified: englandgolf.freshdesk.com, article 80001136829); 0.52 and 1.2 are an
        unofficial approximation.
    logo : str
        A PNG in the folder of the settings file, for the head of documents; kept in the club as a
        data address.
    locale : str
        Language and country by which dates and numbers are written in documents, such as en_GB or de_DE
        (Unicode locale identifier).
    distance_unit : {"yd", "m"}
        Unit of distances in documents; putts are then in feet or in metres.
    bay_minutes_per_week, green_minutes_per_week : float
        Minutes a week that bays and practice greens hold for all planned golfers together; ``inf`` without
        such a limit.
    """

    club_name: str = ""
    minimum_scores: int = 3
    maximum_index: float = 54.0
    minimum_holes: int = 10
    expected_nine_per_index: float = 0.52
    expected_nine_constant: float = 1.2
    logo: str = ""
    locale: str = "en_GB"
    distance_unit: str = "yd"
    bay_minutes_per_week: float = math.inf
    green_minutes_per_week: float = math.inf

    def __post_init__(self) -> None:
        if self.logo:
            check_logo(self.logo)
        if self.distance_unit not in DISTANCE_UNITS:
            raise ValueError(f"distance_unit must be yd or m, found {self.distance_unit!r}")
        _check_locale(self.locale)
        for name in ("bay_minutes_per_week", "green_minutes_per_week"):
            if not getattr(self, name) >= 0:
                raise ValueError(f"{name} must be 0 or more, found {getattr(self, name)}")
        if not 1 <= self.minimum_scores <= 20:
            raise ValueError(f"minimum_scores must be 1 to 20, found {self.minimum_scores}")
        if not 0 < self.maximum_index <= 54.0:
            raise ValueError(f"maximum_index must be above 0 and at most 54.0, found {self.maximum_index}")
        if not 10 <= self.minimum_holes <= 18:
            raise ValueError(f"minimum_holes must be 10 to 18, found {self.minimum_holes}")
        if not 0 < self.expected_nine_per_index <= 1:
            raise ValueError(
                f"expected_nine_per_index must be in (0, 1], found {self.expected_nine_per_index}"
            )
        if not -5 <= self.expected_nine_constant <= 10:
            raise ValueError(f"expected_nine_constant must be -5 to 10, found {self.expected_nine_constant}")


def _check_locale(name: str) -> None:
    try:
        Locale.parse(name)
    except (UnknownLocaleError, ValueError):
        raise ValueError(f"locale must be one such as en_GB or de_DE, found {name!r}") from None


DEFAULTS = Settings()
"""Settings of a club that has no settings file."""


class _Unusable(Exception):
    def __init__(self, message: str, remedy: str, found: str = "") -> None:
        super().__init__(message)
        self.message, self.remedy, self.found = message, remedy, found


CATEGORY_KEYS = ("name", "serves", "minutes_per_100_reps", "load", "half_life_days")


def settings_text(settings: Settings, categories: tuple[Category, ...]) -> str:
    """Return the settings file: every setting, and the categories that are not shipped.

    The logo is named as the file that :func:`paryield.tables.settings.logo_file` gives.
    """
    shown = {item.name: getattr(settings, item.name) for item in fields(settings)}
    if settings.logo:
        shown["logo"] = logo_file(settings.logo)[0]
    lines = [f"{name} = {_toml(value)}" for name, value in shown.items()]
    for category in categories:
        if category in SHIPPED:
            continue
        serves = ", ".join(f"{area} = {weight!r}" for area, weight in category.serves.items())
        lines += ["", "[[category]]", f"name = {_toml(category.name)}", f"serves = {{ {serves} }}"]
        if category.minutes_per_100_reps is not None:
            lines.append(f"minutes_per_100_reps = {category.minutes_per_100_reps!r}")
        lines += [f"load = {_toml(category.load)}", f"half_life_days = {category.half_life_days!r}"]
    return "\n".join(lines) + "\n"


def _toml(value: str | float) -> str:
    if isinstance(value, float) and math.isinf(value):
        return "inf"
    # A JSON string is a TOML basic string once DEL, which JSON leaves bare, is escaped.
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def read_settings(
    path: Path, known: Settings = DEFAULTS, own: tuple[Category, ...] = ()
) -> tuple[Settings, tuple[Category, ...], list[Problem]]:
    """Read a settings file.

    Parameters
    ----------
    path : Path
        A TOML file with the fields of :class:`Settings` and tables ``[[category]]``.
    known : Settings
        What holds where the file says nothing.
    own : tuple of Category
        The club's own categories so far; one of the same name is replaced.

    Returns
    -------
    settings, categories, problems
        Categories are the shipped ones and the club's own. What has an error keeps its former value.
    """
    try:
        given = read_toml(path.read_bytes())
    except ValueError as error:
        remedy = "mend that line, or save the file as UTF-8 text"
        return known, SHIPPED + own, [Problem(path.name, None, None, "", str(error), remedy)]
    problems: list[Problem] = []
    listed = given.pop("category", [])
    _logo(path, given, problems)
    settings = _settings(path.name, given, known, problems)
    merged = {category.name: category for category in own}
    for entry in listed if isinstance(listed, list) else [listed]:
        try:
            category = _category(entry)
        except _Unusable as why:
            problems.append(Problem(path.name, None, "category", why.found, why.message, why.remedy))
        else:
            merged[category.name] = category
    return settings, SHIPPED + tuple(merged.values()), problems


def _logo(path: Path, given: dict[str, Any], problems: list[Problem]) -> None:
    """Put the logo's content in the place of its name; one that cannot be used is taken out."""
    name = given.get("logo")
    if not isinstance(name, str) or not name:
        return
    try:
        given["logo"] = read_logo(path.parent, name)
    except ValueError as error:
        del given["logo"]
        remedy = f"put a PNG of at most {MOST_BYTES // 1000} kB beside the settings file"
        problems.append(Problem(path.name, None, "logo", name[:60], str(error), remedy))


def _settings(file: str, given: Mapping[str, Any], known: Settings, problems: list[Problem]) -> Settings:
    values = {item.name: getattr(known, item.name) for item in fields(known)}
    for key, value in given.items():
        if key not in values:
            message = "there is no such setting; it is passed over"
            problems.append(Problem(file, None, key, str(value), message, hint(key, values), "warning"))
            continue
        kind = type(getattr(DEFAULTS, key))
        if kind is float and type(value) is int:
            value = float(value)
        if type(value) is not kind:
            word = {str: "text in quotes", int: "a whole number", float: "a number"}[kind]
            problems.append(
                Problem(file, None, key, str(value), "has the wrong kind of value", f"write {word}")
            )
            continue
        try:
            Settings(**{**values, key: value})
        except ValueError as error:
            problems.append(Problem(file, None, key, str(value), str(error), "check the value"))
            continue
        values[key] = value
    return Settings(**values)


def _category(entry: Any) -> Category:
    if not isinstance(entry, dict) or not isinstance(entry.get("name"), str) or not entry["name"].strip():
        raise _Unusable("a category has no name", "write [[category]] and below it name = and serves =")
    name = entry["name"].strip()
    if unknown := sorted(set(entry) - set(CATEGORY_KEYS)):
        raise _Unusable(f"has no {', '.join(unknown)}", f"use {', '.join(CATEGORY_KEYS)}", name)
    if name in BY_NAME:
        raise _Unusable("this name is taken by a shipped category", "choose another name", name)
    serves = entry.get("serves")
    if isinstance(serves, list) and serves:
        serves = {str(area): 1 / len(serves) for area in serves}
    if not isinstance(serves, dict) or not serves or not set(serves) <= set(AREAS):
        raise _Unusable("must say which areas it serves", f"write serves = with {', '.join(AREAS)}", name)
    load = entry.get("load", "none")
    if load not in ("none", "swing", "strength"):
        raise _Unusable("has an unknown load", "write none, swing or strength", f"{name}: {load}")
    pace, half_life = entry.get("minutes_per_100_reps"), entry.get("half_life_days", MIXED_DAYS)
    try:
        weights = {area: float(weight) for area, weight in serves.items()}
        numbers = [*weights.values(), float(half_life), *([] if pace is None else [float(pace)])]
        if not all(map(math.isfinite, numbers)):
            raise ValueError("a number is not finite")
        return Category(name, weights, None if pace is None else float(pace), load, float(half_life))
    except (TypeError, ValueError) as error:
        raise _Unusable(f"cannot be used ({error})", "check its numbers", name) from None
