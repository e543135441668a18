"""The forms of the page Log: which columns each one asks for, and how it asks."""

from __future__ import annotations

from dataclasses import dataclass

from paryield.adopt.values import read_minutes
from paryield.tables import TABLES
from paryield.tables.schema import Column


def minutes_typed(text: str) -> str:
    """Return minutes as a number where they were typed with a unit, such as 1 h 15; else the text."""
    if text.replace(".", "").replace(",", "").isdecimal():
        return text
    minutes = read_minutes(text)
    return text if minutes is None else f"{minutes:g}"


@dataclass(frozen=True)
class Form:
    """One form.

    Parameters
    ----------
    kind, title : str
        Its name in URLs, and what the reader sees.
    table : str
        Table that a row goes to.
    day : str
        Column of the day.
    first, more : tuple of str
        Columns that stand open, and those behind a fold.
    hint : str
        One line above the form.
    """

    kind: str
    title: str
    table: str
    day: str
    first: tuple[str, ...]
    more: tuple[str, ...]
    hint: str

    def __post_init__(self) -> None:
        unknown = set(self.columns) - set(TABLES[self.table].names)
        if unknown:
            raise ValueError(f"the form {self.kind} asks for unknown columns {sorted(unknown)}")

    @property
    def columns(self) -> tuple[str, ...]:
        """Columns asked for, but for golfer and day."""
        return self.first + self.more

    def column(self, name: str) -> Column:
        """Return the schema of a column."""
        return TABLES[self.table].column(name)


FORMS: dict[str, Form] = {
    form.kind: form
    for form in (
        Form(
            "round",
            "A round",
            "rounds",
            "played_on",
            ("course", "adjusted_gross_score", "course_rating", "slope_rating", "score_differential"),
            (
                "tee",
                "holes",
                "par",
                "pcc",
                "competition",
                "counts_for_index",
                "greens_hit",
                "fairways_hit",
                "fairways_possible",
                "putts",
                "three_putts",
                "up_and_downs_made",
                "up_and_downs_tried",
                "sand_saves_made",
                "sand_saves_tried",
                "penalty_strokes",
            ),
            "Give adjusted gross score, course rating and slope rating, or the score differential alone; or "
            "the score of each hole. Leave blank what is unknown; 0 means none.",
        ),
        Form(
            "practice",
            "A practice session",
            "practice",
            "practised_on",
            ("category", "minutes", "reps"),
            ("made", "tried", "distance_ft", "schedule", "note"),
            "Minutes or balls, either will do.",
        ),
        Form(
            "assessment",
            "A test",
            "assessments",
            "assessed_on",
            ("test", "distance_ft", "tried", "made"),
            ("value", "unit", "note"),
            "Tried and made, or a value with its unit.",
        ),
        Form(
            "event",
            "An event",
            "events",
            "happened_on",
            ("kind", "until", "area", "note"),
            (),
            "What happened beside rounds and practice. The note of an injury or illness is read by those who "
            "may set limits, and by nobody else.",
        ),
    )
}
