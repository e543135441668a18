"""How old the fit behind an answer is, and whether a new one is due."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from paryield.dose.diary import DAYS_PER_WEEK
from paryield.forecast.weights import MOST_K
from paryield.posterior import Posterior
from paryield.posterior.live import LivePosterior
from paryield.units import counted

EPOCH = date(1970, 1, 1)
DUE_WEEKS = 26
"""Weeks after which the club's trend, season and gains are worth a new fit whatever came. [judgement]"""
DUE_SHARE = 0.2
"""Share of the rounds on record that the fit has not seen from which a new one is due: the population's own
error falls by a tenth (computed: 1 / sqrt(0.8)). [judgement]"""
DUE_STRAINED = 0.1
"""Share of golfers with weights that cannot be trusted from which the club has moved away from the fit, not
a golfer. [judgement]"""


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
