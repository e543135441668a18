"""What a golfer's last change came from, as records."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast import gate
from paryield.forecast.past import PARTS
from paryield.forecast.split import Change, SplitDraws, split_draws
from paryield.model.terms import TERMS
from paryield.model.terms.drift import come
from paryield.plan.evidence import GainEvidence, gain_evidence
from paryield.posterior import Posterior
from paryield.posterior.evidence import evidence_word, removed
from paryield.results import summary
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

DEFAULT_DAYS = 42
"""A review looks back four to six weeks (common practice, no source)."""
EPOCH = date(1970, 1, 1).toordinal()
QUANTITIES = ("mean_differential", "observed_mean")


@dataclass(frozen=True)
class Split:
    """Records of one golfer's split, with the draws behind them."""

    records: list[dict[str, Any]]
    draws: SplitDraws = field(repr=False)
    banner: str = ""
    notes: tuple[str, ...] = ()

    def to_frame(self) -> pd.DataFrame:
        """One row per part; quantiles as columns."""
        flat = [
            {**{k: v for k, v in record.items() if k != "change"}, **record["change"]}
            for record in self.records
        ]
        return pd.DataFrame.from_records(flat)


def split(
    club: Any,
    golfer: str,
    since: date | None = None,
    until: date | None = None,
    anyway: bool = False,
) -> Split:
    """Say what a golfer's change between two days came from.

    Parameters
    ----------
    club : Club
    golfer : str
    since, until : date, optional
        The period; default the six weeks up to the last day of the data, less for a newer golfer.
    anyway : bool
        Answer although the health gate says no; the answer carries a banner.

    Raises
    ------
    InputError
        For an unknown golfer or a period outside his record.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    banner = gate(posterior, anyway)
    return split_fit(posterior, club.tables(), golfer, since=since, until=until, banner=banner)


def split_fit(
    posterior: Posterior,
    tables: Tables,
    golfer: str,
    *,
    since: date | None = None,
    until: date | None = None,
    banner: str = "",
) -> Split:
    """Split from a fit and tables; see :func:`split`."""
    if golfer not in posterior.golfers:
        raise InputError(
            f"the fit knows no golfer {golfer!r}",
            where="--golfer",
            remedy="use an id of the golfers table, or fit again if the golfer is new",
        )
    start = int(posterior.constant("starts")[posterior.golfer_number(golfer)])
    last = posterior.as_of if until is None else until.toordinal() - EPOCH
    first = (
        max(min(last, posterior.as_of) - DEFAULT_DAYS, start) if since is None else since.toordinal() - EPOCH
    )
    found = split_draws(posterior, tables, golfer, first, last)
    records = _records(posterior, golfer, first, last, found)
    if banner:
        records = [{**record, "reason": banner} for record in records]
    return Split(records, found, banner, tuple(_notes(first, last, found)))


def _notes(first: int, last: int, found: SplitDraws) -> list[str]:
    notes = []
    if found.rounds is None:
        notes.append(
            f"the rounds themselves are not split: {found.before} in the {last - first} days before the "
            f"period and {found.after} in it; both need at least one"
        )
    if found.filled_days:
        notes.append(
            f"practice on {found.filled_days} of {last - first} days is not in the diary and was filled in "
            "from the golfer's habit"
        )
    return notes


def _records(
    posterior: Posterior, golfer: str, first: int, last: int, found: SplitDraws
) -> list[dict[str, Any]]:
    words = Words(posterior, posterior.golfer_number(golfer), first, last, found)
    period = {"from": date.fromordinal(first + EPOCH).isoformat()}
    period["to"] = date.fromordinal(last + EPOCH).isoformat()
    return [
        {"golfer_id": golfer, **period, "quantity": quantity, "part": part, "category": category}
        | {"change": summary(draws), "chance_fell": float(np.mean(draws < 0.0))}
        | {"evidence": words.of(quantity, part, category, draws)}
        | {"rounds_before": found.before, "rounds_after": found.after}
        for quantity, change in zip(QUANTITIES, (found.level, found.rounds), strict=True)
        if change is not None
        for part, category, draws in named_parts(posterior, change)
    ]


def named_parts(posterior: Posterior, change: Change) -> list[tuple[str, str | None, FLOATS]]:
    """Name, category and draws of every part, the whole first and all practice before its categories.

    A part that cannot be (joining, for a golfer who did not join in the record) is left out.
    """
    rows: list[tuple[str, str | None, FLOATS]] = [("whole", None, change.whole)]
    if posterior.categories:
        rows.append(("practice", None, change.practice.sum(axis=1)))
    rows += [("practice", name, change.practice[:, j]) for j, name in enumerate(posterior.categories)]
    rows += [(name, None, draws) for name, draws in change.parts.items() if draws.any()]
    return rows


@dataclass(frozen=True)
class Words:
    """Says of each part whether it was measured, part measured or assumed."""

    posterior: Posterior
    golfer: int
    first: int
    last: int
    found: SplitDraws

    def of(self, quantity: str, part: str, category: str | None, draws: FLOATS) -> str:
        """The word of one part."""
        if quantity == "observed_mean" and part == "whole":
            return "measured"
        if part == "practice":
            return self._practice(category)
        before = self._spread_before()
        total = float(np.sqrt(sum(before[name] ** 2 for name in PARTS)))
        return evidence_word(removed(before.get(part, total) ** 2, float(draws.var())))

    def _practice(self, category: str | None) -> str:
        """The word of a category; of all practice, that of what all categories return together."""
        own = bool(self.posterior.constant("has_diary")[self.golfer])
        if category == PHANTOM:
            return "assumed"
        if category is None:
            return self._gains.common_word(own_diary=own)
        return self._gains.word(category, own_diary=own)

    @cached_property
    def _gains(self) -> GainEvidence:
        return gain_evidence(self.posterior)

    def _spread_before(self) -> dict[str, float]:
        """Spread of each part before the data, strokes, from the priors of the fit."""
        priors = self.posterior.facts["spec"]["priors"]
        start = float(self.posterior.constant("starts")[self.golfer])
        ends = np.array([self.first, self.last], dtype=float)
        drift = np.diff(come(ends - start, self.posterior.as_of - start))[0]
        forgot = 1.0 - np.exp(-(ends[1] - ends[0]) / float(priors["wander_days"]))
        rounds = 1.0 / max(self.found.before, 1) + 1.0 / max(self.found.after, 1)
        name = self.posterior.golfers[self.golfer]
        his = self.posterior.of(name)
        noise = float(his.draws("noise_total")[:, his.golfer_number(name)].mean())
        out = {
            "background": 2.0 * priors["drift_sd"] * drift,
            "form": priors["wander_sd"] * np.sqrt(2.0 * forgot),
            "course": priors["course_sd"] * np.sqrt(rounds),
            "luck": noise * np.sqrt(rounds),
        }
        for term in TERMS:
            own = term.spread_before(priors, self.found.moved.get(term.name, np.zeros(0)))
            out[term.part] = np.hypot(out.get(term.part, 0.0), own)
        return {name: float(value) for name, value in out.items()}
