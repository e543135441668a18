"""Results of tests: a row each, or a column a distance."""

from __future__ import annotations

from datetime import date

from paryield.adopt.found import (
    FRACTIONS,
    LEAVE,
    METRES,
    USUAL,
    Found,
    Line,
    Row,
    Settled,
    get,
    number_text,
    text_of,
)
from paryield.adopt.how_far import needs_distance
from paryield.adopt.layout import Layout
from paryield.adopt.sheets import Cell
from paryield.adopt.tested import ASSUMED
from paryield.adopt.tests_named import Named, feet_in, in_feet, is_mean, named_test
from paryield.adopt.values import read_number, read_share

NO_DISTANCE = "kept, but not used to measure putting: no distance"


def wide_tests(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    """Read a row with a column a distance."""
    told = get(line, layout, "test")
    for column, named in layout.spread.items():
        if line.cells[column] is not None and isinstance(named, float):
            since = len(found.rows)
            test = settled.test if told is None else settled.named(text_of(told))
            tried = read_number(get(line, layout, "tried"))
            _test(line, settled, found, place, named, line.cells[column], test, tried)
            found.written(since, (line.golfer, line.top[column], line.cells[column]))


def tests(line: Line, layout: Layout, settled: Settled, found: Found, place: str) -> None:
    """Read a row of one result."""
    bare = get(line, layout, "distance")
    if settled.far is None and read_number(bare) is not None and feet_in(text_of(bare)) is None:
        found.passed_over("it is not settled whether distances are feet or metres", place)
        return
    distance = _far(line, layout, settled)
    test = get(line, layout, "test")
    one = Named(None, None, None) if test is None else named_test(text_of(test), None)
    if distance is None:
        distance = one.feet
    name = settled.named(text_of(test)) if test is not None else settled.test
    if name == LEAVE:
        found.passed_over(f"the test {text_of(test)!r} is left out, as you said", place)
        return
    told = get(line, layout, "tried")
    tried = read_number(told) if told is not None else one.tried
    if (
        tried is None
        and settled.each.get(text_of(test)) == 0
        and read_share(get(line, layout, "made")) is None
    ):
        found.passed_over(f"the test {text_of(test)!r} is left out, as you said", place)
        return
    tried = settled.each.get(text_of(test)) if tried is None else tried
    if isinstance(told, str) and told.endswith(ASSUMED) and settled.usual == USUAL[0]:
        tried = read_number(told.removesuffix(ASSUMED))
    value = read_number(get(line, layout, "value"))
    unit = get(line, layout, "unit")
    if one.unit is not None and unit is None:
        value, unit = read_number(get(line, layout, "made")) if value is None else value, one.unit
    if (
        value is not None
        and unit is not None
        and (layout.column("made") is None or one.unit is not None)
        and line.day is not None
        and name
    ):
        values = {
            "assessed_on": line.day.isoformat(),
            "test": name,
            "value": f"{value:g}",
            "unit": text_of(unit),
        }
        values["distance_ft"] = "" if distance is None else f"{distance:g}"
        found.rows.append(Row("assessments", line.golfer, values, place))
        return
    made = get(line, layout, "made")
    _test(line, settled, found, place, distance, made, name, tried, text_of(test))


def _far(line: Line, layout: Layout, settled: Settled) -> float | None:
    """Return the feet of the column of distances: a unit in the cell holds, else that of the heading."""
    for name in ("distance_m", "distance_ft", "distance"):
        cell = get(line, layout, name)
        if isinstance(cell, str) and (feet := feet_in(cell)) is not None:
            return feet
        if (number := read_number(cell)) is not None:
            metres = name == "distance_m" or (name == "distance" and settled.far == METRES)
            return in_feet(number) if metres else number
    return None


def _test(
    line: Line,
    settled: Settled,
    found: Found,
    place: str,
    distance: float | None,
    cell: Cell,
    test: str | None,
    tried: float | None = None,
    heading: str = "",
) -> None:
    share = read_share(cell) or as_share(cell, settled.fraction)
    made, of = share or (read_number(cell), tried if tried is not None else settled.tried)
    if line.day is None:
        found.passed_over("there is no date", place)
    elif share is None and is_mean(heading):
        why = f"{heading[:40]!r} is a mean, which tests have no place for; count balls within a distance"
        found.passed_over(why, place)
    elif made is None and isinstance(cell, date):
        found.passed_over("a spreadsheet made a date of a result", place)
    elif made is None:
        said = f": {text_of(cell)[:20]!r}" if any(map(str.isdigit, text_of(cell))) else ""
        found.passed_over(f"a result cannot be read{said}", place)
    elif of is None or not test:
        found.passed_over("it is not settled how many were tried, or in which test", place)
    elif made > of:
        found.passed_over("more were made than tried", place)
    else:
        values = {
            "assessed_on": line.day.isoformat(),
            "test": test,
            "made": number_text(made),
            "tried": number_text(of),
        }
        if distance is None and needs_distance(test):
            distance = settled.far_of(heading or test.replace("_", " "))
            if distance is None:
                found.measures_nothing(NO_DISTANCE, place)
        values["distance_ft"] = "" if distance is None else f"{distance:g}"
        found.rows.append(Row("assessments", line.golfer, values, place))


def as_share(cell: Cell, said: str | None) -> tuple[int, int] | None:
    """Return made and tried of a result that a spreadsheet made a date of, as was said of such dates."""
    if not isinstance(cell, date) or said not in FRACTIONS[:2]:
        return None
    made, tried = (cell.day, cell.month) if said == FRACTIONS[0] else (cell.month, cell.day)
    return (made, tried) if made <= tried else None
