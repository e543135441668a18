"""Golfers' own effects given the population values, written plainly: names, posterior, draws.

A golfer's effects D are followed by G that move his tests alone: his mismatch in each kind of test, then his
spells of form at them. These are standard normal beforehand and are integrated out of the likelihood.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from paryield.model.design import Observations
from paryield.model.golfers import every_direction, prior_cover
from paryield.model.likelihood import LOG_2PI, Said, said, total_noise
from paryield.model.population import PopulationValues
from paryield.model.sheet import Sheet, sheet_of
from paryield.model.terms import EFFECTS
from paryield.model.terms.level import mean_level
from paryield.model.terms.practice import start_share

FLOATS = npt.NDArray[np.float64]
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
