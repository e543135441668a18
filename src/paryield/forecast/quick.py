"""One golfer's forecast after new rounds, without a fit where that can be trusted."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

import numpy as np

from paryield.forecast.answer import DEFAULT_WEEKS, QUANTITIES, Ahead, gate, look_ahead
from paryield.forecast.pace import club_paces
from paryield.forecast.update import Update, update_golfer
from paryield.posterior import Posterior
from paryield.results import QUANTILES, summary
from paryield.scoring import IndexState, handicap_records, index_state
from paryield.tables import Tables


@dataclass(frozen=True)
class QuickForecast:
    """A golfer's forecast from weighted draws, or why it takes a fit."""

    golfer_id: str
    run: int
    update: Update = field(repr=False)
    ahead: Ahead = field(repr=False)
    banner: str = ""

    @property
    def trusted(self) -> bool:
        """Whether the weights can be trusted."""
        return self.update.trusted

    def to_dict(self) -> dict[str, Any]:
        """Return the record of ``refresh --golfer``: how it was reached, and forecasts as in ``forecast``."""
        k = self.update.pareto_k
        return {
            "golfer_id": self.golfer_id,
            "run": self.run,
            "rounds": self.update.rounds,
            "pareto_k": k if np.isfinite(k) else None,
            "draws_worth": self.update.worth,
            "trusted": self.trusted,
            "forecast": self._records(),
        }

    def _records(self) -> list[dict[str, Any]]:
        start = date(1970, 1, 1) + timedelta(days=self.update.golfer.as_of)
        out = []
        for place, day in enumerate(self.ahead.days):
            for quantity, draws in zip(
                QUANTITIES, (self.ahead.mean, self.ahead.one_round, self.ahead.index), strict=True
            ):
                sample = draws[:, place]
                told = not np.isnan(sample).any()
                shown = summary(sample) if told else {**dict.fromkeys(QUANTILES), "mean": None}
                record: dict[str, Any] = {"golfer_id": self.golfer_id, "as_of": start.isoformat()}
                record |= {"on": (start + timedelta(days=int(day))).isoformat(), "weeks": int(day) // 7}
                out.append({**record, "quantity": quantity, "reportable": told, **shown})
        return out


def quick_forecast(club: Any, golfer: str, *, anyway: bool = False) -> QuickForecast:
    """Take up a golfer's rounds since the last run and forecast from there, without a fit.

    Parameters
    ----------
    club : Club
    golfer : str
    anyway : bool
        Answer although the run does not pass the health gate.

    Raises
    ------
    InputError
        When nothing was fitted, or the fit does not know the golfer.
    NotReportableError
        When the run is not healthy.
    """
    from paryield.posterior.current import stored_fit

    number, posterior = stored_fit(club)
    banner = gate(posterior, anyway)
    return quick_tables(posterior, club.tables(), golfer, number, banner)


def quick_tables(
    posterior: Posterior, tables: Tables, golfer: str, run: int = 0, banner: str = ""
) -> QuickForecast:
    """Forecast from a fit and tables; see :func:`quick_forecast`."""
    seed = int(posterior.facts["seed"])
    update = update_golfer(posterior, tables, golfer, seed)
    mine = {name: getattr(tables, name) for name in ("rounds", "holes")}
    own = replace(tables, **{name: frame[frame["golfer_id"] == golfer] for name, frame in mine.items()})
    record = handicap_records(own).get(golfer)
    state = index_state(record) if record is not None else IndexState()
    pace = club_paces(tables, posterior.golfers, update.golfer.as_of)[golfer]
    days = 7.0 * np.array(DEFAULT_WEEKS)
    place = posterior.golfer_number(golfer)
    ahead = look_ahead(update.golfer, state, days, update.golfer.recent, pace, [seed, place])
    return QuickForecast(golfer, run, update, ahead, banner)
