"""What a club's fit has learnt of practice, written for other clubs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from paryield import private
from paryield.club import Club
from paryield.dose.diary import fill_minutes
from paryield.errors import InputError
from paryield.forecast.current import current_fit
from paryield.forecast.gate import gate
from paryield.posterior.learnt import learnt_of
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR


def practice_hours(tables: Tables) -> float:
    """Hours of practice in the diaries."""
    minutes, _ = fill_minutes(tables.practice, {one.name: one for one in tables.categories})
    return float(minutes.sum()) / MINUTES_PER_HOUR


def write_learnt(club: Club, out: Path, *, anyway: bool = False) -> tuple[dict[str, Any], str]:
    """Write what the fit that answers come from has learnt, and return file, golfers, hours and names.

    Parameters
    ----------
    club : Club
    out : Path
        File to write; an older one is replaced.
    anyway : bool
        Although the health gate says no; the answer then comes with a banner.

    Raises
    ------
    InputError
        When the club is too small, or there is nothing to pass on.
    NotReportableError
        When the fit is not healthy.
    """
    _, posterior = current_fit(club)
    banner = gate(posterior, anyway)
    found = learnt_of(posterior, practice_hours(club.tables()), club.name)
    place = out.expanduser()
    try:
        private.write(place, found.to_text())
    except OSError as error:
        reason = f"it cannot be written ({error.strerror})"
        raise InputError(reason, where=str(place), remedy="name a file in a folder that is there") from None
    record: dict[str, Any] = {"file": str(place), "golfers": found.golfers, "hours": round(found.hours, -1)}
    return record | {"names": list(found.names)}, banner
