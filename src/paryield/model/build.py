"""The PyMC model: population values sampled, golfers integrated out exactly (or kept, for reference)."""

from __future__ import annotations

from typing import Any

import numpy as np
import pymc as pm
import pytensor.tensor as pt
from pytensor.gradient import disconnected_grad
from scipy.linalg import helmert

from paryield.model.design import Observations
from paryield.model.rows import Rows, effect_path, golfer_rows, in_strokes, information
from paryield.model.spec import SOFTPLUS_ZERO, ModelSpec, Priors
from paryield.tables.categories import AREAS

LOG_2PI = float(np.log(2.0 * np.pi))


def coordinates(data: Observations) -> dict[str, Any]:
    """Coordinates of the model's dimensions."""
    return {
        "golfer": list(data.golfers),
        "category": [category.name for category in data.categories],
        "area": list(AREAS),
        "area2": list(AREAS),
        "course": list(data.courses),
    }


def reference_gap(spec: ModelSpec, serves: Any) -> Any:
    """Strokes that the reference golfer could still close in what each category serves, shape (J,)."""
    share = np.array(spec.priors.share) / sum(spec.priors.share)
    return serves @ (share * spec.reference_level - spec.floor)


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
    p["sd_area"] = pm.LogNormal("sd_area", np.log(priors.area_sd), priors.area_sd_log, dims="area")
    cover = p["sd_level"] ** 2 * pt.outer(p["share"], p["share"]) + pt.diag(p["sd_area"] ** 2)
    p["level_factor"] = pm.Deterministic("level_factor", pt.linalg.cholesky(cover), dims=("area", "area2"))
    p["selection"] = pm.Normal("selection", 0.0, priors.selection_sd)


def _paths(p: dict[str, Any], data: Observations, priors: Priors) -> None:
    p["sd_wander"] = pm.LogNormal("sd_wander", np.log(priors.wander_sd), priors.wander_sd_log)
    days = pm.LogNormal("wander_days", np.log(priors.wander_days), priors.wander_days_log)
    p["wander_keep"] = pm.Deterministic("wander_keep", pt.exp(-(data.knots[1] - data.knots[0]) / days))
    p["sd_drift"] = pm.HalfNormal("sd_drift", priors.drift_sd)
    p["sd_response"] = pm.HalfNormal("sd_response", priors.response_spread)
    p["sd_start"] = np.float64(priors.start_share_spread)
    p["trend"] = pm.Normal("trend", priors.trend_mean, priors.trend_sd)
    p["start_shift"] = pm.Normal("start_shift", 0.0, priors.start_shift_sd)
    p["season_cos"] = pm.Normal("season_cos", 0.0, priors.season_sd)
    p["season_sin"] = pm.Normal("season_sin", 0.0, priors.season_sd)


def _rounds(p: dict[str, Any], data: Observations, priors: Priors) -> None:
    p["course_effect"] = _courses(data, priors)
    p["competition"] = pm.Normal("competition", priors.competition_mean, priors.competition_sd)
    scale = pm.LogNormal("noise_scale", 0.0, priors.noise_scale_log)
    p["noise"] = pm.Deterministic("noise", scale * data.noise_guess, dims="golfer")
    p["greens_intercept"] = pm.Normal("greens_intercept", priors.greens_intercept, priors.greens_intercept_sd)
    # Slopes are sampled per stroke of the whole score, which the data fix; per area they follow from shares.
    share = p["share"]
    p["greens_tee"] = np.float64(priors.greens_tee_weight)
    whole = pm.LogNormal("greens_per_stroke", np.log(priors.greens_per_stroke), priors.greens_per_stroke_log)
    reach = share[1] + priors.greens_tee_weight * share[0]
    p["greens_slope"] = pm.Deterministic("greens_slope", whole / reach)
    p["greens_sd"] = pm.LogNormal("greens_sd", np.log(priors.greens_sd), 0.3)
    p["putts_intercept"] = pm.Normal("putts_intercept", priors.putts_intercept, priors.putts_intercept_sd)
    p["putts_slope"] = pm.LogNormal("putts_slope", 0.0, priors.putts_slope_log)
    putts = pm.Normal("putts_per_stroke", priors.putts_per_stroke, priors.putts_per_stroke_sd)
    p["putts_short_game"] = pm.Deterministic(
        "putts_short_game", (putts - p["putts_slope"] * share[3]) / share[2]
    )
    p["putts_per_green"] = pm.Normal(
        "putts_per_green", priors.putts_per_root_green, priors.putts_per_root_green_sd
    )
    p["putts_sd"] = pm.LogNormal("putts_sd", np.log(priors.putts_sd), 0.3)
    p["greens_day"] = pm.Normal("greens_day", priors.greens_day, priors.greens_day_sd)
    p["putts_day"] = pm.Normal("putts_day", priors.putts_day, priors.putts_day_sd)


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
    p: dict[str, Any] = {}
    _levels(p, priors)
    _paths(p, data, priors)
    _rounds(p, data, priors)
    if data.categories:
        gap = reference_gap(spec, data.serves)
        rates = (_gains(data, priors) / gap)[:, None] * data.serves
        p["rate_area"] = pm.Deterministic("rate_area", rates, dims=("category", "area"))
        p["log_half_life"] = pm.Normal("log_half_life", 0.0, priors.half_life_log_sd, dims="category")
        mean = pm.Normal("start_share_mean", priors.start_share_mean, priors.start_share_mean_sd)
        p["start_share"] = pm.Deterministic(
            "start_share",
            priors.start_share_most * pt.sigmoid(mean + priors.start_share_newcomer * data.joined),
            dims="golfer",
        )
    else:
        p["rate_area"] = pt.zeros((0, len(AREAS)))
        p["log_half_life"] = pt.zeros((0,))
        p["start_share"] = pt.ones((len(data.golfers),))
    return p


def marginal_log_likelihood(p: dict[str, Any], data: Observations, rows: Rows) -> Any:
    """Log likelihood with every golfer's effects integrated out.

    ``y ~ N(X z, diag(sd^2))`` with ``z ~ N(0, I)``, information ``G = X' D^-1 X`` and score
    ``s = X' D^-1 r``: by the matrix determinant lemma the determinant is that of ``M = I + G`` and by
    Woodbury's identity the quadratic form is ``r' D^-1 r - s' M^-1 s``.
    """
    gram, score = information(p, data, rows, pt)
    golfers = _evidence(gram + np.eye(data.effects), score)
    each: Any = 0.0
    for seen, residual, sd in zip(presence(data), rows.residual, rows.sd, strict=True):
        each = each + pt.sum(seen * (0.5 * (residual / sd) ** 2 + pt.log(sd) + 0.5 * LOG_2PI))
    return golfers - each


def _evidence(precision: Any, score: Any) -> Any:
    """``-log det(M) / 2 + s' M^-1 s / 2`` summed over golfers.

    The gradient is written out, ``dM: -(M^-1 + u u') / 2`` and ``ds: u`` with ``u = M^-1 s``, because
    differentiating through the Cholesky factor costs more than all the rest.
    """
    factor = pt.linalg.cholesky(precision)
    eye = np.broadcast_to(np.eye(precision.type.shape[-1]), precision.type.shape)
    half = pt.linalg.solve_triangular(factor, pt.as_tensor(eye), lower=True, b_ndim=2)
    inverse = disconnected_grad(pt.swapaxes(half, 1, 2) @ half)
    centre = disconnected_grad(pt.sum(inverse * disconnected_grad(score)[:, None, :], axis=2))
    log_det = 2.0 * pt.sum(pt.log(pt.diagonal(factor, axis1=1, axis2=2)))
    value = disconnected_grad(-0.5 * log_det + 0.5 * pt.sum(score * centre))
    outer = centre[:, :, None] * centre[:, None, :]
    slope = pt.sum(centre * score) - 0.5 * pt.sum((inverse + outer) * precision)
    return value + slope - disconnected_grad(slope)


def presence(data: Observations) -> tuple[Any, Any, Any]:
    """1.0 where greens, putts and a differential were observed, shape (N, R) each."""
    return data.has_greens, data.has_putts, data.has_diff


def plain_log_likelihood(p: dict[str, Any], data: Observations, rows: Rows) -> Any:
    """Log likelihood with every golfer's effects sampled: the reference that the fast form must equal."""
    standard = pm.Normal("effects", 0.0, 1.0, shape=(len(data.golfers), data.effects))
    path = effect_path(in_strokes(standard, p, data, pt), p, data, rows, pt)
    total: Any = 0.0
    for seen, load, residual, sd in zip(presence(data), rows.loads, rows.residual, rows.sd, strict=True):
        error = (residual - pt.sum(load * path, axis=2)) / sd
        total = total - pt.sum(seen * (0.5 * error**2 + pt.log(sd) + 0.5 * LOG_2PI))
    return total


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
