"""Golfers' own effects: their prior, what measurements say of them, their exact posterior, and draws of it.

``y ~ N(X b, diag(sd^2))`` with ``b ~ N(0, Q^-1)``, information ``G = X' D^-1 X`` and score ``s = X' D^-1 r``:
by the matrix determinant lemma the determinant is that of ``P = Q + G`` over that of ``Q``, and by Woodbury's
identity the quadratic form is ``r' D^-1 r - s' P^-1 s``. Sizes: golfer N, measurement M, effect D.

A golfer's effects D are followed by G that move his tests alone: his mismatch in each kind of test, then his
spells of form at them. These are standard normal beforehand and are integrated out of the likelihood.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from paryield.arrays import FLOATS
from paryield.model.design import Observations
from paryield.model.likelihood import KEYS, LOG_2PI, Measure, Said, measures, path, said, total_noise
from paryield.model.population import PopulationValues
from paryield.model.sheet import KINDS, Sheet, sheet_of
from paryield.model.terms import EFFECTS
from paryield.model.terms.level import mean_level
from paryield.model.terms.practice import start_share
from paryield.model.terms.term import Values
from paryield.tables.categories import AREAS


def prior_cover(p: Values, data: Any, xp: Any = np) -> Any:
    """Prior covariance of a golfer's effects, shape (..., D, D); ``data`` has the knots."""
    blocks = [effect.cover(p, data, xp) for effect in EFFECTS]
    sizes = [effect.size(data) for effect in EFFECTS]
    total: Any = 0.0
    for place, block in enumerate(blocks):
        into = np.eye(sum(sizes))[sum(sizes[:place]) : sum(sizes[: place + 1])]
        total = total + into.T @ block @ into
    return total


def prior_precision(p: Values, data: Any, xp: Any = np) -> tuple[Any, Any]:
    """Inverse of :func:`prior_cover`, shape (..., D, D), and its log determinant."""
    cover = prior_cover(p, data, xp)
    spread = xp.diagonal(cover, axis1=-2, axis2=-1) ** 0.5
    # Spreads differ by a factor of a hundred: the inverse of the correlations keeps its digits.
    scale = 1.0 / (spread[..., :, None] * spread[..., None, :])
    root = xp.linalg.cholesky(cover * scale)
    half = xp.linalg.inv(root)
    log_det = -2.0 * (xp.log(xp.diagonal(root, axis1=-2, axis2=-1)) + xp.log(spread)).sum(axis=-1)
    return (xp.swapaxes(half, -1, -2) @ half) * scale, log_det


def directions(found: Said, sheet: Sheet, xp: Any = np) -> Any:
    """How measurements over their errors move with each effect, shape (..., D, M)."""
    load = xp.concatenate(found.loads, axis=-1)
    columns: list[Any] = [0.0] * sheet.columns
    for weight, column, area in zip(found.weights, sheet.column, sheet.area, strict=True):
        columns[column] = columns[column] + weight[..., sheet.place] * load[..., int(area), :]
    own = [load[..., row, :] for row in range(len(AREAS), len(KEYS))]
    zero = 0.0 * load[..., 0, :]
    each = xp.stack([one + zero for one in (*columns, *own)], axis=-2)
    return each[..., sheet.source, :] * sheet.shared[:, sheet.place]


def every_direction(found: Said, sheet: Sheet, xp: Any = np) -> Any:
    """The same, what else moves a golfer's tests as more effects of his own, (..., D + G, M)."""
    return xp.concatenate([directions(found, sheet, xp), latent_directions(found, sheet, xp)], axis=-2)


def latent_directions(found: Said, sheet: Sheet, xp: Any = np) -> Any:
    """How measurements over their errors move with a golfer's mismatch in each kind of test, and with each
    of his spells of form at them, (..., G, M)."""
    kinds = np.arange(sheet.kinds_of_test)[:, None] == sheet.alike
    during = np.where(sheet.alike >= 0, sheet.spell[sheet.place], -1)
    spells = np.arange(sheet.spells)[:, None] == during
    apart = xp.concatenate(found.mismatches, axis=-1)[..., None, :] * kinds
    return xp.concatenate([apart, xp.concatenate(found.forms, axis=-1)[..., None, :] * spells], axis=-2)


def effect_path(effects: Any, weights: list[Any], sheet: Sheet, xp: Any = np) -> Any:
    """What golfers' own effects (..., N, D) add at occasions: strokes by area, then their own lasting
    differences, shape (..., L, R)."""
    mine = xp.moveaxis(effects[..., sheet.owner, :], -1, -2) * sheet.shared
    columns = [
        mine[..., np.flatnonzero(sheet.source == column), :].sum(axis=-2)
        for column in range(sheet.columns + len(KEYS) - len(AREAS))
    ]
    areas: list[Any] = [0.0] * len(AREAS)
    for weight, column, area in zip(weights, sheet.column, sheet.area, strict=True):
        areas[area] = areas[area] + weight * columns[column]
    return xp.stack([*areas, *columns[sheet.columns :]], axis=-2)


Draw = Callable[[str, Any, Any, Any], Any]
"""From a kind of measurement, its mean and standard deviation, and what was observed, all (..., n), to
values."""


def in_turn(p: Values, effects: Any, sheet: Sheet, draw: Draw, mismatch: Any = None, xp: Any = np) -> None:
    """Go through all measurements, kind after kind, each given the values that ``draw`` chose before it.

    Parameters
    ----------
    p : PopulationValues
    effects : array, shape (..., N, D)
    sheet : Sheet
    draw : callable
        Called once a kind, its measurements in the order of the groups.
    mismatch : array, shape (..., N, G)
        Golfers' lasting mismatch in each kind of test and their spells of form at them, in their spreads;
        needed where there are tests.
    xp : module
    """
    whole = path(p, sheet, sheet.occasions, xp)
    own = effect_path(effects, whole.weights, sheet, xp)
    values = [dict(known) for known in sheet.occasions.value]
    for kind in KINDS:
        groups = [place for place, group in enumerate(sheet.groups) if kind in group.kinds]
        if not groups:
            continue
        at = sheet.occasions._replace(value=tuple(values))
        means, sds = [], []
        for place in groups:
            group = sheet.groups[place]
            one = measures(p, sheet, at, whole, place, xp)[group.kinds.index(kind)]
            moved = (one.load * own[..., group.first : group.last]).sum(axis=-2)
            if kind == "test":
                moved = moved + _apart(one, place, sheet, mismatch)
            # A residual is the value minus its mean, given what was measured before.
            means.append(values[place][kind] - one.residual + moved)
            sds.append(one.variance**0.5 + 0.0 * means[-1])
        observed = np.concatenate([sheet.occasions.value[place][kind] for place in groups])
        drawn = draw(kind, xp.concatenate(means, axis=-1), xp.concatenate(sds, axis=-1), observed)
        first = 0
        for place in groups:
            count = sheet.groups[place].last - sheet.groups[place].first
            values[place][kind] = drawn[..., first : first + count]
            first += count


def _apart(one: Measure, place: int, sheet: Sheet, mismatch: Any) -> Any:
    """What golfers' lasting mismatch and form at tests add to a group's tests, shape (..., n)."""
    group = sheet.groups[place]
    who = sheet.owner[group.first : group.last]
    spell = sheet.kinds_of_test + sheet.spell[group.first : group.last]
    return one.mismatch * mismatch[..., who, group.alike] + one.form * mismatch[..., who, spell]


class Information(NamedTuple):
    """What a club's measurements say of golfers' effects, mismatch and form at tests integrated out.

    ``gram`` (..., N, D, D) and ``score`` (..., N, D) at zero; ``apart`` (..., N) is what these add to the log
    density at effects of zero.
    """

    gram: Any
    score: Any
    apart: Any


def information(found: Said, sheet: Sheet, xp: Any = np) -> Information:
    """Information and score, at zero, of every golfer's effects.

    Results of one kind of test share a mismatch ``z ~ N(0, 1)``, those of a spell a form, that move them,
    over their errors, by the columns of ``A``: their covariance is ``1 + A A'``, whose inverse is
    ``1 - A (1 + A'A)^-1 A'`` and whose determinant is that of ``1 + A'A`` (Woodbury 1950).
    """
    places, held = sheet.padded
    mine = xp.moveaxis(directions(found, sheet, xp)[..., places] * held, -3, -2)
    error = xp.concatenate(found.errors, axis=-1)[..., places]
    gram, score = mine @ xp.swapaxes(mine, -1, -2), (mine @ error[..., None])[..., 0]
    if not sheet.kinds_of_test:
        return Information(gram, score, 0.0 * error.sum(axis=-1))
    latent = xp.moveaxis(latent_directions(found, sheet, xp)[..., places] * held, -3, -2)
    root = xp.linalg.cholesky(np.eye(sheet.latents) + latent @ xp.swapaxes(latent, -1, -2))
    half = xp.linalg.inv(root)
    toward = half @ (latent @ xp.swapaxes(mine, -1, -2))
    off = (half @ (latent @ error[..., None]))[..., 0]
    gram = gram - xp.swapaxes(toward, -1, -2) @ toward
    score = score - (xp.swapaxes(toward, -1, -2) @ off[..., None])[..., 0]
    apart = 0.5 * (off**2).sum(axis=-1) - xp.log(xp.diagonal(root, axis1=-2, axis2=-1)).sum(axis=-1)
    return Information(gram, score, apart)


def log_likelihood(p: Values, data: Any, sheet: Sheet, xp: Any = np) -> Any:
    """Log likelihood with every golfer's effects integrated out, shape (...,)."""
    found = said(p, sheet, sheet.occasions, xp)
    precision, log_det = prior_precision(p, data, xp)
    told = information(found, sheet, xp)
    root = xp.linalg.cholesky(told.gram + precision[..., None, :, :])
    half = (xp.linalg.inv(root) @ told.score[..., None])[..., 0]
    each = (
        told.apart + 0.5 * (half**2).sum(axis=-1) - xp.log(xp.diagonal(root, axis1=-2, axis2=-1)).sum(axis=-1)
    )
    return each.sum(axis=-1) + 0.5 * sheet.golfers * log_det + found.each


type Draws = PopulationValues[FLOATS]


def places_of(data: Observations) -> dict[str, slice]:
    """Where the effects of a golfer stand, by the name of his draws; knots have theirs."""
    found, first = {}, 0
    for effect in EFFECTS:
        found[effect.stored[0]] = slice(first, first + effect.size(data))
        first += effect.size(data)
    return {name: place for name, place in found.items() if name}


def natural_units(p: Draws, data: Observations, effects: FLOATS) -> dict[str, FLOATS]:
    """Name the parts of golfers' effects (..., N, D), in natural units.

    Returns
    -------
    dict
        Arrays (..., N, ...) by the names of :data:`paryield.posterior.contents.GOLFER`.
    """
    single = {effect.stored[0] for effect in EFFECTS if len(effect.stored[1]) == 1}
    found = {name: effects[..., place] for name, place in places_of(data).items()}
    found = {name: own[..., 0] if name in single else own for name, own in found.items()}
    return {
        **found,
        "level": np.swapaxes(mean_level(p, data.habit_area.T), -1, -2) + found["level"],
        "noise_total": total_noise(p, data),
        "start_share": start_share(p, data.joined),
    }


def golfer_posterior(p: Draws, data: Observations) -> tuple[FLOATS, FLOATS]:
    """Mean and covariance of golfers' effects and mismatches, (..., N, D + G) and (..., N, D + G, D + G)."""
    sheet = sheet_of(data)
    precision, score = _told(p, data, sheet, said(p, sheet, sheet.occasions, np))
    cover = np.linalg.inv(precision)
    return (cover @ score[..., None])[..., 0], cover


def drawn_after(p: Draws, data: Observations, sheet: Sheet, rng: np.random.Generator) -> FLOATS:
    """Draw golfers' effects and mismatches given their rows, shape (S, N, D + G), for S draws of ``p``."""
    precision, score = _told(p, data, sheet, said(p, sheet, sheet.occasions, np))
    root = np.linalg.cholesky(precision)
    half = np.linalg.solve(root, score[..., None])
    drawn: FLOATS = np.linalg.solve(np.swapaxes(root, -1, -2), half + rng.normal(size=half.shape))[..., 0]
    return drawn


def drawn_before(p: Draws, data: Observations, rng: np.random.Generator) -> FLOATS:
    """Draw golfers' effects and mismatches from their prior, shape (S, N, D + G), for S draws of ``p``."""
    root = np.linalg.cholesky(prior_cover(p, data))
    shocks = rng.normal(size=(len(root), len(data.golfers), data.effects + data.latents))
    own = shocks[..., : data.effects] @ np.swapaxes(root, -1, -2)
    return np.concatenate([own, shocks[..., data.effects :]], axis=-1)


def log_density(p: Draws, sheet: Sheet, effects: FLOATS) -> FLOATS:
    """Log density of what was measured at each occasion given golfers' effects and mismatches.

    Parameters
    ----------
    p : PopulationValues
        Draws in front, (S, ...).
    sheet : Sheet
    effects : array, shape (S, N, D + G)

    Returns
    -------
    array, shape (S, R)
        By occasion of the sheet: all measurements of a round together, each given those before it.
    """
    found = said(p, sheet, sheet.occasions, np)
    own = effects[..., sheet.owner[sheet.place], :]
    moved = np.einsum("...dm,...md->...m", every_direction(found, sheet), own)
    error = np.concatenate(found.errors, axis=-1) - moved
    each = np.log(np.concatenate(found.scales, axis=-1)) - 0.5 * error**2 - 0.5 * LOG_2PI
    order = np.argsort(sheet.place, kind="stable")
    first = np.searchsorted(sheet.place[order], np.arange(len(sheet.rows)))
    by_occasion: FLOATS = np.add.reduceat(each[..., order], first, axis=-1)
    return by_occasion


def _told(p: Draws, data: Observations, sheet: Sheet, found: Said) -> tuple[FLOATS, FLOATS]:
    """Posterior precision and score, at zero, of every golfer's effects and mismatches."""
    places, held = sheet.padded
    mine = np.moveaxis(every_direction(found, sheet)[..., places] * held, -3, -2)
    error = np.concatenate(found.errors, axis=-1)[..., places]
    cover, kinds = prior_cover(p, data), sheet.latents
    own = cover.shape[-1]
    prior = np.zeros((*cover.shape[:-2], own + kinds, own + kinds))
    prior[..., :own, :own], prior[..., own:, own:] = np.linalg.inv(cover), np.eye(kinds)
    return prior[..., None, :, :] + mine @ np.swapaxes(mine, -1, -2), (mine @ error[..., None])[..., 0]
