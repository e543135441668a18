"""The club's settings as fields of a form: meaning, unit and range of each, and back to a file's text."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from paryield.report.words import number, one_line
from paryield.results import Problem
from paryield.tables import Category
from paryield.tables.categories import AREAS, MIXED_DAYS, SHIPPED
from paryield.tables.settings import DEFAULTS, DISTANCE_UNITS, Settings, logo_file, settings_text

FILE = "settings.toml"


@dataclass(frozen=True)
class Setting:
    """One setting as it is asked for.

    Parameters
    ----------
    name : str
        As in the settings file.
    title, meaning : str
        What stands before the field and below it.
    unit : str
        Empty for text and choices.
    choices : tuple of str
        Nothing but these may be chosen; empty for free text and numbers.
    blank : str
        What a blank field means, empty where it may not be blank.
    """

    name: str
    title: str
    meaning: str
    unit: str = ""
    choices: tuple[str, ...] = ()
    blank: str = ""

    @property
    def default(self) -> str:
        """The value that holds where a club sets nothing, as shown."""
        return self.shown(DEFAULTS)

    def shown(self, settings: Settings) -> str:
        """Return the value as text for the field."""
        value = getattr(settings, self.name)
        if self.name == "logo":
            return logo_file(value)[0] if value else ""
        if isinstance(value, float):
            return "" if math.isinf(value) else f"{value:.10g}"
        return str(value)


SETTINGS: tuple[Setting, ...] = (
    Setting("club_name", "Name of the club", "Stands at the head of pages and documents.", blank="no name"),
    Setting("logo", "Logo", "A PNG brought in beside settings.toml; blank takes it off.", blank="no logo"),
    Setting(
        "locale", "Language and country", "How dates and decimals are written, such as en_GB or de_DE.",
    ),
    Setting("distance_unit", "Distances", "Yards, with putts in feet, or metres.", choices=DISTANCE_UNITS),
    Setting(
        "bay_minutes_per_week", "Bays hold", "Plans of all golfers together take no more of the bays.",
        "minutes a week", blank="no limit",
    ),
    Setting(
        "green_minutes_per_week", "Practice greens hold", "Plans of all golfers together take no more.",
        "minutes a week", blank="no limit",
    ),
    Setting(
        "minimum_scores", "Needed for a first index", "1 to 20; 3 by the Rules of Handicapping, 1 in some "
        "countries.", "score differentials",
    ),
    Setting(
        "maximum_index", "Highest Handicap Index", "Above 0, at most 54.0 (Rule 5.3); a club may set less.",
        "strokes",
    ),
    Setting("minimum_holes", "Fewest of an 18-hole score", "10 to 18; 10 from 2024 on.", "holes"),
    Setting(
        "expected_nine_per_index", "Nine holes expected, by index", "Above 0, at most 1: strokes for each "
        "stroke of the index. The official table is not published; 0.52 is an approximation.", "strokes",
    ),
    Setting(
        "expected_nine_constant", "Nine holes expected, added", "−5 to 10: strokes beside those.",
        "strokes",
    ),
)  # fmt: skip
"""Every setting, in the order of the form."""

LOADS = ("none", "swing", "strength")


def given_of(settings: Settings, categories: tuple[Category, ...]) -> dict[str, str]:
    """Return what the form holds for the club's settings: text by field, own categories numbered."""
    given = {f"s.{one.name}": one.shown(settings) for one in SETTINGS}
    for place, category in enumerate(own_categories(categories)):
        pace = category.minutes_per_100_reps
        given |= {
            f"c.{place}.name": category.name,
            f"c.{place}.minutes_per_100_reps": "" if pace is None else f"{pace:.10g}",
            f"c.{place}.half_life_days": f"{category.half_life_days:.10g}",
            f"c.{place}.load": category.load,
        }
        given |= {
            f"c.{place}.{area}": f"{100.0 * category.serves[area]:.10g}" if area in category.serves else ""
            for area in AREAS
        }
    return given


def own_categories(categories: tuple[Category, ...]) -> list[Category]:
    """Return the categories that are the club's own."""
    return [one for one in categories if one not in SHIPPED]


def text_of_form(
    given: Mapping[str, str], settings: Settings, categories: tuple[Category, ...]
) -> tuple[str, tuple[Problem, ...]]:
    """Return the settings file that a filled form stands for, and what is wrong with its fields.

    Parameters
    ----------
    given : mapping
        Text by field, as :func:`given_of` names them; a category without a name is none.
    settings, categories : Settings, tuple of Category
        What the club holds: a setting that the form leaves out keeps its value.
    """
    values: dict[str, object] = {}
    wrong = []
    for one in SETTINGS:
        text = given.get(f"s.{one.name}")
        if text is None:
            continue
        try:
            values[one.name] = _value(one, text.strip(), settings)
            replace(DEFAULTS, **{one.name: values[one.name]})  # type: ignore[arg-type]
        except ValueError as error:
            values.pop(one.name, None)
            wrong.append(Problem(FILE, None, f"s.{one.name}", text[:60], str(error), "check the value"))
    made = []
    count = len(own_categories(categories)) + 1
    for place in range(count):
        if given.get(f"c.{place}.name", "").strip():
            try:
                made.append(_category(given, f"c.{place}."))
            except ValueError as error:
                found = one_line(given[f"c.{place}.name"], 40)
                wrong.append(Problem(FILE, None, f"c.{place}.name", found, str(error), "check its numbers"))
    return settings_text(replace(settings, **values), (*SHIPPED, *made)), tuple(wrong)  # type: ignore[arg-type]


def _value(one: Setting, text: str, settings: Settings) -> object:
    kind = type(getattr(DEFAULTS, one.name))
    if one.name == "logo":
        return settings.logo if text else ""
    if kind is str:
        return text
    if not text and one.blank:
        return math.inf
    plain = text.replace(",", ".")
    try:
        return int(plain) if kind is int else float(plain)
    except ValueError:
        word = "a whole number" if kind is int else "a number"
        raise ValueError(f"{one.title} must be {word}") from None


def _category(given: Mapping[str, str], start: str) -> Category:
    def amount(name: str) -> float | None:
        text = given.get(start + name, "").strip().replace(",", ".")
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            raise ValueError(f"{name.replace('_', ' ')} must be a number, found {text[:20]!r}") from None
        if not math.isfinite(value):
            raise ValueError(f"{name.replace('_', ' ')} must be a number, found {text[:20]!r}")
        return value

    shares = {area: (amount(area) or 0.0) / 100.0 for area in AREAS}
    total = 100.0 * sum(shares.values())
    if abs(total - 100.0) > 1e-6:
        raise ValueError(f"the shares of the areas must sum to 100 %, found {number(total, 1)}")
    load = given.get(f"{start}load", "none")
    if load not in LOADS:
        raise ValueError("the load must be none, swing or strength")
    name = given[f"{start}name"].strip()
    serves = {area: share for area, share in shares.items() if share}
    half_life = amount("half_life_days")
    return Category(name, serves, amount("minutes_per_100_reps"), load, half_life or MIXED_DAYS)  # type: ignore[arg-type]
