"""What the next weekly hour pays, by practice category."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.forecast import gate, golfer_draws, habit_hours
from paryield.forecast.outlook import GolferDraws, practised, stock_ahead
from paryield.plan.evidence import (
    Answered,
    answered,
    club_noise,
    gain_evidence,
    noise_returns,
    prior_rates,
    real_categories,
    tied_groups,
    tied_places,
)
from paryield.plan.week_verdict import LEFT, REACHED
from paryield.posterior import Posterior
from paryield.posterior.live import thinned
from paryield.results import summary
from paryield.tables.categories import PHANTOM

DEFAULT_WEEKS = 12
FEW_DRAWS = 400
HELD_AHEAD = 0.85
"""A category stands out when its own estimate lies above those of 19 in 20 partners (plan/evidence.py), its
return beats the noise floor with the chance of plan/week_verdict.py, its chance of being the best is at least
twice an even share (this part of it where it stood out before), and its median return is at least the strokes
given there. [judgement]"""


@dataclass(frozen=True)
class Returns:
    """Records of returns with the draws behind them, real categories, shape (S, J) per golfer, strokes."""

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


def lost_ahead(golfer: GolferDraws, hours: FLOATS, weeks: int) -> FLOATS:
    """Strokes lost by area at the horizon from level and practice, shape (S, K)."""
    days = np.array([7.0 * weeks])
    lost: FLOATS = practised(golfer, stock_ahead(golfer, days, hours), days)[:, 0]
    return lost


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

    Examples
    --------
    ``anyway`` because the club of this example is small and its fit short; ``phantom`` is the noise floor.

    >>> from paryield.club import Club
    >>> with Club.open("club.db") as club:
    ...     worth = returns(club, golfer="G01", anyway=True).to_frame()
    >>> worth.set_index("category").loc["phantom", "evidence"]
    'assumed'
    >>> bool((worth["q10"] <= worth["q90"]).all())
    True
    """
    from paryield.forecast.current import current_fit

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
    club = _club_returns(posterior, weeks)
    found = {golfer_id: club.golfer(golfer_id) for golfer_id in ids}
    records = [record for one in found.values() for record in one.records()]
    return Returns(records, {golfer_id: one.gains for golfer_id, one in found.items()}, banner)


def _club_returns(posterior: Posterior, weeks: int) -> ClubReturns:
    if ("returns", weeks) not in posterior.memory:
        posterior.memory["returns", weeks] = ClubReturns(posterior, weeks)
    found: ClubReturns = posterior.memory["returns", weeks]
    return found


def evidence_words(posterior: Posterior, golfer_id: str) -> frozenset[str]:
    """How far returns were measured: the words of all records of a golfer but the noise floor."""
    club = _club_returns(posterior, DEFAULT_WEEKS)
    own = bool(posterior.constant("has_diary")[posterior.golfer_number(golfer_id)])
    first = (members[0] for members in tied_places(club.names, posterior.facts))
    return frozenset(club.evidence.word(club.names[place], own_diary=own) for place in first)


STANDS_OUT, DOES_NOT = "stands out", "does not stand out"


@dataclass(frozen=True)
class Standing:
    """Chance of being the best category, regret of choosing it in strokes, and the word."""

    chance_best: float
    regret: float
    verdict: str


class ClubReturns:
    """Returns of a club's golfers, with all that is the same for them worked out once.

    Parameters
    ----------
    posterior : Posterior
    weeks : int
        How long the hour is kept up.
    """

    def __init__(self, posterior: Posterior, weeks: int = DEFAULT_WEEKS) -> None:
        self.posterior, self.weeks = posterior, weeks
        self.names = real_categories(posterior)
        self.places = [posterior.categories.index(name) for name in self.names]
        self.groups = tied_groups(posterior.facts)
        self.evidence = gain_evidence(posterior)
        self.noise = club_noise(posterior)
        self.held: dict[str, dict[str, str]] = posterior.facts.get("verdicts_before", {})
        self.few = thinned(posterior, FEW_DRAWS)
        self.rates_before = prior_rates(self.few)

    def golfer(self, golfer_id: str) -> GolferReturns:
        """Returns of one golfer."""
        own = golfer_draws(self.posterior, golfer_id)
        hours = habit_hours(self.posterior, golfer_id)
        gains = return_draws(own, hours, self.weeks)[:, self.places]
        lost = lost_ahead(own, hours, self.weeks)
        floor = noise_returns(self.posterior, own, lost, self.noise.gains, self.weeks)
        return GolferReturns(self, golfer_id, hours, gains, floor)

    def before_record(self, golfer_id: str, hours: FLOATS) -> FLOATS:
        """Returns as they looked before the club kept any record of practice, shape (S, J).

        The golfer's level and what he loses by area are those known now; what practice does is what is known
        of golf practice in general.
        """
        own = replace(golfer_draws(self.few, golfer_id), rate_area=self.rates_before)
        return return_draws(own, hours, self.weeks)[:, self.places]


@dataclass(frozen=True)
class GolferReturns:
    """One golfer's returns.

    Parameters
    ----------
    club : ClubReturns
    golfer_id : str
    hours : array, shape (C,)
        Hours a week now, by category of the fit.
    gains : array, shape (S, J)
        Strokes for one more hour of each real category.
    floor : array, shape (S,)
        What such an hour of a partner's practice seems to return.
    """

    club: ClubReturns
    golfer_id: str
    hours: FLOATS
    gains: FLOATS
    floor: FLOATS

    def drawn(self, places: npt.NDArray[np.int64]) -> GolferReturns:
        """The same with these of the draws."""
        return replace(self, gains=self.gains[places], floor=self.floor[places])

    @property
    def answered(self) -> Answered:
        """Real categories as they are answered, tied ones as one."""
        return answered(self.club.names, self.hours[self.club.places], self.gains, self.club.groups)

    def standings(self, held: Mapping[str, str] | None = None) -> list[Standing]:
        """Standing of each answered category; ``held`` are verdicts of the run before, else those stored."""
        found = self.answered
        before = self.club.held.get(self.golfer_id, {}) if held is None else held
        return standings(found.names, found.gains, self.floor, self._above(found), before)

    def _above(self, found: Answered) -> list[bool]:
        names = self.club.names
        return [self.club.noise.above_all([names[at] for at in members]) for members in found.places]

    def records(self) -> list[dict[str, Any]]:
        """One record a category, and the noise floor as the category ``phantom``."""
        club, found = self.club, self.answered
        number = club.posterior.golfer_number(self.golfer_id)
        own = bool(club.posterior.constant("has_diary")[number])
        hours = self.hours[club.places]
        early = club.before_record(self.golfer_id, self.hours)
        before = answered(club.names, hours, early, club.groups).gains.mean(axis=0)
        rank = np.argsort(np.argsort(-before, kind="stable"), kind="stable") + 1
        out = []
        for place, standing in enumerate(self.standings()):
            members = [club.names[at] for at in found.places[place]]
            record = {
                "golfer_id": self.golfer_id,
                "category": found.names[place],
                "weeks": club.weeks,
                "hours_now": round(float(found.hours[place]), 2),
                "strokes_per_weekly_hour": summary(found.gains[:, place]),
                "chance_best": standing.chance_best,
                "rank_before_record": int(rank[place]),
                "regret": standing.regret,
                "evidence": club.evidence.word(members[0], own_diary=own),
                "evidence_share": round(club.evidence.of(members[0]), 3),
                "verdict": standing.verdict,
            }
            out.append(record | ({"tied": members} if len(members) > 1 else {}))
        return [*out, self._noise_record(found)]

    def _noise_record(self, found: Answered) -> dict[str, Any]:
        best = found.gains.max(axis=1)
        return {
            "golfer_id": self.golfer_id,
            "category": PHANTOM,
            "weeks": self.club.weeks,
            "hours_now": 0.0,
            "strokes_per_weekly_hour": summary(self.floor),
            "chance_best": float(np.mean(self.floor > best)),
            "rank_before_record": None,
            "regret": float(np.mean(best - self.floor)),
            "evidence": "assumed",
            "evidence_share": 0.0,
            "verdict": DOES_NOT,
        }


def standings(
    names: Sequence[str], gains: FLOATS, floor: FLOATS, above: Sequence[bool], held: Mapping[str, str]
) -> list[Standing]:
    """Compare categories draw by draw.

    Parameters
    ----------
    names : sequence of str
    gains : array, shape (S, J)
    floor : array, shape (S,)
        Draws of the noise floor.
    above : sequence of bool
        Whether each category lies above the estimates of partners.
    held : mapping
        Verdicts of the run before, see :mod:`paryield.plan.week_verdict`.
    """
    best, winner = gains.max(axis=1), gains.argmax(axis=1)
    found = []
    for place, name in enumerate(names):
        own = gains[:, place]
        chance = float(np.mean(winner == place))
        before = held.get(name) == STANDS_OUT
        stands_out = above[place] and _stands_out(own, floor, chance, len(names), before)
        word = STANDS_OUT if stands_out else DOES_NOT
        found.append(Standing(chance, float(np.mean(best - own)), word))
    return found


def _stands_out(own: FLOATS, floor: FLOATS, chance: float, categories: int, before: bool) -> bool:
    least, worth = LEFT if before else REACHED
    ahead = chance >= min(2.0 / max(categories, 1), 1.0) * (HELD_AHEAD if before else 1.0) or categories == 1
    beats = float(np.mean(own > floor)) >= least
    return bool(beats and ahead and float(np.median(own)) >= worth)
