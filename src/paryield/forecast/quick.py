"""One golfer's forecast from his rows of today, with how far it can be trusted without a new fit."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from paryield.forecast.answer import Forecast, forecast_tables, gate
from paryield.forecast.current import current_fit
from paryield.forecast.standing import strain
from paryield.forecast.weights import MOST_K
from paryield.posterior import Posterior
from paryield.posterior.live import GolferView
from paryield.scoring import differentials

LEAST_DRAWS = 100
"""Draws that the weighted ones must be worth. [judgement]"""


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
