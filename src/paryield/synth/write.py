"""Write a made-up club: its tables as spreadsheets, and its truth in a folder beside them."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import pandas as pd

from paryield.errors import InputError
from paryield.synth.club import MadeUpClub
from paryield.synth.spec import ClubSpec
from paryield.tables import AREAS
from paryield.tables.write import write_folder

TRUTH_FOLDER = "truth"
HORIZONS = (4, 12, 26)
GAIN_WEEKS = 12


def command_of(spec: ClubSpec) -> str:
    """Return the command that makes the club of a spec."""
    size = f"--golfers {spec.golfers} --weeks {spec.weeks}"
    return f"paryield synth FOLDER {size} --seed {spec.seed} --case {spec.case}"


def write_club(club: MadeUpClub, folder: Path | str, *, comment: str = "") -> list[Path]:
    """Write the tables to a folder and the truth to its subfolder ``truth``.

    Parameters
    ----------
    club : MadeUpClub
        What to write.
    folder : Path
        Made when absent; files of the same names are replaced.
    comment : str
        First line of each table; by default the command that makes the club.

    Returns
    -------
    list of Path
        The files written: the tables, ``truth/truth.json`` and three tables of the truth.

    Raises
    ------
    InputError
        When the folder cannot be written.
    """
    folder = Path(folder)
    comment = comment or f"made-up golfers; made by: {command_of(club.spec)}"
    return [*write_folder(club.tables, folder, comment=comment), *write_truth(club, folder / TRUTH_FOLDER)]


def write_truth(club: MadeUpClub, inside: Path) -> list[Path]:
    """Write the truth of a club to a folder: ``truth.json`` and three tables.

    Raises
    ------
    InputError
        When the folder cannot be written.
    """
    try:
        inside.mkdir(exist_ok=True)
        text = json.dumps(truth_record(club), indent=1, ensure_ascii=False)
        (inside / "truth.json").write_text(text + "\n", encoding="utf-8")
        frames = {"rounds": club.area_strokes, "weeks": weekly_truth(club), "later_rounds": club.future}
        for name, frame in frames.items():
            frame.to_csv(inside / f"{name}.csv", index=False, float_format="%.6g")
    except OSError as error:
        message = f"the truth cannot be written ({error.strerror or error})"
        raise InputError(message, where=str(inside), remedy="choose a folder that can be written") from None
    return [inside / name for name in ("truth.json", *(f"{name}.csv" for name in frames))]


def truth_record(club: MadeUpClub) -> dict[str, object]:
    """Return the truth as plain values: per golfer the level now and ahead, areas and gains; strokes.

    ``gain_per_weekly_hour`` is the gain of one more hour a week after 12 weeks, or as many as were lived.
    """
    spec, truth = club.spec, club.truth
    weeks = min(GAIN_WEEKS, spec.future_weeks - 1)
    gains = {}
    if weeks > 0:
        gains = {name: truth.population_gain(name, 20.0, min(10, weeks)) for name in spec.categories}
    return {
        "spec": asdict(spec) | {"ends_on": spec.ends_on.isoformat(), "starts_on": spec.starts_on.isoformat()},
        "population_gain_per_20_hours": _rounded(gains),
        "golfers": [_golfer(club, golfer_id, weeks) for golfer_id in truth.ids],
    }


def _golfer(club: MadeUpClub, golfer_id: str, weeks: int) -> dict[str, object]:
    spec, truth = club.spec, club.truth
    who = truth.ids.index(golfer_id)
    now = pd.Timestamp(spec.ends_on)
    ahead = [number for number in HORIZONS if number < spec.future_weeks]
    dates = pd.DatetimeIndex([now, *(now + pd.Timedelta(weeks=number) for number in ahead)])
    mean = truth.mean_differential(golfer_id, dates)
    gains = {name: truth.gain(golfer_id, name, weeks) for name in spec.categories} if weeks > 0 else {}
    return {
        "golfer_id": golfer_id,
        "mean_differential": _rounded(dict(zip(map(str, [0, *ahead]), mean, strict=True))),
        "areas": _rounded(dict(zip(AREAS, truth.areas(golfer_id, spec.ends_on), strict=True))),
        "gain_per_weekly_hour": _rounded(gains),
        "habit": _rounded(truth.habit(golfer_id)),
        "round_sd": round(float(truth.roster.noise_sd[who]), 4),
        "programme_gain": round(truth.programme_gain(golfer_id), 4),
    }


def _rounded(values: dict[str, float]) -> dict[str, float]:
    return {name: round(float(value), 4) for name, value in values.items()}


def weekly_truth(club: MadeUpClub) -> pd.DataFrame:
    """Return one row per golfer and week lived since the start of the record.

    Returns
    -------
    DataFrame
        golfer_id, week_starts_on, mean_differential and its areas on that day (strokes), hours of each
        category in the week.
    """
    spec, truth = club.spec, club.truth
    starts = pd.date_range(spec.starts_on, periods=spec.weeks + spec.future_weeks, freq="7D")
    frames = []
    for golfer_id in truth.ids:
        areas = truth.areas_on(golfer_id, starts)
        frame = pd.DataFrame({"golfer_id": golfer_id, "week_starts_on": starts})
        frame["mean_differential"] = areas.sum(axis=1)
        frame[list(AREAS)] = areas
        hours = truth.hours(golfer_id)[:, truth.roster.first :]
        frame[[f"hours_{name}" for name in spec.categories]] = hours.T
        frames.append(frame)
    return pd.concat(frames, ignore_index=True)
