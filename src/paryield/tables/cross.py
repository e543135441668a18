"""Checks between tables: references, membership, categories, hours of a day, ceilings of plans."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd

from paryield.arrays import BOOLS, FLOATS, INTS
from paryield.tables.categories import Category
from paryield.tables.frames import Tables
from paryield.tables.loaded import Loaded, with_known
from paryield.tables.nearest import folded, hint
from paryield.tables.plausible import check_plausible
from paryield.tables.schema import MOST_MINUTES_A_DAY, MUCH_MINUTES_A_DAY

ROUND = ("golfer_id", "played_on", "round_no")
DATED = {
    "rounds": "played_on",
    "practice": "practised_on",
    "assessments": "assessed_on",
    "strikes": "struck_on",
    "events": "happened_on",
}


def check_ceilings(
    loaded: Mapping[str, Loaded], categories: tuple[Category, ...], known: Tables | None
) -> None:
    """Note every plan that passes a limit or the golfer's most weekly hours.

    Parameters are those of :func:`paryield.tables.cross.check_between`.
    """
    _plans_keep_to_limits(loaded, categories, known)
    _plans_keep_to_hours(loaded, categories, known)


def filled_minutes(frame: pd.DataFrame, minutes: str, reps: str, categories: tuple[Category, ...]) -> FLOATS:
    """Return minutes, with blanks filled from reps at the category's pace; NaN where neither tells."""
    pace = {category.name: category.minutes_per_100_reps for category in categories}
    per_rep = frame["category"].map(pace).to_numpy(dtype=float, na_value=np.nan) / 100.0
    given = frame[minutes].to_numpy(dtype=float, na_value=np.nan)
    return np.where(np.isnan(given), frame[reps].to_numpy(dtype=float, na_value=np.nan) * per_rep, given)


def _plans_keep_to_limits(
    loaded: Mapping[str, Loaded], categories: tuple[Category, ...], known: Tables | None
) -> None:
    plans, limits = loaded["plans"], with_known(loaded["limits"], known)
    if plans.frame.empty or limits.empty:
        return
    planned = plans.frame.assign(row=np.arange(len(plans.frame)))
    planned["minutes"] = filled_minutes(plans.frame, "minutes_per_week", "reps_per_week", categories)
    pairs = planned.merge(limits, on=["golfer_id", "category"], suffixes=("", "_limit"))
    ends = pairs["ends_on_limit"].fillna(pd.Timestamp.max.as_unit("ns"))
    meet = (pairs["starts_on"] <= ends) & (pairs["ends_on"] >= pairs["starts_on_limit"])
    over = pairs[meet & (pairs["minutes"] > pairs["most_minutes_per_week"])]
    allowed = over.groupby("row")["most_minutes_per_week"].min()
    column = "minutes_per_week"
    plans.flag(
        _mask(len(plans.frame), allowed.index.to_numpy()),
        column,
        lambda row: f"passes the golfer's limit of {allowed[row]:g} minutes a week for this category",
        "plan no more than the limit, or ask whoever set it",
        found=lambda row: f"{planned['minutes'].iloc[row]:g} minutes",
    )


def _plans_keep_to_hours(
    loaded: Mapping[str, Loaded], categories: tuple[Category, ...], known: Tables | None
) -> None:
    plans = loaded["plans"]
    golfers = with_known(loaded["golfers"], known)
    if plans.frame.empty or golfers.empty:
        return
    ceiling = plans.frame["golfer_id"].map(golfers.set_index("golfer_id")["most_weekly_hours"])
    minutes = pd.Series(filled_minutes(plans.frame, "minutes_per_week", "reps_per_week", categories)).fillna(
        0
    )
    total = np.zeros(len(plans.frame))
    for _, rows in plans.frame.groupby(["plan", "golfer_id"]).indices.items():
        part = plans.frame.iloc[rows]
        starts, ends = part["starts_on"].to_numpy(), part["ends_on"].to_numpy()
        running = (starts[None, :] <= starts[:, None]) & (ends[None, :] >= starts[:, None])
        total[rows] = running @ minutes.iloc[rows].to_numpy()
    over = total > 60 * ceiling.to_numpy(dtype=float, na_value=np.nan) + 1e-9
    plans.flag_once(
        over & ~plans.bad,
        ["plan", "golfer_id"],
        "minutes_per_week",
        lambda row: (
            f"the plan takes {total[row] / 60:.1f} hours a week, most_weekly_hours is {ceiling.iloc[row]:g}"
        ),
        "plan fewer minutes, or raise the golfer's most_weekly_hours",
    )


def _mask(length: int, rows: INTS) -> BOOLS:
    mask = np.zeros(length, dtype=bool)
    mask[rows] = True
    return mask


def check_between(
    loaded: Mapping[str, Loaded], categories: tuple[Category, ...], known: Tables | None
) -> None:
    """Note every problem that shows only between tables.

    Parameters
    ----------
    loaded : mapping of str to Loaded
        All tables, in the order of the schema.
    categories : tuple of Category
        The shipped ones and the club's own.
    known : Tables or None
        What the club already holds.
    """
    check_plausible(loaded, known)
    for name, table in loaded.items():
        if table.frame.empty:
            continue
        if name != "golfers":
            _golfer_exists(table, loaded["golfers"], known)
        if name in ("holes", "shots"):
            _round_exists(table, loaded["rounds"], known)
        if name in DATED:
            _membership(table, DATED[name], loaded["golfers"], known)
        if "category" in table.table.names:
            _category_exists(table, categories)
        if name == "practice":
            _hours_of_a_day(table, categories)
    _holes_fit_round(loaded["holes"], loaded["rounds"])
    check_ceilings(loaded, categories, known)


def _golfer_exists(table: Loaded, golfers: Loaded, known: Tables | None) -> None:
    ids = table.frame["golfer_id"]
    present = set(with_known(golfers, known)["golfer_id"])
    missing = (ids.notna() & ~ids.isin(present)).to_numpy()
    holds_golfers = known is not None and not known.golfers.empty
    if not golfers.whole or not (golfers.files or holds_golfers):
        table.bad |= missing
        return
    left_out = ids.isin(golfers.frame["golfer_id"].dropna()).to_numpy() & missing
    table.flag_once(
        left_out,
        ["golfer_id"],
        "golfer_id",
        lambda row: "the golfer's row in golfers has an error",
        "mend that row first",
    )

    alike = {folded(name): name for name in present} if missing.any() else {}

    def message(row: int) -> str:
        near = alike.get(folded(ids.iloc[row]))
        return "the golfer is not in golfers" + (f"; nearest is {near}" if near else "")

    table.flag_once(
        missing & ~left_out, ["golfer_id"], "golfer_id", message, "add the golfer there, or mend the id here"
    )


def _round_exists(table: Loaded, rounds: Loaded, known: Tables | None) -> None:
    present = pd.MultiIndex.from_frame(with_known(rounds, known)[list(ROUND)])
    read = pd.MultiIndex.from_frame(rounds.frame[list(ROUND)])
    wanted = pd.MultiIndex.from_frame(table.frame[list(ROUND)])
    missing = ~wanted.isin(present) & ~table.keyless & ~table.bad
    if not rounds.whole:
        table.bad |= missing
        return
    broken = missing & wanted.isin(read)
    for where, message, remedy in (
        (broken, "the round's row in rounds has an error", "mend that row first"),
        (missing & ~broken, "the round is not in rounds", "add it there, or mend golfer, date and round_no"),
    ):
        table.flag_once(where, ROUND, "played_on", lambda row, text=message: text, remedy)  # type: ignore[misc]


def _membership(table: Loaded, column: str, golfers: Loaded, known: Tables | None) -> None:
    members = with_known(golfers, known).set_index("golfer_id")
    day = table.frame[column]
    ids = table.frame["golfer_id"]
    for bound, word in (("joined_on", "before"), ("left_on", "after")):
        edge = ids.map(members[bound]) if len(members) else day.where(day.isna())
        outside = (day < edge if bound == "joined_on" else day > edge).to_numpy() & ~table.bad
        table.flag_once(
            outside,
            ["golfer_id"],
            column,
            lambda row, word=word, bound=bound, edge=edge: (  # type: ignore[misc]
                f"lies {word} the golfer's {bound} {edge.iloc[row].date()}"
            ),
            "nothing need be done if both are right",
            severity="warning",
        )


def _category_exists(table: Loaded, categories: tuple[Category, ...]) -> None:
    names = [category.name for category in categories]
    given = table.frame["category"]
    near = {name: hint(name, names) for name in given.dropna().unique() if name not in names}
    table.flag(
        given.isin(list(near)),
        "category",
        lambda row: f"there is no such category; {near[given.iloc[row]]}",
        "write one of the names, or add the category to settings.toml",
    )


def _hours_of_a_day(table: Loaded, categories: tuple[Category, ...]) -> None:
    by = ["golfer_id", "practised_on"]
    minutes = pd.Series(filled_minutes(table.frame, "minutes", "reps", categories)).fillna(0.0)
    minutes = minutes.where(~table.bad, 0.0)
    day = minutes.groupby([table.frame[name] for name in by], dropna=False).transform("sum").to_numpy()

    def message(row: int) -> str:
        who, when = table.frame["golfer_id"].iloc[row], table.cell(row, "practised_on")
        return f"{who} practised {day[row] / 60:.1f} hours on {when}"

    remedy = "check that minutes are not seconds, and that no entry stands twice"
    counted = (minutes > 0).to_numpy()
    too_much = counted & (day > MOST_MINUTES_A_DAY)
    much = counted & (day > MUCH_MINUTES_A_DAY) & ~too_much
    table.flag_once(too_much, by, "minutes", lambda row: f"{message(row)}, more than 16", remedy)
    table.flag_once(
        much, by, "minutes", lambda row: f"{message(row)}, more than 8", remedy, severity="warning"
    )


def _holes_fit_round(holes: Loaded, rounds: Loaded) -> None:
    if holes.frame.empty or rounds.frame.empty:
        return
    good = rounds.good
    of_round = holes.frame[list(ROUND)].merge(good[[*ROUND, "holes"]], on=list(ROUND), how="left")
    cards = holes.frame.groupby(list(ROUND), dropna=False)["hole"].transform("nunique").to_numpy(dtype=float)
    played = of_round["holes"].to_numpy(dtype=float, na_value=np.nan)
    holes.flag_once(
        (cards > played) & ~holes.bad,
        ROUND,
        "hole",
        lambda row: f"the round has {played[row]:.0f} holes in rounds, but {cards[row]:.0f} here",
        "check holes in rounds",
    )
