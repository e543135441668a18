"""The tables that pages and figures read, checked for their columns and put in one shape."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import pandas as pd

from paryield.errors import InputError
from paryield.results import flat_record
from paryield.tables.categories import PHANTOM

Rows = pd.DataFrame | Iterable[dict[str, Any]]
"""A table, or the records of an answer."""

RETURN = "strokes_per_weekly_hour"
EVIDENCE = ("measured", "part measured", "assumed")
VERDICTS = ("stands out", "does not stand out")
QUANTITIES = ("mean_differential", "score_differential", "handicap_index")
BANDS = ("q025", "q10", "q25", "q50", "q75", "q90", "q975")

ROUND_COLUMNS = ("played_on", "differential", "index_after")
FORECAST_COLUMNS = ("golfer_id", "on", "weeks", "quantity", *BANDS)
AREA_VERDICTS = ("loses more", "loses less", "about the same", "cannot tell yet")
AREA_SPREADS = ("lost", "same_index", "against_same_index", "at_goal", "against_goal")
AREA_COUNTS = ("rounds_shots", "rounds_stats", "rounds_score_only", "tests")
AREA_COLUMNS = (
    *("area", "goal", "evidence", "verdict", *AREA_COUNTS),
    *(f"{name}_{band}" for name in AREA_SPREADS for band in BANDS),
)
RETURN_COLUMNS = ("golfer_id", "category", "weeks", "hours_now", "chance_best", "evidence", "verdict", *BANDS)


def rounds_frame(rounds: pd.DataFrame) -> pd.DataFrame:
    """Return the rounds in order of play, one row a round.

    Parameters
    ----------
    rounds : DataFrame
        ``played_on``, ``differential`` (strokes), ``index_after`` (blank below the minimum of scores);
        ``counts``, whether the index of today averages it, no where it is absent.

    Raises
    ------
    InputError
        When a column is missing.
    """
    frame = _required(rounds, ROUND_COLUMNS, "rounds")
    counts = frame["counts"].astype(bool) if "counts" in frame else False
    frame = frame.assign(played_on=pd.to_datetime(frame["played_on"]), counts=counts)
    return _floats(frame, ("differential", "index_after")).sort_values("played_on", kind="stable")


def forecast_frame(forecast: Rows) -> pd.DataFrame:
    """Return the forecast records by quantity and weeks ahead, with ``reportable`` and ``reason`` filled.

    Raises
    ------
    InputError
        When a column is missing or a quantity is unknown.
    """
    frame = _required(pd.DataFrame(forecast), FORECAST_COLUMNS, "forecast")
    _known(frame["quantity"], QUANTITIES, "forecast")
    frame = _floats(frame, BANDS)
    given = frame["q50"].notna()
    reportable = given & frame["reportable"].eq(True) if "reportable" in frame else given
    frame = frame.assign(
        on=pd.to_datetime(frame["on"]), reportable=reportable.astype(bool), reason=frame.get("reason")
    )
    return frame.sort_values(["quantity", "weeks"], kind="stable")


def returns_frame(returns: Rows) -> pd.DataFrame:
    """Return one row a category with the quantiles as columns (strokes saved a round per weekly hour).

    Records that hold the quantiles as one object under ``strokes_per_weekly_hour`` are spread out.

    Raises
    ------
    InputError
        When a column is missing, or an evidence word or a verdict is unknown.
    """
    frame = pd.DataFrame(returns)
    if RETURN in frame:
        spread = pd.DataFrame([value or {} for value in frame[RETURN]], index=frame.index)
        absent = [band for band in BANDS if band not in spread]
        frame = frame.drop(columns=RETURN).join(spread.assign(**dict.fromkeys(absent, float("nan"))))
    frame = _floats(_required(frame, RETURN_COLUMNS, "returns"), BANDS)
    said = practice_rows(frame)
    _known(said["evidence"], EVIDENCE, "returns")
    _known(said["verdict"], VERDICTS, "returns")
    return frame


def areas_frame(areas: Rows) -> pd.DataFrame:
    """Return one row a scoring area, most strokes beyond golfers of the same index first.

    Records hold the quantiles as objects; they are spread out as ``lost_q50``, ``against_goal_q10`` and so
    on. Without a goal those of the goal are blank.

    Raises
    ------
    InputError
        When a column is missing, or an evidence word or a verdict is unknown.
    """
    given = areas.to_dict("records") if isinstance(areas, pd.DataFrame) else areas
    flat = [flat_record({str(name): value for name, value in record.items()}) for record in given]
    frame = _required(pd.DataFrame(flat), AREA_COLUMNS, "areas")
    _known(frame["evidence"], EVIDENCE, "areas")
    _known(frame["verdict"], AREA_VERDICTS, "areas")
    numbers = tuple(f"{name}_{band}" for name in AREA_SPREADS for band in BANDS)
    frame = _floats(frame, numbers)
    return frame.sort_values(["against_same_index_q50", "area"], ascending=[False, True], kind="stable")


def records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the rows as plain dictionaries."""
    return [{str(key): value for key, value in row.items()} for row in frame.to_dict("records")]


def practice_rows(returns: pd.DataFrame) -> pd.DataFrame:
    """Return the rows of real categories that have a number, largest middle value first."""
    rows = returns[(returns["category"] != PHANTOM) & returns["q50"].notna()]
    return rows.sort_values(["q50", "category"], ascending=[False, True], kind="stable")


def noise_row(returns: pd.DataFrame) -> dict[str, Any] | None:
    """Return the noise-floor row, or None when the fit had none."""
    rows = records(returns[(returns["category"] == PHANTOM) & returns["q50"].notna()])
    return rows[0] if rows else None


def forecast_row(forecast: pd.DataFrame, quantity: str, weeks: int) -> dict[str, Any] | None:
    """Return the forecast of one quantity a number of weeks on, or None when it was not asked for."""
    rows = records(forecast[(forecast["quantity"] == quantity) & (forecast["weeks"] == weeks)])
    return rows[0] if rows else None


def _floats(frame: pd.DataFrame, columns: tuple[str, ...]) -> pd.DataFrame:
    return frame.assign(**{column: frame[column].astype("float64") for column in columns})


def _known(column: pd.Series, words: tuple[str, ...], name: str) -> None:
    unknown = sorted({str(value) for value in column if value not in words})
    if unknown:
        raise InputError(
            f"unknown {column.name} {', '.join(unknown)}", where=name, remedy=f"use {', '.join(words)}"
        )


def _required(frame: pd.DataFrame, columns: tuple[str, ...], name: str) -> pd.DataFrame:
    if frame.empty and not len(frame.columns):
        frame = pd.DataFrame({column: pd.Series(dtype=object) for column in columns})
    absent = [column for column in columns if column not in frame]
    if absent:
        raise InputError(
            f"column {', '.join(absent)} is missing",
            where=name,
            remedy=f"columns needed: {', '.join(columns)}",
        )
    return frame.copy()
