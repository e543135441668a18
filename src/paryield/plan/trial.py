"""A golfer's weeks of changed practice, as an experiment: what they cost and how precisely they measure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from paryield.forecast import GolferDraws, golfer_draws
from paryield.forecast.outlook import fresh_stock, practised, shared_path, stock_ahead
from paryield.forecast.rounds import Pace
from paryield.model.terms.drift import SHORTEST_DAYS
from paryield.plan.learning import signal_of
from paryield.plan.measure import round_information
from paryield.posterior import Posterior

FLOATS = npt.NDArray[np.float64]
DAYS_PER_WEEK = 7


@dataclass(frozen=True)
class Schedule:
    """Weekly hours of a block in equal phases, one after the other.

    Parameters
    ----------
    focus : tuple of str
        What each phase is about.
    hours : array, shape (P, J)
        Hours a week in each phase, in the order of the fit's categories.
    """

    focus: tuple[str, ...]
    hours: FLOATS


@dataclass(frozen=True)
class Trial:
    """One golfer in an experiment, with all that does not depend on the schedule.

    Parameters
    ----------
    golfer : GolferDraws
    days : array, shape (T,)
        Middle of each week.
    beside : array, shape (S, T, K)
        Strokes lost by area beside level and practice.
    wander : array, shape (T K, T K)
        Covariance of form and drift to come.
    root : array, shape (T K, R)
        Root of the information of the rounds.
    rounds : float
        Rounds expected in the block.
    """

    golfer: GolferDraws
    days: FLOATS
    beside: FLOATS
    wander: FLOATS
    root: FLOATS
    rounds: float

    def lost(self, schedule: Schedule, days: FLOATS) -> FLOATS:
        """Strokes lost by area from level and practice under a schedule, shape (S, T, K)."""
        return practised(self.golfer, self.stock(schedule, days), days)

    def stock(self, schedule: Schedule, days: FLOATS) -> FLOATS:
        """Hours at work under a schedule, shape (S, T, J); a phase begins where the one before ends."""
        phases, weeks = len(schedule.hours), len(self.days)
        total = stock_ahead(self.golfer, days, schedule.hours[0])
        for phase in range(1, phases):
            begins = DAYS_PER_WEEK * round(weeks * phase / phases)
            more = schedule.hours[phase] - schedule.hours[phase - 1]
            total = total + fresh_stock(self.golfer, np.maximum(days - begins, 0.0), more)
        result: FLOATS = np.maximum(total, 0.0)
        return result

    def signal(self, schedule: Schedule) -> FLOATS:
        """What the block's rounds would measure, in units of their errors, shape (S, R)."""
        seen = self.lost(schedule, self.days) + self.beside
        return signal_of(seen.reshape(len(seen), -1), self.wander, self.root)

    def cost(self, schedule: Schedule, present: FLOATS) -> FLOATS:
        """Strokes a round lost at the end of the block against the present hours, shape (S,)."""
        end = np.array([float(DAYS_PER_WEEK * len(self.days))])
        now = self.lost(Schedule(("",), present[None, :]), end)
        worse: FLOATS = (self.lost(schedule, end) - now).sum(axis=(1, 2))
        return worse


def make_trial(
    posterior: Posterior, golfer_id: str, weeks: int, pace: Pace, each_round: FLOATS | None = None
) -> Trial:
    """Set up a golfer's experiment.

    Parameters
    ----------
    posterior : Posterior
    golfer_id : str
    weeks : int
    pace : Pace
        How often he plays.
    each_round : array, shape (K, K), optional
        Information of one round about strokes lost by area; default that of his kinds of round.
    """
    number = posterior.golfer_number(golfer_id)
    golfer = golfer_draws(posterior, golfer_id)
    days: FLOATS = (np.arange(weeks, dtype=float) + 0.5) * float(DAYS_PER_WEEK)
    rounds = pace.expected(posterior.as_of, 7.0 * weeks) * weeks * 12.0 / 52.18
    each = round_information(posterior, number) if each_round is None else each_round
    values, vectors = np.linalg.eigh(each)
    one = (vectors * np.sqrt(np.maximum(values, 0.0)))[:, values > 1e-9 * values.max()]
    root = np.kron(np.eye(weeks), np.sqrt(rounds / weeks) * one)
    keep = np.exp(-days[None, :] / golfer.population["wander_days"][:, None])
    common = shared_path(golfer, days) + golfer.form[:, None] * keep
    beside = common[:, :, None] * golfer.share[:, None, :] + golfer.drift[:, None, :] * golfer.drift_now
    return Trial(golfer, days, beside, _to_come(golfer, days), root, rounds)


def _to_come(golfer: GolferDraws, days: FLOATS) -> FLOATS:
    """Covariance of form and drift not yet drawn, area by area and week by week, averaged over draws."""
    population = golfer.population
    gap, both = np.abs(days[:, None] - days[None, :]), days[:, None] + days[None, :]
    scale = float(np.mean(population["wander_days"]))
    form = float(np.mean(population["sd_wander"] ** 2)) * (np.exp(-gap / scale) - np.exp(-both / scale))
    share = golfer.share.mean(axis=0)
    record = max(golfer.elapsed_days, SHORTEST_DAYS)
    pace = float(np.mean(population["sd_drift"] ** 2)) * np.pi**2 / 8.0 / record
    drift = pace * np.minimum(days[:, None], days[None, :])
    cover: FLOATS = np.kron(form, np.outer(share, share)) + np.kron(drift, np.eye(len(share)))
    return cover
