"""What the next weekly hour pays, by practice category."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.errors import InputError
from paryield.forecast import gate, golfer_draws, habit_hours
from paryield.forecast.outlook import GolferDraws, practised, stock_ahead
from paryield.plan.evidence import evidence_word, gain_prior, joint_prior_gains, prior_gains
from paryield.plan.steady import LEFT, REACHED
from paryield.plan.tied import Answered, answered, tied_groups
from paryield.posterior import Posterior
from paryield.results import summary

FLOATS = npt.NDArray[np.float64]
PHANTOM = "phantom"
DEFAULT_WEEKS = 12
HELD_AHEAD = 0.85
"""A category stands out when its return beats the phantom's with the chance of plan/steady.py, its chance of
being the best is at least twice an even share (this part of it where it stood out before), and its median
return is at least the strokes given there. [judgement]"""


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
        records.extend(gain_records(posterior, golfer_id, hours, weeks, draws[golfer_id]))
    return Returns(records, draws, banner)


def gain_records(
    posterior: Posterior, golfer_id: str, hours: FLOATS, weeks: int, gains: FLOATS
) -> list[dict[str, Any]]:
    """Records of one golfer's returns, tied categories as one, from draws of shape (S, J)."""
    found = answered(posterior.categories, hours, gains, tied_groups(posterior.facts))
    has_diary = bool(posterior.constant("has_diary")[posterior.golfer_number(golfer_id)])
    held = posterior.facts.get("verdicts_before", {}).get(golfer_id, {})
    out = []
    for place, standing in enumerate(standings(found.names, found.gains, held)):
        members = [posterior.categories[at] for at in found.places[place]]
        record = {
            "golfer_id": golfer_id,
            "category": found.names[place],
            "weeks": weeks,
            "hours_now": round(float(found.hours[place]), 2),
            "strokes_per_weekly_hour": summary(found.gains[:, place]),
            "chance_best": standing.chance_best,
            "regret": standing.regret,
            "evidence": _group_evidence(posterior, found, place, has_diary),
            "verdict": standing.verdict,
        }
        out.append(record | ({"tied": members} if len(members) > 1 else {}))
    return out


STANDS_OUT, DOES_NOT = "stands out", "does not stand out"


@dataclass(frozen=True)
class Standing:
    """Chance of being the best category, regret of choosing it in strokes, and the word."""

    chance_best: float
    regret: float
    verdict: str


def standings(names: Sequence[str], gains: FLOATS, held: Mapping[str, str]) -> list[Standing]:
    """Compare categories draw by draw; ``held`` are the verdicts of the run before, see plan/steady.py."""
    real = np.array([name != PHANTOM for name in names])
    floor = gains[:, ~real].max(axis=1) if (~real).any() else np.zeros(len(gains))
    best = np.where(real[None, :], gains, -np.inf).max(axis=1)
    winner = np.where(real[None, :], gains, -np.inf).argmax(axis=1)
    found = []
    for place, name in enumerate(names):
        own = gains[:, place]
        chance = float(np.mean(winner == place)) if real[place] else float(np.mean(own > best))
        before = held.get(name) == STANDS_OUT
        stands_out = real[place] and _stands_out(own, floor, chance, int(real.sum()), before)
        word = STANDS_OUT if stands_out else DOES_NOT
        found.append(Standing(chance, float(np.mean(best - own)), word))
    return found


def _stands_out(own: FLOATS, floor: FLOATS, chance: float, categories: int, before: bool) -> bool:
    least, worth = LEFT if before else REACHED
    ahead = chance >= min(2.0 / max(categories, 1), 1.0) * (HELD_AHEAD if before else 1.0) or categories == 1
    beats = float(np.mean(own > floor)) >= least
    return bool(beats and ahead and float(np.median(own)) >= worth)


def _group_evidence(posterior: Posterior, found: Answered, place: int, own_diary: bool) -> str:
    """Word for a category, or for a tied group as a whole: its members' gains by their shares."""
    members, share = list(found.places[place]), found.shares[place]
    if len(members) == 1:
        return category_evidence(posterior, members[0], own_diary=own_diary)
    priors = posterior.facts["spec"]["priors"]
    stated = [gain_prior(priors, posterior.categories[at]) for at in members]
    before = joint_prior_gains(tuple(stated)) @ share
    return evidence_word(before, posterior.draws("gain")[:, members] @ share, own_diary=own_diary)


def category_evidence(posterior: Posterior, place: int, *, own_diary: bool) -> str:
    """How far the data moved the gain of one category: measured, part measured or assumed."""
    priors, name = posterior.facts["spec"]["priors"], posterior.categories[place]
    before = prior_gains(*gain_prior(priors, name), name == PHANTOM)
    return evidence_word(before, posterior.draws("gain")[:, place], own_diary=own_diary)
