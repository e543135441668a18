"""From stored draws to strokes lost on days to come, under weekly hours of practice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from weakref import ref

import numpy as np

from paryield.arrays import FLOATS
from paryield.forecast.compiled_days import added_up, blended, left_and_turn, lost_by_area, lost_on
from paryield.model.population import PopulationValues, of_fit
from paryield.model.terms import TERMS
from paryield.model.terms.drift import SHORTEST_DAYS
from paryield.model.terms.practice import stock_weights
from paryield.model.terms.term import Moments, Term
from paryield.posterior import Posterior
from paryield.posterior.live import GolferView

NODE_WEIGHTS, COLLECTED = "weights between half-lives", "draws"
"""Under these names they are kept with a fit, and with a golfer of it."""


@dataclass(frozen=True)
class GolferDraws:
    """One golfer's draws and constants, ready for arithmetic; S draws, J categories, K areas, G nodes."""

    level: FLOATS
    drift: FLOATS
    response: FLOATS
    form: FLOATS
    noise: FLOATS
    rate_area: FLOATS
    share: FLOATS
    weights: FLOATS
    stock: FLOATS
    start: FLOATS
    steady: FLOATS
    steady_now: FLOATS
    start_extra: FLOATS
    node_half_life: FLOATS
    gap: FLOATS
    recent: FLOATS
    elapsed_days: float
    joined: float
    drift_now: float
    floor: float
    bend_hours: float
    as_of: int
    priors: dict[str, Any]
    kept: dict[str, FLOATS]
    population: PopulationValues[FLOATS]

    @property
    def samples(self) -> int:
        """Number of draws."""
        return int(self.level.shape[0])


def golfer_draws(posterior: Posterior, golfer_id: str) -> GolferDraws:
    """Collect one golfer's draws.

    Of a golfer who was brought up to the present rows they are the same object as long as somebody holds it.

    Parameters
    ----------
    posterior : Posterior
    golfer_id : str

    Raises
    ------
    KeyError
        When the fit does not know the golfer.
    """
    posterior = posterior.of(golfer_id)
    if not isinstance(posterior, GolferView):
        return _collected(posterior, golfer_id)
    held: ref[GolferDraws] | None = posterior.memory.get(COLLECTED)
    found = None if held is None else held()
    if found is None:
        found = _collected(posterior, golfer_id)
        posterior.memory[COLLECTED] = ref(found)
    return found


def _collected(posterior: Posterior, golfer_id: str) -> GolferDraws:
    n = posterior.golfer_number(golfer_id)
    spec: dict[str, Any] = posterior.facts["spec"]
    values = [value.name for term in TERMS if known(posterior, term) for value in term.values]
    names = ("wander_days", "sd_wander", "sd_drift", "course_effect", *values)
    share = posterior.draws("start_share")[:, n]
    if posterior.categories:
        weights = _between_half_lives(posterior)
        rate_area = posterior.draws("rate_area")
    else:
        weights = np.zeros((posterior.constant("node_half_life").shape[0], posterior.samples, 0))
        rate_area = np.zeros((posterior.samples, 0, len(posterior.area_names)))
    steady = posterior.constant("steady")[:, n]
    full = steady[:, None, :]
    left = full * posterior.constant("decay_now")[:, n][:, None, :]
    now = posterior.constant("stock_now")[:, n][:, None, :]
    return GolferDraws(
        level=posterior.draws("level")[:, n],
        drift=posterior.draws("drift")[:, n],
        response=posterior.draws("response")[:, n],
        form=posterior.draws("wander")[:, n, -1],
        noise=_spread(posterior, golfer_id),
        rate_area=rate_area,
        share=posterior.draws("share"),
        weights=weights,
        stock=now + share[None, :, None] * left,
        start=share[:, None] * (weights * full).sum(axis=0),
        steady=(weights * full).sum(axis=0),
        steady_now=np.broadcast_to(left, weights.shape),
        start_extra=posterior.draws("start_extra")[:, n],
        node_half_life=posterior.constant("node_half_life"),
        gap=posterior.constant("gap_guess")[n],
        recent=posterior.constant("recent")[n],
        elapsed_days=float(posterior.as_of - posterior.constant("starts")[n]),
        joined=float(posterior.constant("joined")[n]),
        drift_now=float(posterior.constant("drift_now")[n]),
        floor=float(spec["floor"]),
        bend_hours=float(spec["bend_hours"]),
        as_of=posterior.as_of,
        priors=spec["priors"],
        kept={
            term.name: posterior.constant(term.kept)[n]
            for term in TERMS
            if term.kept and known(posterior, term)
        },
        population=of_fit(posterior, names),
    )


def _between_half_lives(posterior: Posterior) -> FLOATS:
    """Weights of the tabulated half-lives, by own bend, shape (G, S, J): once for all golfers of a club."""
    club, picks = posterior, None
    if isinstance(posterior, GolferView):
        club, picks = posterior.club, posterior.picks
    if NODE_WEIGHTS not in club.memory:
        names = [name for name in ("log_half_life", "log_bend") if club.has(name)]
        club.memory[NODE_WEIGHTS] = np.array(stock_weights(of_fit(club, names)))
    found: FLOATS = club.memory[NODE_WEIGHTS]
    return found if picks is None else found[:, picks]


def known(posterior: Posterior, term: Term) -> bool:
    """Whether a fit knows a term: one made before the term was written does not, nor a club without it."""
    return all(posterior.has(value.name) for value in term.values)


def _spread(posterior: Posterior, golfer_id: str) -> FLOATS:
    """Draws of the spread of one round: the fit holds each golfer's estimate fixed, here its own error is
    put back (scaled inverse chi-square with the degrees of freedom it was estimated with)."""
    golfer = posterior.golfer_number(golfer_id)
    df = float(posterior.constant("noise_df")[golfer])
    rng = np.random.default_rng([int(posterior.facts["seed"]), posterior.seed_of(golfer_id), 3])
    factor = np.sqrt(df / rng.chisquare(df, size=posterior.samples))
    spread: FLOATS = posterior.draws("noise_total")[:, golfer] * factor
    return spread


def stock_ahead(golfer: GolferDraws, days: FLOATS, hours: FLOATS) -> FLOATS:
    """Stock on days ahead under constant weekly hours.

    Parameters
    ----------
    golfer : GolferDraws
    days : array, shape (T,)
        Days after the as-of day.
    hours : array, shape (J,) or (S, J)
        Hours a week, the same in every draw or of its own.

    Returns
    -------
    array, shape (S, T, J)
        Hours at work.
    """
    left, per_hour = stock_line(golfer, days)
    result: FLOATS = np.maximum(left + hours[..., None, :] * per_hour, 0.0)
    return result


def fresh_stock(golfer: GolferDraws, days: FLOATS, hours: FLOATS) -> FLOATS:
    """Stock from constant weekly hours kept up for so many days, from nothing; as :func:`stock_ahead`."""
    fresh: FLOATS = hours[..., None, :] * _per_hour(golfer, days)
    return fresh


def stock_line(golfer: GolferDraws, days: FLOATS) -> tuple[FLOATS, FLOATS]:
    """Stock on days ahead without practice, and what one weekly hour adds, shape (S, T, J) each.

    The stock is a straight line in the hours where that is not below nothing.
    """
    return _blend(golfer.weights * golfer.stock, _fading(golfer, days)), _per_hour(golfer, days)


def start_held(golfer: GolferDraws, days: FLOATS) -> FLOATS:
    """Stock that a start share higher by 1 would leave on days ahead, shape (S, T, J)."""
    return _blend(golfer.weights * golfer.steady_now, _fading(golfer, days))


def _fading(golfer: GolferDraws, days: FLOATS) -> FLOATS:
    """Share of an hour that is still at work after so many days, shape (H, T, J).

    Day by day: over an array the last digit of a power depends on where in it a day stands.
    """
    nodes, categories = golfer.node_half_life.shape
    left = np.empty((nodes, len(days), categories), dtype=golfer.node_half_life.dtype)
    for place, day in enumerate(days.tolist()):
        left[:, place] = 2.0 ** (-day / golfer.node_half_life)
    return left


def _per_hour(golfer: GolferDraws, days: FLOATS) -> FLOATS:
    return _blend(golfer.weights, _fresh(golfer, _fading(golfer, days)))


def _fresh(golfer: GolferDraws, fading: FLOATS) -> FLOATS:
    """Hours at work of one weekly hour kept up for so many days, by half-life, shape (H, T, J)."""
    keep = (2.0 ** (-1.0 / golfer.node_half_life))[:, None, :]
    fresh: FLOATS = keep * (1.0 - fading) / (7.0 * (1.0 - keep))
    return fresh


def lost_ahead(golfer: GolferDraws, days: FLOATS, hours: FLOATS) -> FLOATS:
    """Strokes lost from level and practice on days ahead under constant weekly hours, shape (S, T).

    All areas together: the sum of :func:`practised` for :func:`stock_ahead`, in one pass.
    """
    fading = _fading(golfer, days)
    by_draw = np.zeros((golfer.samples, golfer.weights.shape[2])) + hours
    gap = golfer.gap + np.zeros(golfer.level.shape)
    out = np.empty((golfer.samples, len(days)))
    lost_on(
        np.ascontiguousarray(golfer.weights), np.ascontiguousarray(golfer.stock),
        np.ascontiguousarray(golfer.steady_now), _by_day(fading), _by_day(_fresh(golfer, fading)), by_draw,
        np.ascontiguousarray(golfer.start), np.ascontiguousarray(golfer.steady),
        np.ascontiguousarray(golfer.rate_area), golfer.bend_hours, np.ascontiguousarray(golfer.level),
        golfer.floor, golfer.response[:, None] * gap, golfer.start_extra[:, None] * gap, out,
    )  # fmt: skip
    return out


def _by_day(nodes: FLOATS) -> FLOATS:
    """Values (H, T, J) with the days side by side, (H, J, T)."""
    return np.ascontiguousarray(nodes.transpose(0, 2, 1))


def _blend(weights: FLOATS, nodes: FLOATS) -> FLOATS:
    """Sum over tabulated half-lives of weights (H, S, J) times values (H, T, J), shape (S, T, J)."""
    out = np.empty((weights.shape[1], nodes.shape[1], weights.shape[2]), np.result_type(weights, nodes))
    blended(np.ascontiguousarray(weights), np.ascontiguousarray(nodes), out)
    return out


def gap_left(golfer: GolferDraws, stock: FLOATS) -> FLOATS:
    """Share of each area's gap still open, shape (S, T, K), for a stock of shape (S, T, J)."""
    return _left_and_turn(golfer, stock, stock[:, :1])[0]


def _left_and_turn(golfer: GolferDraws, stock: FLOATS, held: FLOATS) -> tuple[FLOATS, FLOATS]:
    """Share of each gap left, and its change by a start share higher by 1, from :func:`start_held`."""
    shape = (*stock.shape[:2], golfer.level.shape[1])
    left, turn = np.empty(shape, stock.dtype), np.empty(shape, stock.dtype)
    left_and_turn(
        np.ascontiguousarray(golfer.rate_area), np.ascontiguousarray(golfer.start),
        np.ascontiguousarray(golfer.steady + np.zeros_like(golfer.start)), golfer.bend_hours,
        np.ascontiguousarray(stock), np.ascontiguousarray(held), left, turn,
    )  # fmt: skip
    return left, turn


def practised(golfer: GolferDraws, stock: FLOATS, days: FLOATS, held: FLOATS | None = None) -> FLOATS:
    """Strokes lost by area from level and practice alone, shape (S, T, K), for a stock (S, T, J).

    A single day goes with any number T of stocks: those of T candidates on that day. Who asks again and
    again about the same days gives the :func:`start_held` of them.
    """
    left, turn = _left_and_turn(golfer, stock, start_held(golfer, days) if held is None else held)
    response, extra = golfer.response[:, None] * golfer.gap, golfer.start_extra[:, None] * golfer.gap
    lost = np.empty_like(left)
    lost_by_area(np.ascontiguousarray(golfer.level), golfer.floor, response, extra, left, turn, lost)
    return lost


def days_ahead(golfer: GolferDraws, days: FLOATS) -> Moments:
    """Days after the as-of day, of one golfer."""
    shape = days.shape
    return Moments(
        np.full(shape, "", dtype=object),
        golfer.as_of + days,
        np.full(shape, golfer.as_of - golfer.elapsed_days),
        np.full(shape, golfer.joined),
        golfer.as_of,
        golfer.priors,
        kept=golfer.kept,
    )


def columns_ahead(golfer: GolferDraws, days: FLOATS) -> dict[str, FLOATS]:
    """What each term that the fit knows weighs on days ahead, (C, T) by its name."""
    at = days_ahead(golfer, days)
    terms = (term for term in TERMS if all(value.name in golfer.population for value in term.values))
    return {term.name: term.ahead(at) for term in terms}


def shared_path(golfer: GolferDraws, days: FLOATS) -> FLOATS:
    """All terms beside level and practice on days ahead, shape (S, T), strokes lost.

    The sum of :func:`paryield.model.terms.shared_strokes` to the last digit, in one pass.
    """
    columns = columns_ahead(golfer, days)
    weighed = [
        (term.weights(golfer.population, np), columns[term.name])
        for term in TERMS
        if len(columns.get(term.name, ()))
    ]
    out = np.zeros((golfer.samples, len(days)))
    if weighed:
        ends = np.cumsum([len(own) for _, own in weighed])
        weights = np.concatenate(
            [np.reshape(each, (golfer.samples, -1))[:, : len(own)] for each, own in weighed], axis=1
        )
        added_up(weights, np.concatenate([own for _, own in weighed]).astype(float), ends, out)
    return out


def form_path(golfer: GolferDraws, days: FLOATS, shocks: FLOATS) -> FLOATS:
    """Mean-reverting form on days ahead, one path a draw, shape (S, T).

    Parameters
    ----------
    golfer : GolferDraws
    days : array, shape (T,)
        Rising.
    shocks : array, shape (S, T)
        Standard normal draws.
    """
    path = np.empty((golfer.samples, len(days)))
    now, kept = golfer.form, {}
    for place, gap in enumerate(np.diff(days, prepend=0.0).tolist()):
        if gap not in kept:  # few lengths come again and again
            keep = np.exp(-gap / golfer.population["wander_days"])
            kept[gap] = keep, golfer.population["sd_wander"] * np.sqrt(np.maximum(1.0 - keep**2, 0.0))
        keep, fresh = kept[gap]
        now = keep * now + fresh * shocks[:, place]
        path[:, place] = now
    return path


def drift_path(golfer: GolferDraws, days: FLOATS, shocks: FLOATS) -> FLOATS:
    """Drift that goes on as a random walk, summed over areas, shape (S, T), strokes.

    The fit holds the first Karhunen-Loeve term of a random walk over the record: its coefficient
    ``sd_drift`` belongs to a walk of ``sd_drift x pi / sqrt(8)`` over the record's length.
    """
    record = max(golfer.elapsed_days, SHORTEST_DAYS)
    step = np.diff(np.concatenate([[0.0], days]))
    areas = golfer.level.shape[1]
    scale = golfer.population["sd_drift"] * np.pi / np.sqrt(8.0) * np.sqrt(areas / record)
    walk: FLOATS = np.cumsum(scale[:, None] * np.sqrt(step) * shocks, axis=1)
    return walk


def steady_path(golfer: GolferDraws, days: FLOATS, hours: FLOATS) -> FLOATS:
    """Mean differential on days ahead but for form, shape (S, T): level, practice, background, season."""
    lost = lost_ahead(golfer, days, hours)
    path: FLOATS = lost + golfer.drift.sum(axis=1)[:, None] * golfer.drift_now + shared_path(golfer, days)
    return path
