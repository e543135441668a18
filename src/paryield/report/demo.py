"""The demo from end to end: a made-up club, imported, fitted, answered and written as pages."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from paryield import private
from paryield.club import Club
from paryield.errors import InputError
from paryield.report.compiled_ahead import compiled_ahead, evidence
from paryield.synth import make_club
from paryield.synth.demo import demo_spec, write_demo
from paryield.synth.write import TRUTH_FOLDER, write_truth

if TYPE_CHECKING:
    from paryield.forecast import Forecast
    from paryield.plan import Returns


@dataclass(frozen=True)
class Demo:
    """What the demo made: the club file, its pages (the coach's last) and its answers."""

    club: Path
    pages: tuple[Path, ...]
    health: dict[str, Any]
    forecast: Forecast
    returns: Returns

    def to_dict(self) -> dict[str, Any]:
        """Return the record of the ``demo`` command."""
        return {
            "club": str(self.club),
            "reports": [str(page) for page in self.pages],
            "health": self.health,
            "forecast": self.forecast.records,
            "returns": self.returns.records,
        }


def make_demo(out: str | Path, *, progress: bool = False, say: Callable[[str], None] | None = None) -> Demo:
    """Make the demo club in a folder and answer from it.

    A folder that already holds the demo is used again: the import changes nothing, and a run that
    fits these data is not fitted twice.

    Parameters
    ----------
    out : Path
        Folder, made when absent: ``tables/``, ``truth/``, ``club.db`` and ``reports/`` are written
        to it.
    progress : bool
        Draw a progress bar while sampling.
    say : callable, optional
        Receives one line a stage.

    Raises
    ------
    InputError
        When the folder cannot be written.
    """
    folder, tell = Path(out), say or (lambda _line: None)
    tell("making the demo club: 24 golfers, one year")
    try:
        private.make_folder(folder)
    except OSError as error:
        message = f"the folder cannot be made ({error.strerror or error})"
        raise InputError(message, where=str(folder), remedy="choose another with --out") from None
    write_demo(folder / "tables")
    write_truth(make_club(demo_spec()), folder / TRUTH_FOLDER)
    path = folder / "club.db"
    with Club.open(path, create=True) as club:
        club.import_folder(folder / "tables", today=max(date.today(), demo_spec().ends_on))
        if not fitted(club):
            _fit(club, progress=progress, say=say)
        # Only here: what answers takes seconds to load, and the first line is said without it.
        from paryield.forecast import forecast
        from paryield.plan import returns
        from paryield.posterior.current import health
        from paryield.report.write import golfer_views, write_views

        tell("answering and writing the pages")
        sound = health(club)
        anyway = not sound["ok"]
        views, settings = golfer_views(club, anyway=anyway), club.tables().settings
        pages = [
            file
            for audience in ("golfer", "coach")
            for file in write_views(views, audience, settings, folder / "reports")
        ]
        return Demo(path, tuple(pages), sound, forecast(club, anyway=anyway), returns(club, anyway=anyway))


def _fit(club: Club, *, progress: bool, say: Callable[[str], None] | None) -> None:
    """Fit the club; what was never compiled here is compiled in a second process while this one loads."""
    with compiled_ahead() as ahead:
        if say is not None:
            say("fitting; a few minutes")
        from paryield.model.command import fit  # only here: the answers do without the model

        evidence()  # a part that the second process has not come to
        ahead.wait("density")
        fit(club, progress=progress, say=say)


def fitted(club: Club) -> bool:
    """Tell whether the newest run is a full fit of the data that the club holds now."""
    found = club.latest_run()
    return found is not None and not found[1]["quick"] and found[1].get("data") == club.data_fingerprint()
