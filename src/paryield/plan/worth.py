"""What the next weekly hour pays, by practice category."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.errors import InputError
from paryield.forecast import gate, golfer_draws, habit_hours
from paryield.forecast.outlook import GolferDraws, practised, stock_ahead
from paryield.plan.evidence import evidence_word, gain_prior, prior_gains
from paryield.posterior import Posterior
from paryield.results import summary

FLOATS = npt.NDArray[np.float64]
PHANTOM = "phantom"
DEFAULT_WEEKS = 12
OUT_CHANCE = 0.8
OUT_STROKES = 0.1
"""A category stands out when its return beats the phantom's with this chance, its chance of being the
best is at least twice an even share, and its median return is at least this many strokes. [judgement]"""


@dataclass(frozen=True)
class Returns:
    """Records of returns with the draws behind them, shape (S, J) per golfer, strokes."""

    records: list[dict[str, Any]]
    draws: dict[str, FLOATS] = field(repr=False)
    banner: str = ""

    def to_frame(self) -> pd.DataFrame:
        """One row per golfer and category; quantiles as columns."""
        flat = [
            {**{k: v for k, v in r.items() if k != "strokes_per_weekly_hour"}, **r["strokes_per_weekly_hour"]}
            for r in self.records
        ]
        return pd.DataFrame.from_records(flat)


def return_draws(golfer: GolferDraws, hours: FLOATS, weeks: int, extra: float = 1.0) -> FLOATS:
    """Strokes gained at the horizon by ``extra`` more hours a week in each category alone, shape (S, J).

    Everything else (background, season, form, luck) is the same with and without the hour and cancels.
    """
    days = np.array([7.0 * weeks])
    base = stock_ahead(golfer, days, hours)
    lost = practised(golfer, base, days).sum(axis=2)[:, 0]
    out = np.empty((golfer.samples, len(hours)))
    for category in range(len(hours)):
        more = hours.copy()
        more[category] += extra
        moved = base.copy()
        moved[:, :, category] = stock_ahead(golfer, days, more)[:, :, category]
        out[:, category] = lost - practised(golfer, moved, days).sum(axis=2)[:, 0]
    return out


def returns(
    club: Any, golfer: str | None = None, weeks: int = DEFAULT_WEEKS, anyway: bool = False
) -> Returns:
    """Strokes per next hour a week kept up for ``weeks`` weeks, by category.

    Parameters
    ----------
    club : Club
    golfer : str, optional
        One golfer; default all.
    weeks : int
        How long the hour is kept up.
    anyway : bool
        Answer although the health gate says no; the answer carries a banner.

    Raises
    ------
    InputError
        For an unknown golfer, or a club without a practice diary.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.posterior.current import current_fit

    _, posterior = current_fit(club)
    return returns_fit(posterior, golfer=golfer, weeks=weeks, banner=gate(posterior, anyway))


def returns_fit(
    posterior: Posterior, *, golfer: str | None = None, weeks: int = DEFAULT_WEEKS, banner: str = ""
) -> Returns:
    """Returns from a fit; see :func:`returns`."""
    if not posterior.categories:
        raise InputError(
            "the club has no practice diary, so no practice area can be ranked",
            where="practice",
            remedy="import a practice table and fit again",
        )
    if not 1 <= weeks <= 260:
        raise InputError(f"{weeks} weeks cannot be answered", where="--weeks", remedy="use 1 to 260")
    if golfer is not None and golfer not in posterior.golfers:
        raise InputError(
            f"the fit knows no golfer {golfer!r}",
            where="--golfer",
            remedy="use an id of the golfers table, or fit again if the golfer is new",
        )
    ids = posterior.golfers if golfer is None else [golfer]
    records: list[dict[str, Any]] = []
    draws: dict[str, FLOATS] = {}
    for golfer_id in ids:
        own = golfer_draws(posterior, golfer_id)
        hours = habit_hours(posterior, golfer_id)
        draws[golfer_id] = return_draws(own, hours, weeks)
        records.extend(_records(posterior, golfer_id, hours, weeks, draws[golfer_id]))
    return Returns(records, draws, banner)


def _records(
    posterior: Posterior, golfer_id: str, hours: FLOATS, weeks: int, gains: FLOATS
) -> list[dict[str, Any]]:
    names = posterior.categories
    real = np.array([name != PHANTOM for name in names])
    floor = gains[:, ~real].max(axis=1) if (~real).any() else np.zeros(len(gains))
    best = np.where(real[None, :], gains, -np.inf).max(axis=1)
    winner = np.where(real[None, :], gains, -np.inf).argmax(axis=1)
    has_diary = bool(posterior.constant("has_diary")[posterior.golfer_number(golfer_id)])
    out = []
    for place, name in enumerate(names):
        own = gains[:, place]
        chance = float(np.mean(winner == place)) if real[place] else float(np.mean(own > best))
        out.append(
            {
                "golfer_id": golfer_id,
                "category": name,
                "weeks": weeks,
                "hours_now": round(float(hours[place]), 2),
                "strokes_per_weekly_hour": summary(own),
                "chance_best": chance,
                "regret": float(np.mean(best - own)),
                "evidence": category_evidence(posterior, place, own_diary=has_diary),
                "verdict": _verdict(own, floor, chance, int(real.sum())) if real[place] else DOES_NOT,
            }
        )
    return out


STANDS_OUT, DOES_NOT = "stands out", "does not stand out"


def _verdict(own: FLOATS, floor: FLOATS, chance: float, categories: int) -> str:
    beats = float(np.mean(own > floor)) >= OUT_CHANCE
    ahead = chance >= min(2.0 / max(categories, 1), 1.0) or categories == 1
    worth = float(np.median(own)) >= OUT_STROKES
    return STANDS_OUT if beats and ahead and worth else DOES_NOT


def category_evidence(posterior: Posterior, place: int, *, own_diary: bool) -> str:
    """How far the data moved the gain of one category: measured, part measured or assumed."""
    priors, name = posterior.facts["spec"]["priors"], posterior.categories[place]
    before = prior_gains(*gain_prior(priors, name), name == PHANTOM)
    return evidence_word(before, posterior.draws("gain")[:, place], own_diary=own_diary)
