"""Values that read well and cannot be, or hardly: scores in the wrong column, ids that look alike, years."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.tables.frames import Tables
from paryield.tables.loaded import Loaded, with_known
from paryield.tables.schema import PCC_RANGE

STANDARD_SLOPE = 113.0
"""Slope rating of a course of standard difficulty (Rules of Handicapping, Rule 5.1a; from memory)."""

LARGE_DIFFERENTIAL = 60.0
"""Above it a differential is rather a gross score: the highest index is 54. [judgement]"""
FEW = 5
"""Whole numbers in a row that are no chance: one differential in ten is one."""

ROUNDED, REDUCED = 0.15, 2.0
"""A differential is given to a tenth, and may have been lowered by up to 2.0 for an exceptional score (Rules
of Handicapping, Rules 5.1 and 5.9; from memory)."""

HIGH_RATING = 80.0
"""Hardly a course of 18 holes is rated higher (common practice, no source)."""

YOUNGEST = 4
LONG_PAST_DAYS = 365


def check_plausible(loaded: Mapping[str, Loaded], known: Tables | None) -> None:
    """Note values that cannot be as errors, and unlikely ones as warnings."""
    rounds, golfers = loaded["rounds"], loaded["golfers"]
    if not golfers.frame.empty:
        _ids_alike(golfers, known)
    if not rounds.frame.empty:
        _gross_as_differential(rounds)
        _contradicts_score(rounds)
        _rating_and_slope(rounds)
        _before_birth(rounds, golfers, known)
        _played_twice(rounds, known)
    if not golfers.frame.empty:
        _goals_long_past(golfers, rounds, known)


def looks_like(name: str) -> str:
    """Return an id as the eye takes it: one form of a letter, no capitals, blanks or signs without width."""
    shown = (
        one for one in unicodedata.normalize("NFKC", name).casefold() if unicodedata.category(one) != "Cf"
    )
    return "".join("".join(shown).split())


def _ids_alike(golfers: Loaded, known: Tables | None) -> None:
    ids = golfers.frame["golfer_id"]
    seen: dict[str, str] = {}
    if known is not None:
        seen = {looks_like(str(one)): str(one) for one in known.golfers["golfer_id"]}
    other: dict[int, str] = {}
    for row, name in enumerate(ids):
        if not pd.isna(name):
            first = seen.setdefault(looks_like(str(name)), str(name))
            if first != name:
                other[row] = first
    mask = np.zeros(len(ids), dtype=bool)
    mask[list(other)] = True
    golfers.flag(
        mask,
        "golfer_id",
        lambda row: (
            f"looks like the id {other[row]!r}, which differs in capitals, blanks or hidden signs only"
        ),
        "use one id for one golfer, and ids that can be told apart for two",
        found=lambda row: ascii(ids.iloc[row])[1:-1],
    )


def _gross_as_differential(rounds: Loaded) -> None:
    given = rounds.numbers("score_differential")
    large = given > LARGE_DIFFERENTIAL
    whole = np.equal(given, np.round(given))
    sure = np.zeros(len(given), dtype=bool)
    for number in range(len(rounds.files)):
        here = (rounds.file_no == number) & ~np.isnan(given)
        if here.sum() >= FEW and np.all(large[here] & whole[here]):
            sure |= here
    rounds.flag_once(
        sure,
        [],
        "score_differential",
        lambda _: f"every value is whole and above {LARGE_DIFFERENTIAL:g}: these are gross scores",
        "move them to adjusted_gross_score, and give course_rating and slope_rating",
    )
    rounds.flag(
        large & ~sure,
        "score_differential",
        f"is above {LARGE_DIFFERENTIAL:g}: is it a gross score?",
        "check the column; nothing need be done if it is right",
        severity="warning",
    )


def _contradicts_score(rounds: Loaded) -> None:
    given, slope = rounds.numbers("score_differential"), rounds.numbers("slope_rating")
    over = rounds.numbers("adjusted_gross_score") - rounds.numbers("course_rating")
    per_stroke = STANDARD_SLOPE / slope
    computed = (over - rounds.numbers("pcc")) * per_stroke
    lowest = (over - PCC_RANGE[1]) * per_stroke - REDUCED - ROUNDED
    highest = (over - PCC_RANGE[0]) * per_stroke + ROUNDED
    of_18 = (rounds.numbers("holes") == 18) & ~np.isnan(given) & ~np.isnan(computed) & ~rounds.bad
    cannot = of_18 & ((given < lowest) | (given > highest))
    unlike = of_18 & ~cannot & (np.abs(given - computed) > ROUNDED)

    def message(row: int) -> str:
        return f"contradicts the score beside it, which gives {computed[row]:.1f}"

    remedy = "check score, course_rating, slope_rating and pcc, or leave the differential blank"
    rounds.flag(cannot, "score_differential", message, remedy)
    rounds.flag(unlike, "score_differential", message, remedy, severity="warning")


def _played_twice(rounds: Loaded, known: Tables | None) -> None:
    """Ask about rounds of one golfer and day with one score on one course."""
    by, scores = ["golfer_id", "played_on", "course"], ("adjusted_gross_score", "score_differential")
    held = with_known(rounds, known)[[*by, "round_no", *scores]].fillna({"course": ""})
    mine = rounds.frame[[*by, *scores]].fillna({"course": ""})
    first = {}
    for score in scores:
        scored = held[held[score].notna()]
        first[score] = scored.groupby([*by, score])["round_no"].min()
    earlier = np.zeros(len(rounds.frame), dtype=np.int64)
    for score, lowest in first.items():
        keys = pd.MultiIndex.from_frame(mine[[*by, score]])
        found = lowest.reindex(keys).to_numpy(dtype=float, na_value=np.nan)
        number = rounds.numbers("round_no")
        earlier = np.where(~np.isnan(found) & (found < number) & ~rounds.bad, found, earlier).astype(np.int64)
    rounds.flag(
        earlier > 0,
        "round_no",
        lambda row: f"round {earlier[row]} of that golfer and day has the same score: is it the same round?",
        "take one of the two out; nothing need be done if both were played",
        severity="warning",
    )


def _rating_and_slope(rounds: Loaded) -> None:
    rating, slope = rounds.numbers("course_rating"), rounds.numbers("slope_rating")
    of_18 = rounds.numbers("holes") == 18
    swapped = of_18 & (rating > slope)
    by = ["course", "course_rating", "slope_rating"]
    rounds.flag_once(
        swapped,
        by,
        "course_rating",
        lambda row: f"is above the slope rating {slope[row]:g}: are the two swapped?",
        "check both on the card",
        severity="warning",
    )
    rounds.flag_once(
        of_18 & (rating > HIGH_RATING) & ~swapped,
        by,
        "course_rating",
        lambda _: f"is above {HIGH_RATING:g}, which hardly a course is",
        "check it on the card",
        severity="warning",
    )


def _before_birth(rounds: Loaded, golfers: Loaded, known: Tables | None) -> None:
    people = with_known(golfers, known).drop_duplicates("golfer_id").set_index("golfer_id")
    if people.empty:
        return
    born = rounds.frame["golfer_id"].map(people["birth_year"]).to_numpy(dtype=float, na_value=np.nan)
    year = rounds.frame["played_on"].dt.year.to_numpy(dtype=float)
    unborn = (year < born) & ~rounds.bad

    def message(row: int) -> str:
        return f"lies before the golfer's birth_year {born[row]:.0f}"

    remedy = "check the date here and birth_year in golfers"
    rounds.flag_once(unborn, ["golfer_id"], "played_on", message, remedy)
    rounds.flag_once(
        (year - born < YOUNGEST) & ~unborn & ~rounds.bad,
        ["golfer_id"],
        "played_on",
        lambda row: f"the golfer was {year[row] - born[row]:.0f} years old by birth_year {born[row]:.0f}",
        remedy,
        severity="warning",
    )


def _goals_long_past(golfers: Loaded, rounds: Loaded, known: Tables | None) -> None:
    last = with_known(rounds, known)["played_on"].max()
    if pd.isna(last):
        return
    days: FLOATS = (last - golfers.frame["goal_on"]).dt.days.to_numpy(dtype=float)
    golfers.flag(
        days > LONG_PAST_DAYS,
        "goal_on",
        f"lies more than a year before the last round ({last.date()})",
        "give the goal a day to come, or leave both blank",
        severity="warning",
    )
