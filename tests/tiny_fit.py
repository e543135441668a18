"""The one tiny fit of a test run: a made-up club of 6 golfers and half a year."""

from __future__ import annotations

import os
import shutil
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from paryield.club import Club

TINY = {"chains": 2, "draws": 60, "tune": 120, "seed": 11}
"""Size of the fits in tests: too small for the health gate, large enough to answer from."""
KEPT = os.environ.get("PARYIELD_TINY_FIT")
"""File in which several test runs after one another share the fit."""


def fit_folder(folder: Path, path: Path, **changed: Any) -> Path:
    """Import a folder into a club file and fit it with few draws."""
    from paryield.model.command import fit
    from paryield.model.spec import ModelSpec

    with Club.open(path, create=True) as club:
        club.import_folder(folder, today=date(2026, 7, 5))
        fit(club, spec=ModelSpec(**{**TINY, **changed}))
    return path


def make_fitted(path: Path) -> None:
    """Make the club and its fit, and put them into place when they are whole."""
    from paryield.synth import ClubSpec, make_club, write_club

    with tempfile.TemporaryDirectory() as made:
        place = Path(made)
        write_club(make_club(ClubSpec(golfers=6, weeks=26, seed=3)), place / "tables")
        fit_folder(place / "tables", place / "made.db")
        path.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(place / "made.db", path.with_suffix(".part"))
        path.with_suffix(".part").replace(path)


if __name__ == "__main__":
    if KEPT is None:
        raise SystemExit("PARYIELD_TINY_FIT says where to put the fit")
    make_fitted(Path(KEPT))
