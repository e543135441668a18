"""Checks of one table: alternatives, order of values, sense of a round, keys."""

from __future__ import annotations

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.tables.categories import AREAS
from paryield.tables.loaded import Loaded
from paryield.units import YARDS_PER_UNIT

# Sensible adjusted gross scores by holes played, and the ratings and pars of 18 and of 9 holes that no
# course passes (common practice, no source).
SCORES = {18: (50.0, 200.0), 9: (20.0, 110.0)}
LOWEST_RATING_OF_18, LOWEST_PAR_OF_18, HIGHEST_PAR_OF_9 = 50.0, 54.0, 45.0
LONGEST_SHOT_YARDS = 800.0
MINUTES_THAT_LOOK_LIKE_HOURS = 5.0
LONGEST_CARRY_YARDS = 450.0
LONGEST_PITCH_YARDS = 110.0
LEAST_WIDE_YARDS = 20.0
SHARE_OF_TARGET = (0.5, 1.5)
"""Share of its target that a set of balls carries on the whole; 30 m noted as 30 of 100 ft lies outside."""


def check_table(loaded: Loaded) -> None:
    """Note every problem that one table shows by itself."""
    if loaded.frame.empty:
        return
    _either(loaded)
    for first, second in loaded.table.at_most:
        _at_most(loaded, first, second)
    special = {
        "golfers": _golfers,
        "rounds": _rounds,
        "holes": _holes,
        "shots": _shots,
        "practice": _practice,
        "strikes": _strikes,
        "events": _events,
    }
    if loaded.table.name in special:
        special[loaded.table.name](loaded)
    _keys(loaded)


def _either(loaded: Loaded) -> None:
    table = loaded.table
    if not table.either:
        return
    filled = np.zeros(len(loaded.frame), dtype=bool)
    for group in table.either:
        filled |= loaded.frame[list(group)].notna().all(axis=1).to_numpy()
    if table.waived_by:
        column, words = table.waived_by
        filled |= loaded.frame[column].isin(words).to_numpy(dtype=bool)
    ways = " or ".join(" and ".join(group) for group in table.either)
    remedy = "fill in one of the two"
    if table.waived_by:
        remedy += f", or write {' or '.join(table.waived_by[1])} under {table.waived_by[0]}"
    loaded.flag(~filled & ~loaded.bad, table.either[0][0], f"the row needs {ways}", remedy)


def _at_most(loaded: Loaded, first: str, second: str) -> None:
    if loaded.table.column(first).kind == "date":
        over = (loaded.frame[first] > loaded.frame[second]).to_numpy()
        message = f"lies after {second}"
    else:
        over = loaded.numbers(first) > loaded.numbers(second)
        message = f"is more than {second}"
    loaded.flag(
        over,
        first,
        message,
        f"check {first} and {second}",
        found=lambda row: f"{loaded.cell(row, first)} against {loaded.cell(row, second)}",
    )


def _golfers(loaded: Loaded) -> None:
    loaded.flag(
        loaded.numbers("weekly_hours") > loaded.numbers("most_weekly_hours"),
        "weekly_hours",
        "is more than most_weekly_hours, which no plan passes",
        "check both; plans will keep to most_weekly_hours",
        severity="warning",
    )
    loaded.flag(
        loaded.frame["low_index"].notna() & loaded.frame["low_index_on"].isna(),
        "low_index_on",
        "is blank although low_index is given",
        "write the day on which the low index was reached",
        severity="warning",
    )


def _rounds(loaded: Loaded) -> None:
    holes, score = loaded.numbers("holes"), loaded.numbers("adjusted_gross_score")
    rating, par = loaded.numbers("course_rating"), loaded.numbers("par")
    of_nine = (holes == 18) & ((rating < LOWEST_RATING_OF_18) | (par < LOWEST_PAR_OF_18))
    of_eighteen = (holes == 9) & ((rating >= LOWEST_RATING_OF_18) | (par > HIGHEST_PAR_OF_9))
    for mask, has, fits in ((of_nine, 18, 9), (of_eighteen, 9, 18)):
        by_rating = mask & ~np.isnan(rating)
        for column, where in (("course_rating", by_rating), ("par", mask & ~by_rating)):
            message = f"is that of {fits} holes, but the round has {has}"
            loaded.flag(where, column, message, f"write holes {fits}, or give the {column} of {has} holes")
    for count, (low, high) in SCORES.items():
        outside = (holes == count) & ((score < low) | (score > high)) & ~of_nine & ~of_eighteen
        message = f"must lie between {low:g} and {high:g} for {count} holes"
        remedy = "check the score and the number of holes; leave the score blank when it is unknown"
        loaded.flag(outside, "adjusted_gross_score", message, remedy)
    loaded.flag(
        3 * loaded.numbers("three_putts") > loaded.numbers("putts"),
        "three_putts",
        "is more than the putts allow",
        "check three_putts and putts",
        found=lambda row: f"{loaded.cell(row, 'three_putts')} with {loaded.cell(row, 'putts')} putts",
    )
    gained = loaded.frame[list(AREAS)].notna().any(axis=1) & loaded.frame["baseline"].isna()
    remedy = "write scratch or tour: strokes gained mean nothing without their baseline"
    loaded.flag(gained & ~loaded.bad, "baseline", "is blank although strokes gained are given", remedy)


def _holes(loaded: Loaded) -> None:
    frame = loaded.frame
    card = ["golfer_id", "played_on", "round_no", "stroke_index"]
    twice = frame.duplicated(card) & frame["stroke_index"].notna() & ~loaded.keyless
    remedy = "check the stroke index on the card"
    message = "stands twice in one round"
    loaded.flag(twice, "stroke_index", message, remedy, severity="warning")


def _shots(loaded: Loaded) -> None:
    yards = loaded.numbers("distance") * loaded.frame["distance_unit"].map(YARDS_PER_UNIT).to_numpy(
        dtype=float
    )
    loaded.flag(
        yards > LONGEST_SHOT_YARDS,
        "distance",
        f"is more than {LONGEST_SHOT_YARDS:g} yards",
        "check the distance and its unit",
        found=lambda row: f"{loaded.cell(row, 'distance')} {loaded.cell(row, 'distance_unit')}",
    )


def _practice(loaded: Loaded) -> None:
    idle = loaded.frame["state"].eq("none").to_numpy(dtype=bool, na_value=False)
    minutes, reps = loaded.numbers("minutes"), loaded.numbers("reps")
    busy = idle & ((minutes > 0) | (reps > 0))
    loaded.flag(busy, "state", "is none, but the row has practice", "write done, or take the dose out")
    done = ~loaded.frame["state"].isin(("none", "unknown")).to_numpy(dtype=bool)
    nameless = loaded.frame["category"].isna().to_numpy() & done & ~loaded.keyless
    loaded.flag(nameless, "category", "is blank, but practice that was done needs it", "name the category")
    for number, file in enumerate(loaded.files):
        here = (loaded.file_no == number) & (minutes > 0)
        if here.sum() >= 5 and minutes[here].max() <= MINUTES_THAT_LOOK_LIKE_HOURS:
            first = np.zeros_like(here)
            first[np.flatnonzero(here)[0]] = True
            message = f"no entry of {file} is above {MINUTES_THAT_LOOK_LIKE_HOURS:g}: are these hours?"
            loaded.flag(first, "minutes", message, "give minutes, not hours", severity="warning")


def _strikes(loaded: Loaded) -> None:
    kind = loaded.frame["kind"]
    to_yards = loaded.frame["unit"].map(YARDS_PER_UNIT).to_numpy(dtype=float)
    carry, side, target = (loaded.numbers(name) * to_yards for name in ("carry", "side", "target"))

    def found(row: int) -> str:
        return f"{loaded.cell(row, 'carry')} {loaded.cell(row, 'unit')}"

    too_far = carry > LONGEST_CARRY_YARDS
    remedy = "check the carry and its unit"
    loaded.flag(too_far, "carry", f"is more than {LONGEST_CARRY_YARDS:g} yards", remedy, found=found)
    aimed = kind.isin(("approach", "pitch")).to_numpy(dtype=bool)
    aimless = aimed & ~(target > 0) & ~loaded.bad
    message = "is needed for an approach or a pitch: what the ball was meant to carry"
    loaded.flag(aimless, "target", message, "write the target, or kind tee for a ball without one")
    no_pitch = (kind == "pitch").to_numpy(dtype=bool, na_value=False) & (target > LONGEST_PITCH_YARDS)
    message = f"is more than {LONGEST_PITCH_YARDS:g} yards, no pitch"
    loaded.flag(no_pitch, "target", message, "write kind approach, or check the target")
    wide = (np.abs(side) > np.maximum(carry, LEAST_WIDE_YARDS)) & ~loaded.bad
    message = "lies farther off the line than the ball carried"
    loaded.flag(wide, "side", message, "check side and carry", severity="warning")
    share = np.divide(carry, target, out=np.full(len(carry), np.nan), where=aimed & ~loaded.bad)
    _targets_in_another_unit(loaded, share)


def _targets_in_another_unit(loaded: Loaded, share: FLOATS) -> None:
    """Warn once a golfer, day and target where most balls end far from it; ``share`` of it is carried."""
    by = ["golfer_id", "struck_on", "target", "unit"]
    groups = pd.Series(share).groupby([loaded.frame[name] for name in by], dropna=False)
    middle, count = (groups.transform(how).to_numpy(dtype=float) for how in ("median", "count"))
    low, high = SHARE_OF_TARGET
    far = (count >= 5) & ((middle < low) | (middle > high)) & ~np.isnan(share)
    loaded.flag_once(
        far,
        by,
        "target",
        lambda row: f"the balls carried {middle[row]:.0%} of their target on the whole",
        "check that target and carry stand in the same unit; nothing need be done if they do",
        severity="warning",
    )


def _events(loaded: Loaded) -> None:
    note = loaded.frame["note"].isna() & loaded.frame["kind"].eq("other").fillna(False)
    loaded.flag(
        note.to_numpy(dtype=bool) & ~loaded.bad,
        "note",
        "is blank, so that nobody will know what happened",
        "say in a few words what it was",
        severity="warning",
    )


def _keys(loaded: Loaded) -> None:
    key = list(loaded.table.key)
    frame = loaded.frame
    repeated = frame.duplicated(key).to_numpy() & ~loaded.keyless
    if not repeated.any():
        return
    first_of: dict[tuple[object, ...], int] = {}
    first = np.full(len(frame), -1)
    involved = frame.duplicated(key, keep=False).to_numpy() & ~loaded.keyless
    places = np.flatnonzero(involved)
    for row, values in zip(
        places.tolist(), frame.loc[places, key].astype(object).itertuples(index=False), strict=True
    ):
        words = tuple("" if value is None or value != value else value for value in map(_plain, values))
        first[row] = first_of.setdefault(words, row)
    repeated = involved & (first != np.arange(len(frame)))
    same = np.zeros(len(frame), dtype=bool)
    same[places] = frame.loc[places].duplicated().to_numpy()

    def message(row: int) -> str:
        before = int(first[row])
        place = f"row {loaded.row_no[before]}"
        if loaded.file_no[row] != loaded.file_no[before]:
            place += f" of {loaded.files[loaded.file_no[before]]}"
        return f"the same row as {place}" if same[row] else f"the same key as {place} with other values"

    remedy = "keep one of them"
    number = {"rounds": "round_no", "practice": "entry_no"}.get(loaded.table.name, loaded.table.ordered)
    if number:
        remedy += f", or number them in {number}"
    loaded.flag(
        repeated, None, message, remedy, found=lambda row: ", ".join(loaded.cell(row, name) for name in key)
    )
    loaded.bad[first[repeated & ~same]] = True


def _plain(value: object) -> object:
    return None if value is None or str(value) in ("<NA>", "NaT", "nan") else value
