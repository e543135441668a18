"""What a fit reads: the frozen specification and the priors, each with its reason and source."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, field
from typing import Any

import numpy as np

from paryield.posterior.learnt import LearntPrior

SOFTPLUS_ZERO = math.log(math.e - 1.0)
"""softplus(SOFTPLUS_ZERO) = 1, so that a standard normal 0 stands for the prior median."""


MOST_STRETCHES = 8
"""Stretches of draws after which a full fit gives up. [judgement]"""


@dataclass(frozen=True)
class Priors:
    """Prior constants. [V] read on a published page, [M] from memory, [C] computed, [J] judgement.

    Strokes are strokes per 18 holes relative to a scratch golfer; areas in the order off the tee,
    approach, short game, putting.
    """

    gain_median: float = 0.35
    """Strokes per 20 hours for the reference golfer, every category. [J] A keen 18-handicapper on four
    hours a week who gains 1-2 strokes in half a year from a low base; the published share of practice in
    sporting performance (18 % of variance, Macnamara, Moreau & Hambrick 2016 [V]) allows no more."""
    gain_common_width: float = 1.5
    """Width of the common rate on the scale of ``softplus(0.54 + width * z)``: 95 % of the prior lies
    between 0.09 and 3.5 times the median; the mass near nothing is what a club may need. [J]"""
    gain_category_width: float = 0.7
    """The same for each category around the common rate: 0.3 to 2 times. Practice areas share most of what is
    known; wider, a plan follows luck. [J]"""
    gain_medians: tuple[tuple[str, float], ...] | None = None
    gain_widths: tuple[tuple[str, float], ...] | None = None
    """Median and own width by category name, from a coach's expectations; the shared ones where unsaid."""
    response_spread: float = 0.4
    """Scale of the spread between golfers in response to practice. [J]"""
    half_life_log_sd: float = 0.35
    """Around each category's published median (Tatel & Ackerman 2025 [V])."""
    level_mean: float = 17.0
    level_mean_sd: float = 5.0
    """Men's mean Handicap Index 14.2 (USGA counts [V]) plus 2.5-4 for the mean differential [V]."""
    level_sd: float = 6.0
    level_sd_log: float = 0.4
    share: tuple[float, ...] = (5.0, 7.0, 4.0, 3.0)
    """Dirichlet weights of the areas in a score gap between amateurs [C from Broadie 2012 and others]."""
    area_sd: float = 0.8
    area_sd_log: float = 0.5
    """Spread of golfers of one level between areas, strokes. [J]"""
    selection_sd: float = 0.4
    """Extra strokes lost in an area per weekly hour practised there: people practise what is weak. [J]"""
    wander_sd: float = 0.9
    wander_sd_log: float = 0.5
    wander_days: float = 120.0
    wander_days_log: float = 0.5
    """A golfer's own slow form, strokes and days. [J]; skill drifts over time on tour too [V, values not
    readable]."""
    drift_sd: float = 0.4
    """Scale of a golfer's own drift in one area over the record, strokes. [J]"""
    trend_mean: float = 0.2
    trend_sd: float = 0.4
    """Improvement without practice, strokes a year. [J]"""
    start_shift_sd: float = 0.7
    """Form on joining during the record: members come when playing badly. [J]"""
    start_shift_days: float = 60.0
    enrol_shift: float = 0.5
    enrol_shift_sd: float = 1.0
    """Strokes by which the last five rounds before joining a programme were worse than the usual game:
    members join when playing badly, by what they know of their game, which is more than the record has. What
    of it is form goes on after joining; see :mod:`paryield.dose.exposure`. [J]"""
    season_sd: float = 0.5
    course_sd: float = 1.0
    """Tees of one area differ by 2-3 strokes [V]."""
    competition_mean: float = 0.3
    competition_sd: float = 0.5
    noise_base: float = 2.6
    noise_slope: float = 0.043
    noise_scale_log: float = 0.15
    noise_golfer_log: float = 0.2
    """sd of a golfer's differentials = 2.6 + 0.043 x index, own multiplier log-sd 0.2 [C from the USGA
    odds table [V]]; the multiplier is estimated from successive rounds and shrunk before the fit."""
    greens_intercept: float = 0.47
    greens_intercept_sd: float = 0.08
    greens_per_stroke: float = 0.0175
    greens_per_stroke_log: float = 0.35
    greens_tee_weight: float = 0.5
    greens_sd: float = 1.1
    """Greens in regulation as an angle (radians), from weak guesses 10/7.5/5/3/1.5 of 18 at index
    0/5/10/18/28 [M]; the spread of each stat is a multiple of its sampling error."""
    putts_intercept: float = 32.5
    putts_intercept_sd: float = 2.0
    putts_slope_log: float = 0.2
    putts_short_game: float = 0.3
    putts_short_game_sd: float = 0.25
    putts_per_green: float = 8.0
    putts_per_green_sd: float = 3.2
    putts_sd: float = 1.9
    """Putts a round 29 on tour, 33 for a 90-golfer [V]; 31.3 scratch, 36.4 at 40 (Soley 1977 [V]): about
    0.2 a stroke of the whole score, of which putting itself explains 0.16. Free to be larger, a stroke lost
    in the short game could take the place of one in putting: a second mode, 15 log units lower, in which
    chains stayed."""
    fairways_intercept: float = 0.77
    fairways_intercept_sd: float = 0.15
    fairways_per_stroke: float = 0.004
    fairways_per_stroke_log: float = 0.5
    fairways_sd: float = 1.1
    """Fairways as an angle: 55 to 43 % over the index range [M, weak]."""
    up_and_downs_intercept: float = 0.49
    up_and_downs_intercept_sd: float = 0.12
    up_and_downs_per_stroke: float = 0.012
    up_and_downs_per_stroke_log: float = 0.4
    up_and_downs_putting: float = 0.7
    up_and_downs_sd: float = 1.1
    up_and_downs_on_putts: float = -0.02
    up_and_downs_on_putts_sd: float = 0.03
    """Up-and-downs as an angle: 45 to 12 % over the index range [M, weak]; a stroke lost in putting tells
    0.7 of what one in the short game does [J]."""
    penalties_intercept: float = 1.4
    penalties_intercept_sd: float = 0.25
    penalties_per_stroke: float = 0.03
    penalties_per_stroke_log: float = 0.5
    penalties_approach: float = 0.3
    penalties_sd: float = 1.1
    penalties_on_greens: float = -0.5
    penalties_on_greens_sd: float = 1.0
    """Root of penalty strokes: 0.5 to 3 a round [M, weak]."""
    stat_sd_log: float = 0.25
    greens_own: float = 0.025
    putts_own: float = 0.25
    up_and_downs_own: float = 0.025
    stat_own_log: float = 0.5
    """How far a golfer's greens and up-and-downs (radians) and putts (a round) may differ for good from those
    of others who lose the same strokes: of two who lose the same, one misses greens by less. [J]"""
    greens_day: float = 10.0
    greens_day_sd: float = 6.0
    putts_day: float = 0.8
    putts_day_sd: float = 0.4
    up_and_downs_day: float = -5.0
    up_and_downs_day_sd: float = 3.0
    penalties_day: float = 1.5
    penalties_day_sd: float = 1.5
    """How much of the day's luck in the stats stands in the day's score. [J]"""
    area_day: tuple[float, ...] = (0.45, 0.6, 0.4, 0.45)
    area_day_log: float = 0.35
    area_rest: float = 0.4
    area_rest_log: float = 0.4
    """Luck of the day by area, and what no area holds, as multiples of the golfer's spread. [J]"""
    area_offset_sd: float = 1.0
    """How far the baseline of measured area strokes may lie from the course ratings, strokes. [J]"""
    stat_share: float = 0.8
    stat_share_sd: float = 0.4
    stat_spread: float = 0.9
    stat_spread_log: float = 0.15
    """How much of a stat's luck the measured areas of the same round explain. [J]"""
    test_reading_sd: float = 2.0
    """Spread of strokes lost in an area with which the counts of a test are read. [J]"""
    test_intercept_sd: tuple[float, ...] = (0.9, 0.8, 1.0, 0.4)
    test_slope: tuple[float, ...] = (1.0, -0.17, -0.12, 0.14)
    test_slope_log: tuple[float, ...] = (0.2, 0.5, 0.7, 0.4)
    test_sd: tuple[float, ...] = (0.5, 0.2, 0.8, 0.15)
    test_sd_log: float = 0.5
    """Putting tests (in strokes), counts (on the probit scale, a stroke lost in the area), values such as
    speed (in club spreads) and spreads of measured balls (log; slopes of :mod:`paryield.rounds.strikes`):
    error that all tests share, what a stroke is worth (see :mod:`paryield.rounds.coach_tests`), and how far
    a golfer's tests may differ from his course for good. [J]"""
    diary_doubt: float = 2.0
    """How many times wider offsets and mismatch are for successes counted in practice. [J]"""
    programme_sd: float = 1.5
    """Effect of having been through a programme beyond its hours, strokes: rarely above 3. Narrower, a good
    programme would be told smaller than it was. [J]"""
    start_share_mean: float = 0.5
    start_share_mean_sd: float = 0.7
    start_share_spread: float = 0.3
    start_share_most: float = 1.2
    start_share_newcomer: float = -1.5
    """Share of the steady stock held at the start of the record: at most 1.2, its mean on a logit scale;
    joining within two months of the first row speaks for less; golfers spread by 0.3 around it. [J]"""

    def gain_of(self, name: str) -> tuple[float, float]:
        """Median gain of a category in strokes per 20 hours, and the width of its own part."""
        medians, widths = dict(self.gain_medians or ()), dict(self.gain_widths or ())
        return medians.get(name, self.gain_median), widths.get(name, self.gain_category_width)


@dataclass(frozen=True)
class ModelSpec:
    """Everything that a fit reads beside the data.

    Parameters
    ----------
    seed : int
    draws, tune, chains : int
        Posterior draws and warm-up draws per chain.
    sampler : {"nutpie", "pymc"}
    most_stretches : int
        Times that the draws may be taken until the health gate is passed; see
        :mod:`paryield.model.until_sound`.
    quick : bool
        A rough fit with few draws, marked in every answer.
    floor : float
        Strokes lost in each area by the best there is (a tour player gains about 5 strokes on scratch in
        all [M]): the gap that practice can close ends here.
    reference_level : float
        Mean differential of the golfer for whom gains are stated (index about 15).
    bend_hours : float
        Stock of one category at which its effective hours are half of it. [J]; it cannot be learnt from a
        club's record, so it is fixed and said so. The power law of practice (Newell & Rosenbloom 1981 [V],
        exponent 0.2 to 0.4 [M]) bends like 115 to 230 hours where all practice trains the same; but each
        kind trains only a part of an area, and can take away no more than that part. In doubt the smaller
        figure is the safer one: a plan that spreads hours where returns are straight loses little, one that
        heaps them where returns bend loses much.
    phantom : bool
        Fit a practice category that nobody practised beside the real ones.
    learnt : LearntPrior, optional
        What other clubs have learnt of practice; see :mod:`paryield.model.learnt_prior`.
    """

    seed: int = 20260705
    draws: int = 500
    tune: int = 120
    chains: int = 4
    most_stretches: int = 1
    sampler: str = "nutpie"
    quick: bool = False
    floor: float = -1.25
    reference_level: float = 18.0
    bend_hours: float = 50.0
    phantom: bool = True
    knot_days: float = 40.0
    most_knots: int = 14
    priors: Priors = field(default_factory=Priors)
    learnt: LearntPrior | None = None

    def __post_init__(self) -> None:
        if min(self.draws, self.tune, self.chains, self.most_stretches) < 1:
            raise ValueError("draws, tune, chains and most_stretches must be at least 1")
        if self.sampler not in ("nutpie", "pymc"):
            raise ValueError(f"unknown sampler {self.sampler!r}: use nutpie or pymc")
        if self.bend_hours <= 0 or self.knot_days <= 0 or self.most_knots < 2:
            raise ValueError("bend_hours and knot_days must be positive, most_knots at least 2")

    def to_dict(self) -> dict[str, object]:
        """Plain record, for fingerprints and storage."""
        return asdict(self)


def reference_gap(spec: ModelSpec, serves: Any) -> Any:
    """Strokes that the reference golfer could still close in what each category serves, shape (J,)."""
    share = np.array(spec.priors.share) / sum(spec.priors.share)
    return serves @ (share * spec.reference_level - spec.floor)


def constants_of(priors: Priors) -> dict[str, Any]:
    """Return the population values that are constants of the specification."""
    return {
        "greens_tee": np.float64(priors.greens_tee_weight),
        "up_and_downs_putting": np.float64(priors.up_and_downs_putting),
        "penalties_approach": np.float64(priors.penalties_approach),
        "sd_start": np.float64(priors.start_share_spread),
    }
