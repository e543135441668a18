"""The PyMC model: population values sampled, golfers integrated out exactly (or kept, for reference)."""

from __future__ import annotations

from typing import Any

import numpy as np
import pymc as pm
import pytensor.tensor as pt
from pymc.distributions.transforms import log_exp_m1
from scipy.linalg import helmert

from paryield.model.design import Observations
from paryield.model.evidence import golfer_evidence
from paryield.model.learnt_prior import declare_learnt
from paryield.model.rows import (
    LEANING,
    LOG_2PI,
    OWN_STATS,
    STATS,
    Rows,
    effect_path,
    golfer_rows,
    own_spread,
    prior_precision,
    whitened,
)
from paryield.model.spec import SOFTPLUS_ZERO, ModelSpec, Priors, constants_of, reference_gap
from paryield.tables.categories import AREAS


def coordinates(data: Observations) -> dict[str, Any]:
    """Coordinates of the model's dimensions."""
    return {
        "golfer": list(data.golfers),
        "category": [category.name for category in data.categories],
        "area": list(AREAS),
        "area2": list(AREAS),
        "course": list(data.courses),
        "programme": list(data.programmes),
        "test": [task.name for task in data.tests],
    }


def _gains(data: Observations, priors: Priors) -> Any:
    """Strokes per 20 hours for the reference golfer, mass near nothing, shape (J,)."""
    common = pm.Normal("gain_common_z", 0.0, 1.0)
    own = pm.Normal("gain_category_z", 0.0, 1.0, dims="category")
    rate = pt.softplus(SOFTPLUS_ZERO + priors.gain_common_width * common)
    real = np.array([category.name != "phantom" for category in data.categories])
    medians, widths = np.array([priors.gain_of(category.name) for category in data.categories]).T
    factor = pt.softplus(SOFTPLUS_ZERO + widths * own)
    # The phantom does not borrow from the real categories: nothing is known about it beforehand.
    alone = pt.softplus(SOFTPLUS_ZERO + priors.gain_common_width * own)
    return pm.Deterministic("gain", medians * pt.where(real, rate * factor, alone), dims="category")


def _levels(p: dict[str, Any], priors: Priors) -> None:
    p["level_mean"] = pm.Normal("level_mean", priors.level_mean, priors.level_mean_sd)
    p["sd_level"] = pm.LogNormal("sd_level", np.log(priors.level_sd), priors.level_sd_log)
    p["share"] = pm.Dirichlet("share", np.array(priors.share), dims="area")
    p["sd_area"] = _spread("sd_area", priors.area_sd, priors.area_sd_log, "area")
    p["selection"] = pm.Normal("selection", 0.0, priors.selection_sd)


def _paths(p: dict[str, Any], data: Observations, priors: Priors) -> None:
    p["sd_wander"] = _spread("sd_wander", priors.wander_sd, priors.wander_sd_log)
    p["wander_days"] = pm.LogNormal("wander_days", np.log(priors.wander_days), priors.wander_days_log)
    p["wander_keep"] = pm.Deterministic(
        "wander_keep", pt.exp(-(data.knots[1] - data.knots[0]) / p["wander_days"])
    )
    p["sd_drift"] = _half_normal("sd_drift", priors.drift_sd)
    p["sd_response"] = _half_normal("sd_response", priors.response_spread)
    p["trend"] = pm.Normal("trend", priors.trend_mean, priors.trend_sd)
    p["start_shift"] = pm.Normal("start_shift", 0.0, priors.start_shift_sd)
    p["season_cos"] = pm.Normal("season_cos", 0.0, priors.season_sd)
    p["season_sin"] = pm.Normal("season_sin", 0.0, priors.season_sd)
    if data.programmes:
        p["programme_effect"] = pm.Normal("programme_effect", 0.0, priors.programme_sd, dims="programme")
        p["enrol_shift"] = pm.Normal(
            "enrol_shift", priors.enrol_shift, priors.enrol_shift_sd, dims="programme"
        )


STRAIGHT = 3.0
"""Scale of a spread's prior in the unit in which it is sampled: softplus is straight there."""


def _half_normal(name: str, scale: float) -> Any:
    """Declare a spread that may be nothing.

    It is sampled as the inverse of softplus, nearly straight but for the smallest: on a log scale what the
    data cannot tell from nothing would stretch without end.
    """
    unit = pm.HalfNormal(f"{name}_unit", STRAIGHT, default_transform=log_exp_m1)
    return pm.Deterministic(name, scale / STRAIGHT * unit)


def _spread(name: str, median: Any, log_sd: float, dims: str | None = None) -> Any:
    """Declare a spread of which the data may say little, sampled where its prior is normal: on the log scale.

    On a straight scale the long tail of the prior slowed chains down wherever only greens and putts are kept:
    of 2,000 draws of the spread off the tee 315 were effective in the tail, on the log scale 1,110.
    """
    return pm.LogNormal(name, np.log(median), log_sd, dims=dims)


def _rounds(p: dict[str, Any], data: Observations, priors: Priors) -> None:
    p["course_effect"] = _courses(data, priors)
    p["competition"] = pm.Normal("competition", priors.competition_mean, priors.competition_sd)
    p["noise_scale"] = pm.LogNormal("noise_scale", 0.0, priors.noise_scale_log)
    for stat in STATS:
        if stat in data.seen:
            _stat(p, stat, priors)
    if data.documents:
        p["area_day"] = pm.LogNormal("area_day", np.log(priors.area_day), priors.area_day_log, dims="area")
        p["area_rest"] = pm.LogNormal("area_rest", np.log(priors.area_rest), priors.area_rest_log)
        p["area_offset"] = pm.Normal("area_offset", 0.0, priors.area_offset_sd)
        p["stat_share"] = pm.Normal("stat_share", priors.stat_share, priors.stat_share_sd)
        p["stat_spread"] = pm.LogNormal("stat_spread", np.log(priors.stat_spread), priors.stat_spread_log)
    if data.tests:
        _tests(p, data, priors)


def _stat(p: dict[str, Any], stat: str, priors: Priors) -> None:
    """Declare how a stat moves with strokes lost, its luck, and how that stands in the day's score.

    Slopes are sampled per stroke of the whole score, which the data fix; per area they follow from shares.
    """
    share = p["share"]
    known = vars(priors)

    def normal(name: str) -> Any:
        return pm.Normal(name, known[name], known[f"{name}_sd"])

    p[f"{stat}_intercept"] = normal(f"{stat}_intercept")
    p[f"{stat}_sd"] = pm.LogNormal(f"{stat}_sd", np.log(known[f"{stat}_sd"]), priors.stat_sd_log)
    if stat in LEANING:
        p[f"{stat}_day"] = normal(f"{stat}_day")
    if stat in OWN_STATS:
        p[f"{stat}_own"] = _spread(f"{stat}_own", known[f"{stat}_own"], priors.stat_own_log)
    for name in ("putts_per_green", "up_and_downs_on_putts", "penalties_on_greens"):
        if name.startswith(f"{stat}_"):
            p[name] = normal(name)
    if stat == "putts":
        p["putts_slope"] = pm.LogNormal("putts_slope", 0.0, priors.putts_slope_log)
        p["putts_short_game"] = normal("putts_short_game")
        return
    name = f"{stat}_per_stroke"
    whole = pm.LogNormal(name, np.log(known[name]), known[f"{name}_log"])
    reach = {
        "greens": share[1] + priors.greens_tee_weight * share[0],
        "fairways": share[0],
        "up_and_downs": share[2] + priors.up_and_downs_putting * share[3],
        "penalties": share[0] + priors.penalties_approach * share[1],
    }
    p[f"{stat}_slope"] = pm.Deterministic(f"{stat}_slope", whole / reach[stat])


def _tests(p: dict[str, Any], data: Observations, priors: Priors) -> None:
    """Declare how tests move with strokes lost in their area, shape (test,) each."""
    form = np.array([task.form for task in data.tests])
    doubt = np.array([priors.diary_doubt if task.practice else 1.0 for task in data.tests])
    ease = np.array([task.ease for task in data.tests])
    centre = pt.where(form == 0, data.reference_level * (data.test_area @ p["share"]), ease)
    spread = np.array(priors.test_intercept_sd)[form] * doubt
    p["test_intercept"] = pm.Normal("test_intercept", centre, spread, dims="test")
    middle = np.array(priors.test_slope)[form]
    size = pm.LogNormal(
        "test_size", np.log(np.abs(middle)), np.array(priors.test_slope_log)[form], dims="test"
    )
    p["test_slope"] = pm.Deterministic("test_slope", np.sign(middle) * size, dims="test")
    p["test_sd"] = pm.LogNormal(
        "test_sd", np.log(np.array(priors.test_sd)[form] * doubt), priors.test_sd_log, dims="test"
    )


def _courses(data: Observations, priors: Priors) -> Any:
    """Strokes above the club's average course, shape (course,), summing to zero."""
    count = len(data.courses)
    if count == 1:
        return pm.Deterministic("course_effect", pt.zeros(1), dims="course")
    contrasts = helmert(count).T
    return pm.Deterministic(
        "course_effect",
        contrasts @ pm.Normal("course_contrast", 0.0, priors.course_sd, shape=count - 1),
        dims="course",
    )


def population(data: Observations, spec: ModelSpec) -> dict[str, Any]:
    """Declare the population values in the current PyMC model and return them by name."""
    priors = spec.priors
    p: dict[str, Any] = constants_of(priors)
    _levels(p, priors)
    _paths(p, data, priors)
    _rounds(p, data, priors)
    if data.categories:
        gap = reference_gap(spec, data.serves)
        p["gain"] = _gains(data, priors)
        rates = (p["gain"] / gap)[:, None] * data.serves
        p["rate_area"] = pm.Deterministic("rate_area", rates, dims=("category", "area"))
        p["log_half_life"] = pm.Normal("log_half_life", 0.0, priors.half_life_log_sd, dims="category")
        mean = pm.Normal("start_share_mean", priors.start_share_mean, priors.start_share_mean_sd)
        p["start_known"] = priors.start_share_most * pt.sigmoid(mean)
        p["start_new"] = priors.start_share_most * pt.sigmoid(mean + priors.start_share_newcomer)
        p |= declare_learnt([category.name for category in data.categories], spec)
    else:
        p["rate_area"] = pt.zeros((0, len(AREAS)))
        p["log_half_life"] = pt.zeros((0,))
        p["start_known"] = p["start_new"] = pt.ones(())
    return p


def marginal_log_likelihood(p: dict[str, Any], data: Observations, rows: Rows) -> Any:
    """Log likelihood with every golfer's effects integrated out.

    ``y ~ N(X b, diag(sd^2))`` with ``b ~ N(0, Q^-1)``, information ``G = X' D^-1 X`` and score
    ``s = X' D^-1 r``: by the matrix determinant lemma the determinant is that of ``P = Q + G`` over that
    of ``Q``, and by Woodbury's identity the quadratic form is ``r' D^-1 r - s' P^-1 s``.
    """
    precision, log_det = prior_precision(p, data, pt)
    load, error, each = whitened(rows, data, pt)
    golfers = golfer_evidence(data, rows, p["share"], load, error, precision)
    return golfers + 0.5 * len(data.golfers) * log_det + each


def plain_log_likelihood(p: dict[str, Any], data: Observations, rows: Rows) -> Any:
    """Log likelihood with every golfer's effects sampled: the reference that the fast form must equal."""
    standard = pm.Normal("effects", 0.0, 1.0, shape=(len(data.golfers), data.effects))
    effects = in_strokes(standard, p, data)
    path = effect_path(effects, data, rows, p["share"], pt)
    total: Any = 0.0
    for kind, load in rows.loads.items():
        error = (rows.residual[kind] - pt.sum(load * path, axis=1)) / rows.sd[kind]
        total = total - pt.sum(data.seen[kind] * (0.5 * error**2 + pt.log(rows.sd[kind]) + 0.5 * LOG_2PI))
    return total


def in_strokes(standard: Any, p: dict[str, Any], data: Observations) -> Any:
    """Turn standard normal values (N, D) into effects: the prior written the other way, as a factor."""
    cover = p["sd_level"] ** 2 * pt.outer(p["share"], p["share"]) + pt.diag(p["sd_area"] ** 2)
    size, count = len(AREAS), len(data.knots)
    gap = np.arange(count)[:, None] - np.arange(count)[None, :]
    keep = p["wander_keep"]
    fresh = pt.concatenate([pt.ones(1), pt.ones(count - 1) * pt.sqrt(1.0 - keep**2)])
    factor = keep ** np.maximum(gap, 0) * (gap >= 0) * fresh[None, :]
    return pt.concatenate(
        [
            standard[:, :size] @ pt.linalg.cholesky(cover).T,
            p["sd_drift"] * standard[:, size : 2 * size],
            p["sd_response"] * standard[:, 2 * size : 2 * size + 1],
            p["sd_start"] * standard[:, 2 * size + 1 : 2 * size + 2],
            p["sd_wander"] * standard[:, 2 * size + 2 : -len(OWN_STATS)] @ factor.T,
            own_spread(p, pt.ones(()), pt) * standard[:, -len(OWN_STATS) :],
        ],
        axis=1,
    )


def build_model(data: Observations, spec: ModelSpec, *, plain: bool = False) -> pm.Model:
    """Build the model.

    Parameters
    ----------
    data : Observations
    spec : ModelSpec
    plain : bool
        Keep every golfer's effects as sampled variables instead of integrating them out.
    """
    with pm.Model(coords=coordinates(data)) as model:
        p = population(data, spec)
        rows = golfer_rows(p, data, pt)
        form = plain_log_likelihood if plain else marginal_log_likelihood
        pm.Potential("rounds", form(p, data, rows))
    return model
