"""Column names, kinds and sensible ranges of every table; they are spelt here only.

Ranges without a source beside them are generous limits of what a golf record can hold (common
practice, no source): a value outside is a slip of the keyboard, not a result.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from paryield.tables.categories import AREAS

Kind = Literal["text", "date", "count", "decimal", "index", "differential", "yes_no", "choice"]

DTYPES: dict[Kind, str] = {
    "text": "string",
    "date": "datetime64[ns]",
    "count": "Int64",
    "decimal": "float64",
    "index": "float64",
    "differential": "float64",
    "yes_no": "boolean",
    "choice": "string",
}
"""pandas dtype of each kind. In ``index`` and ``differential`` "+2.1" is read as the number -2.1; an index
is also written so, a differential with its minus."""

MAXIMUM_INDEX = 54.0
"""Highest Handicap Index, Rule 5.3 (verified: randa.org, The Rules of Handicapping, Rule 5)."""

SLOPE_RANGE = (55.0, 155.0)
"""Lowest and highest slope rating (Rules of Handicapping; from memory)."""

PCC_RANGE = (-1.0, 3.0)
"""Playing conditions calculation, Rule 5.1a, note (verified: usga.org, Rule 5.1)."""

MOST_MINUTES_A_DAY = 16 * 60.0
MUCH_MINUTES_A_DAY = 8 * 60.0
MOST_MINUTES_A_WEEK = 7 * MOST_MINUTES_A_DAY

HIGHEST_RATING = 85.0
"""No course of 18 holes is rated so high (common practice, no source)."""

RATING_HINT = "check it on the card: course rating and slope rating may be swapped"
HOURS_HINT = "give hours in a week, not minutes"
DAY_HINT = "give minutes of one day, at most 960 (16 hours)"
WEEK_HINT = "give minutes in a week, at most 6720 (16 hours a day)"
CARRY_HINT = "give the distance flown in the row's unit, yd or m"
SIDE_HINT = "give the distance off the line in the row's unit, + to the right and - to the left"
SCORE_HINT = "give the adjusted gross score, or leave it blank when it is unknown"

STRIKE_KINDS = ("approach", "tee", "pitch")
EVENT_KINDS = ("lesson", "injury", "illness", "equipment", "swing_change", "other")
HEALTH_KINDS = ("injury", "illness")
"""Events whose note is of a golfer's health: readable by whoever may set limits only."""


@dataclass(frozen=True)
class Column:
    """A column of a table.

    Parameters
    ----------
    name : str
        Name in the header row.
    kind : str
        Key of :data:`DTYPES`.
    low, high : float or None
        Lowest and highest value accepted, inclusive, in the unit of the column.
    choices : tuple of str
        Words accepted, for kind ``choice``.
    default : str or None
        What a blank cell stands for, as it would be written; None when a blank is unknown.
    needed : bool
        Whether a blank cell is an error.
    past : bool
        Whether a date, or a year, after today is an error.
    hint : str
        What to do about a value out of range, where more can be said than to check it.
    """

    name: str
    kind: Kind
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()
    default: str | None = None
    needed: bool = False
    past: bool = False
    hint: str = ""


@dataclass(frozen=True)
class Table:
    """A table: its columns, its key, and the columns that a file must have.

    Parameters
    ----------
    name : str
        Name of the file or sheet.
    columns : tuple of Column
        All columns in the order in which they are written.
    key : tuple of str
        Columns that identify a row.
    required : tuple of str
        Columns that the header must hold.
    either : tuple of tuple of str
        Groups of columns of which a row fills at least one whole group.
    at_most : tuple of (str, str)
        Pairs of columns of which the first may not pass the second.
    waived_by : tuple of (str, tuple of str) or None
        Column and words that lift the duty of ``either`` from a row.
    ordered : str or None
        Column of the key that a blank leaves to the order of the rows: 1, 2, ... within the rest of the key.
    """

    name: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    required: tuple[str, ...]
    either: tuple[tuple[str, ...], ...] = ()
    at_most: tuple[tuple[str, str], ...] = ()
    waived_by: tuple[str, tuple[str, ...]] | None = None
    ordered: str | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """Column names in order."""
        return tuple(column.name for column in self.columns)

    def column(self, name: str) -> Column:
        """Return the column of this name; KeyError when there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)


def _text(*names: str) -> tuple[Column, ...]:
    return tuple(Column(name, "text") for name in names)


def _counts(low: float, high: float, *names: str) -> tuple[Column, ...]:
    return tuple(Column(name, "count", low, high) for name in names)


GOLFER_ID = Column("golfer_id", "text", needed=True)
ROUND_NO = Column("round_no", "count", 1, 20, default="1")
PLAYED_ON = Column("played_on", "date", needed=True, past=True)
CATEGORY = Column("category", "text", needed=True)
HOLE = Column("hole", "count", 1, 18, needed=True)
STARTS_ON = Column("starts_on", "date", needed=True)
ENDS_ON = Column("ends_on", "date", needed=True)
NOTE = Column("note", "text")

GOLFERS = Table(
    "golfers",
    (
        GOLFER_ID,
        Column("display_name", "text"),
        Column("birth_year", "count", 1900, 2100, past=True),
        Column("sex", "text"),
        Column("joined_on", "date"),
        Column("left_on", "date"),
        Column("start_index", "index", -10, MAXIMUM_INDEX),
        Column("low_index", "index", -10, MAXIMUM_INDEX),
        Column("low_index_on", "date", past=True),
        Column("weekly_hours", "decimal", 0, MOST_MINUTES_A_WEEK / 60, hint=HOURS_HINT),
        Column("most_weekly_hours", "decimal", 0, MOST_MINUTES_A_WEEK / 60, hint=HOURS_HINT),
        Column("diary_complete", "yes_no"),
        Column("goal_index", "index", -10, MAXIMUM_INDEX),
        Column("goal_on", "date"),
        *_text("coach", "group"),
    ),
    key=("golfer_id",),
    required=("golfer_id",),
    at_most=(("joined_on", "left_on"),),
)
GOAL = ("goal_index", "goal_on")
"""Columns of a golfer that are his goal."""

ROUNDS = Table(
    "rounds",
    (
        GOLFER_ID,
        PLAYED_ON,
        ROUND_NO,
        Column("score_differential", "differential", -20, 120),
        Column("adjusted_gross_score", "count", 20, 200, hint=SCORE_HINT),
        Column("course_rating", "decimal", 20, HIGHEST_RATING, hint=RATING_HINT),
        Column("slope_rating", "decimal", *SLOPE_RANGE),
        Column("holes", "count", 9, 18, default="18"),
        *_text("course", "tee"),
        Column("par", "count", 27, 80),
        Column("pcc", "decimal", *PCC_RANGE, default="0"),
        Column("counts_for_index", "yes_no", default="yes"),
        Column("competition", "yes_no", default="no"),
        *_counts(0, 18, "greens_hit", "fairways_hit", "fairways_possible"),
        *_counts(0, 100, "putts"),
        *_counts(0, 18, "three_putts", "up_and_downs_made", "up_and_downs_tried"),
        *_counts(0, 40, "sand_saves_made", "sand_saves_tried"),
        *_counts(0, 60, "penalty_strokes"),
        *(Column(area, "decimal", -60, 30) for area in AREAS),
        Column("baseline", "choice", choices=("scratch", "tour")),
    ),
    key=("golfer_id", "played_on", "round_no"),
    required=("golfer_id", "played_on"),
    either=(("score_differential",), ("adjusted_gross_score", "course_rating", "slope_rating")),
    at_most=(
        ("greens_hit", "holes"),
        ("fairways_hit", "fairways_possible"),
        ("fairways_possible", "holes"),
        ("fairways_hit", "holes"),
        ("three_putts", "holes"),
        ("up_and_downs_made", "up_and_downs_tried"),
        ("up_and_downs_tried", "holes"),
        ("sand_saves_made", "sand_saves_tried"),
        ("putts", "adjusted_gross_score"),
    ),
)

HOLES = Table(
    "holes",
    (
        GOLFER_ID,
        PLAYED_ON,
        ROUND_NO,
        HOLE,
        Column("par", "count", 3, 7, needed=True),
        Column("stroke_index", "count", 1, 18),
        Column("strokes", "count", 1, 30),
        *_counts(0, 15, "putts"),
        Column("fairway", "choice", choices=("hit", "missed", "none")),
        *_counts(0, 20, "penalty_strokes"),
    ),
    key=("golfer_id", "played_on", "round_no", "hole"),
    required=("golfer_id", "played_on", "hole", "par", "stroke_index", "strokes"),
    at_most=(("putts", "strokes"), ("penalty_strokes", "strokes")),
)

SHOTS = Table(
    "shots",
    (
        GOLFER_ID,
        PLAYED_ON,
        ROUND_NO,
        HOLE,
        Column("shot_no", "count", 1, 30, needed=True),
        Column(
            "lie", "choice", choices=("tee", "fairway", "rough", "sand", "recovery", "green"), needed=True
        ),
        Column("distance", "decimal", 0, 2400, needed=True),
        Column("distance_unit", "choice", choices=("yd", "m", "ft"), needed=True),
        Column("holed", "yes_no"),
    ),
    key=("golfer_id", "played_on", "round_no", "hole", "shot_no"),
    required=("golfer_id", "played_on", "hole", "shot_no", "lie", "distance", "distance_unit"),
)

PRACTICE = Table(
    "practice",
    (
        GOLFER_ID,
        Column("practised_on", "date", needed=True, past=True),
        Column("category", "text"),
        Column("entry_no", "count", 1, 200, default="1"),
        Column("reps", "count", 0, 5000),
        Column("minutes", "decimal", 0, MOST_MINUTES_A_DAY, hint=DAY_HINT),
        *_counts(0, 5000, "made", "tried"),
        Column("distance_ft", "decimal", 0, 1800),
        Column("schedule", "choice", choices=("blocked", "random")),
        Column("state", "choice", choices=("done", "none", "unknown"), default="done"),
        NOTE,
    ),
    key=("golfer_id", "practised_on", "category", "entry_no"),
    required=("golfer_id", "practised_on", "category"),
    either=(("reps",), ("minutes",)),
    at_most=(("made", "tried"),),
    waived_by=("state", ("none", "unknown")),
)

ASSESSMENTS = Table(
    "assessments",
    (
        GOLFER_ID,
        Column("assessed_on", "date", needed=True, past=True),
        Column("test", "text", needed=True),
        Column("distance_ft", "decimal", 0, 1800),
        *_counts(0, 5000, "tried", "made"),
        Column("value", "decimal"),
        Column("unit", "text"),
        NOTE,
    ),
    key=("golfer_id", "assessed_on", "test", "distance_ft"),
    required=("golfer_id", "assessed_on", "test", "distance_ft"),
    either=(("tried", "made"), ("value", "unit")),
    at_most=(("made", "tried"),),
)

STRIKES = Table(
    "strikes",
    (
        GOLFER_ID,
        Column("struck_on", "date", needed=True, past=True),
        Column("strike_no", "count", 1, 5000),
        Column("kind", "choice", choices=STRIKE_KINDS, needed=True),
        Column("target", "decimal", 0, 500, hint=CARRY_HINT),
        Column("carry", "decimal", 0, 500, needed=True, hint=CARRY_HINT),
        Column("side", "decimal", -300, 300, needed=True, hint=SIDE_HINT),
        Column("unit", "choice", choices=("yd", "m"), needed=True),
        *_text("club", "session"),
        NOTE,
    ),
    key=("golfer_id", "struck_on", "strike_no"),
    required=("golfer_id", "struck_on", "kind", "carry", "side", "unit"),
    ordered="strike_no",
)

PROGRAMMES = Table(
    "programmes",
    (
        GOLFER_ID,
        Column("programme", "text", needed=True),
        Column("started_on", "date", needed=True),
        Column("ended_on", "date"),
        Column("outcome", "choice", choices=("completed", "left", "running")),
    ),
    key=("golfer_id", "programme", "started_on"),
    required=("golfer_id", "programme", "started_on"),
    at_most=(("started_on", "ended_on"),),
)

LIMITS = Table(
    "limits",
    (
        GOLFER_ID,
        CATEGORY,
        STARTS_ON,
        Column("ends_on", "date"),
        Column("most_minutes_per_week", "decimal", 0, MOST_MINUTES_A_WEEK, hint=WEEK_HINT, needed=True),
        Column("set_by", "text"),
        NOTE,
    ),
    key=("golfer_id", "category", "starts_on"),
    required=("golfer_id", "category", "starts_on", "most_minutes_per_week"),
    at_most=(("starts_on", "ends_on"),),
)

PLANS = Table(
    "plans",
    (
        Column("plan", "text", needed=True),
        GOLFER_ID,
        CATEGORY,
        STARTS_ON,
        ENDS_ON,
        Column("reps_per_week", "count", 0, 20000),
        Column("minutes_per_week", "decimal", 0, MOST_MINUTES_A_WEEK, hint=WEEK_HINT),
        NOTE,
    ),
    key=("plan", "golfer_id", "category", "starts_on"),
    required=("plan", "golfer_id", "category", "starts_on", "ends_on"),
    either=(("reps_per_week",), ("minutes_per_week",)),
    at_most=(("starts_on", "ends_on"),),
)

CALENDAR = Table(
    "calendar",
    (
        Column("golfer_id", "text"),
        STARTS_ON,
        ENDS_ON,
        Column("phase", "choice", choices=("off_season", "pre_season", "in_season", "break"), needed=True),
        Column("competition_on", "date"),
    ),
    key=("golfer_id", "starts_on", "ends_on"),
    required=("golfer_id", "starts_on", "ends_on", "phase"),
    at_most=(("starts_on", "ends_on"), ("starts_on", "competition_on"), ("competition_on", "ends_on")),
)

EVENTS = Table(
    "events",
    (
        GOLFER_ID,
        Column("happened_on", "date", needed=True, past=True),
        Column("kind", "choice", choices=EVENT_KINDS, needed=True),
        Column("until", "date"),
        Column("area", "choice", choices=AREAS),
        NOTE,
    ),
    key=("golfer_id", "happened_on", "kind"),
    required=("golfer_id", "happened_on", "kind"),
    at_most=(("happened_on", "until"),),
)

TABLES: dict[str, Table] = {
    table.name: table
    for table in (
        GOLFERS,
        ROUNDS,
        HOLES,
        SHOTS,
        PRACTICE,
        ASSESSMENTS,
        STRIKES,
        PROGRAMMES,
        LIMITS,
        PLANS,
        CALENDAR,
        EVENTS,
    )
}
"""Every table by name, in the order in which they refer to one another."""
