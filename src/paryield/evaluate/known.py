"""What a club knew on a day: tables with everything later left out."""

from __future__ import annotations

import pandas as pd

from paryield.tables import Tables, make_tables

DATED = {
    "rounds": "played_on",
    "holes": "played_on",
    "shots": "played_on",
    "practice": "practised_on",
    "assessments": "assessed_on",
    "strikes": "struck_on",
    "events": "happened_on",
    "programmes": "started_on",
}
"""Day on which a row of a table came to be known."""


def known_tables(tables: Tables, day: pd.Timestamp) -> Tables:
    """Return the tables as they stood at the end of a day.

    Later rows are gone; so are golfers who had not joined and had no row yet, and what was written down
    later about those who had: leaving, a low index, the end and outcome of a programme. Plans, limits and
    the calendar stay: nothing here answers under them.

    Parameters
    ----------
    tables : Tables
    day : Timestamp
    """
    frames = dict(tables.items())
    for name, column in DATED.items():
        frames[name] = frames[name][frames[name][column] <= day]
    golfers = tables.golfers.copy()
    seen = set(frames["rounds"]["golfer_id"]) | set(frames["practice"]["golfer_id"])
    there = (golfers["joined_on"] <= day).fillna(False) | golfers["golfer_id"].isin(seen)
    golfers = golfers[there].copy()
    golfers.loc[golfers["left_on"] > day, "left_on"] = pd.NaT
    late = golfers["low_index_on"] > day
    golfers.loc[late, "low_index"] = float("nan")
    golfers.loc[late, "low_index_on"] = pd.NaT
    frames["golfers"] = golfers
    running = frames["programmes"].copy()
    running.loc[running["ended_on"] > day, "outcome"] = "running"
    running.loc[running["ended_on"] > day, "ended_on"] = pd.NaT
    frames["programmes"] = running
    frames["events"] = frames["events"].assign(
        until=frames["events"]["until"].where(frames["events"]["until"] <= day)
    )
    kept = set(golfers["golfer_id"])
    for name, frame in frames.items():
        if name not in ("golfers", "calendar"):
            frames[name] = frame[frame["golfer_id"].isin(kept)]
    return make_tables(frames, categories=tables.categories, settings=tables.settings)
