"""What answers come from: the last sound run with the rows now on record, and whether it is due anew."""

from __future__ import annotations

import warnings
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from paryield.dose.diary import DAYS_PER_WEEK
from paryield.errors import Notice
from paryield.forecast.answer import Forecast, forecast_tables
from paryield.forecast.gate import gate
from paryield.forecast.refreshed import refreshed
from paryield.forecast.weights import MOST_K
from paryield.model.design import as_of_day
from paryield.posterior import Posterior
from paryield.posterior.current import newer_run, stored_fit
from paryield.posterior.live import GolferView, LivePosterior
from paryield.scoring import differentials
from paryield.tables import Tables
from paryield.units import counted

if TYPE_CHECKING:
    from paryield.club import Club

EPOCH = date(1970, 1, 1)
DUE_WEEKS = 26
"""Weeks after which the club's trend, season and gains are worth a new fit whatever came. [judgement]"""
DUE_SHARE = 0.2
"""Share of the rounds on record that the fit has not seen from which a new one is due: the population's own
error falls by a tenth (computed: 1 / sqrt(0.8)). [judgement]"""
DUE_STRAINED = 0.1
"""Share of golfers with weights that cannot be trusted from which the club has moved away from the fit, not
a golfer. [judgement]"""

LEAST_DRAWS = 100
"""Draws that the weighted ones must be worth. [judgement]"""


def as_of_date(tables: Tables) -> date:
    """Return the last day on record: the latest round or practice."""
    return date(1970, 1, 1) + timedelta(days=as_of_day(tables))


def current_fit(club: Club) -> tuple[int, Posterior]:
    """Return number of the run that answers come from, and what it says of the rows now on record.

    That is the newest run that passed its health gate and is no rough fit; where there is none yet, the
    newest.

    Parameters
    ----------
    club : Club
        An open club.

    Raises
    ------
    InputError
        When nothing was fitted yet, or the stored draws do not match their fingerprint.

    Warns
    -----
    Notice
        When a newer run was passed over, or the one that answers is a rough fit.
    """
    number, run = stored_fit(club)
    passed_over = newer_run(club, number)
    if passed_over:
        warnings.warn(f"{club.name}: {passed_over}", Notice, stacklevel=2)
    if run.facts["quick"]:
        warnings.warn(f"{club.name}: run {number} is a rough fit with few draws", Notice, stacklevel=2)
    return number, refreshed(run, club.tables())


@dataclass(frozen=True)
class Standing:
    """A run beside the record as it is now.

    Parameters
    ----------
    run : int
    fitted_to, as_of : date
        Last day that the fit saw, and the last day on record.
    rounds, new_rounds : int
        Rounds on record, and how many more they are than the fit saw.
    moved : int
        Golfers of whom rows came, went or changed since.
    joined : tuple of str
        Golfers whom the fit has not seen.
    strained : tuple of str, optional
        Golfers whose rows now lie too far from what the fit foresaw; None where nobody has looked.
    """

    run: int
    fitted_to: date
    as_of: date
    rounds: int
    new_rounds: int
    moved: int
    joined: tuple[str, ...]
    golfers: int
    strained: tuple[str, ...] | None = None

    @property
    def weeks(self) -> float:
        """Weeks between the last day of the fit and that of the record."""
        return (self.as_of - self.fitted_to).days / DAYS_PER_WEEK

    @property
    def fresh(self) -> bool:
        """Whether nothing that a fit reads has changed since."""
        return self.moved == 0 and self.as_of == self.fitted_to

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why a new fit is due; empty while none is."""
        found = []
        if self.weeks >= DUE_WEEKS:
            found.append(f"the fit is {self.weeks:.0f} weeks old")
        share = self.new_rounds / max(self.rounds, 1)
        if share >= DUE_SHARE:
            found.append(f"{100 * share:.0f} % of the rounds came after it")
        strained = len(self.strained or ())
        if strained >= max(DUE_STRAINED * self.golfers, 1):
            found.append(f"the records of {counted(strained, 'golfer')} have moved away from what it foresaw")
        return tuple(found)

    @property
    def due(self) -> bool:
        """Whether a new fit is due."""
        return bool(self.reasons)

    def to_dict(self) -> dict[str, Any]:
        """Return the record of the ``health`` command."""
        return {
            "fitted_to": self.fitted_to.isoformat(),
            "as_of": self.as_of.isoformat(),
            "weeks_old": round(self.weeks, 1),
            "new_rounds": self.new_rounds,
            "golfers_moved": self.moved,
            "golfers_joined": list(self.joined),
            "golfers_strained": None if self.strained is None else list(self.strained),
            "fit_due": self.due,
            "reasons": list(self.reasons),
        }


def standing(number: int, posterior: Posterior, *, look: bool = False) -> Standing:
    """Return how a run stands beside the record.

    Parameters
    ----------
    number : int
        Of the run.
    posterior : Posterior
        As answers come from it.
    look : bool
        Work out every golfer of whom something is new, to see how far his weights can be trusted.
    """
    facts = posterior.facts
    rounds = int(facts.get("rounds_now", facts.get("rounds", 0)))
    changed: list[str] = facts.get("changed", [])
    seen = set(facts["golfers"])
    strained = None
    if look:
        strained = tuple(golfer for golfer in changed if strain(posterior, golfer) > MOST_K)
    return Standing(
        run=number,
        fitted_to=EPOCH + timedelta(days=int(facts.get("fit_as_of", posterior.as_of))),
        as_of=EPOCH + timedelta(days=posterior.as_of),
        rounds=rounds,
        new_rounds=max(rounds - int(facts.get("rounds", rounds)), 0),
        moved=len(changed),
        joined=tuple(golfer for golfer in changed if golfer not in seen),
        golfers=len(posterior.golfers),
        strained=strained,
    )


def strain(posterior: Posterior, golfer_id: str) -> float:
    """Pareto k of a golfer's weights; minus infinity where his draws are those of the fit."""
    return posterior.of(golfer_id).pareto_k if isinstance(posterior, LivePosterior) else float("-inf")


@dataclass(frozen=True)
class QuickForecast:
    """A golfer's forecast, and whether the rows since the fit can be told without another.

    ``rounds`` came after the fit's last day; ``pareto_k`` says how far the weights can be trusted and
    ``worth`` how many equal draws they are worth.
    """

    golfer_id: str
    run: int
    rounds: int
    pareto_k: float
    worth: int
    forecast: Forecast = field(repr=False)

    @property
    def trusted(self) -> bool:
        """Whether the answer may be given without a fit."""
        return self.pareto_k <= MOST_K and self.worth >= LEAST_DRAWS

    def to_dict(self) -> dict[str, Any]:
        """Return the record of ``refresh --golfer``: how it was reached, and forecasts as in ``forecast``."""
        return {
            "golfer_id": self.golfer_id,
            "run": self.run,
            "rounds": self.rounds,
            "pareto_k": self.pareto_k if np.isfinite(self.pareto_k) else None,
            "draws_worth": self.worth,
            "trusted": self.trusted,
            "forecast": self.forecast.records,
        }


def quick_forecast(club: Any, golfer: str, *, anyway: bool = False) -> QuickForecast:
    """Forecast a golfer from his rows of today, without a fit.

    Parameters
    ----------
    club : Club
    golfer : str
    anyway : bool
        Answer although the run does not pass the health gate.

    Raises
    ------
    InputError
        When nothing was fitted, or the club holds no such golfer.
    NotReportableError
        When the run is not healthy.
    """
    number, posterior = current_fit(club)
    tables = club.tables()
    found = forecast_tables(posterior, tables, golfer=golfer, banner=gate(posterior, anyway))
    played = differentials(tables, golfer=golfer).dropna(subset=["differential"])["played_on"]
    until = np.datetime64(int(posterior.facts.get("fit_as_of", posterior.as_of)), "D")
    later = int((played.to_numpy().astype("datetime64[D]") > until).sum())
    return QuickForecast(golfer, number, later, strain(posterior, golfer), worth(posterior, golfer), found)


def worth(posterior: Posterior, golfer_id: str) -> int:
    """Different draws among those that a golfer is answered from."""
    view = posterior.of(golfer_id)
    if isinstance(view, GolferView) and view.picks is not None:
        return len(np.unique(view.picks))
    return posterior.samples
