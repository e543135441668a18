"""The noise floor: what practice seems to return when it is somebody else's.

Each golfer is given the diary of another, many times over. Whatever such a partner's practice seems to do for
his scores is chance: season, trend and habits that go with time are in it, practice is not. Returns are
estimated by one step of Gauss and Newton from the centre of the fit, for the club's own categories and for
each partner's beside them, everything that was measured speaking, golfers' own values integrated out.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np
from scipy.linalg import block_diag

from paryield.arrays import FLOATS, INTS
from paryield.dose.stock import HOURS_UNIT, bent
from paryield.model.design import Observations
from paryield.model.doses import doses
from paryield.model.golfers import every_direction, prior_cover
from paryield.model.likelihood import path, said
from paryield.model.sheet import sheet_of
from paryield.model.terms import TERMS
from paryield.model.terms.practice import bend_factor, start_share, stock_weights
from paryield.model.terms.term import Values
from paryield.tables.categories import AREAS, PHANTOM

PARTNERS = 24
"""Times that diaries are handed round. [judgement]"""
LEAST_DIARIES = 4
"""Golfers with a diary below whom there are too few ways to hand them round."""
RIDGE = 1e-6
"""Prior precision of what is estimated besides, so that what the data cannot tell stays where it is."""


@dataclass(frozen=True)
class NoiseFloor:
    """Estimated returns in strokes per 20 hours of the reference golfer, positive when scores fall.

    Parameters
    ----------
    categories : tuple of str
        The club's real categories.
    slopes, errors : tuple of float
        Return of each, and its standard error, were nothing known beforehand.
    partner_slopes, partner_errors : tuple of float
        The same for partners' practice, categories and partners in turn.
    """

    categories: tuple[str, ...]
    slopes: tuple[float, ...]
    errors: tuple[float, ...]
    partner_slopes: tuple[float, ...]
    partner_errors: tuple[float, ...]

    def to_dict(self) -> dict[str, Any]:
        """Plain record, stored among the facts of a fit."""
        return {name: list(value) for name, value in asdict(self).items()}


def noise_floor(p: Values, data: Observations, seed: int, partners: int = PARTNERS) -> NoiseFloor | None:
    """Estimate returns of the club's own practice and of partners' practice.

    Parameters
    ----------
    p : PopulationValues
        At the centre of a fit.
    data : Observations
    seed : int
    partners : int
        Times that diaries are handed round.

    Returns
    -------
    NoiseFloor or None
        None where fewer than four golfers keep a diary.
    """
    names = [category.name for category in data.categories]
    real = [place for place, name in enumerate(names) if name != PHANTOM]
    writers = np.flatnonzero(data.diary.has_diary)
    if not real or len(writers) < LEAST_DIARIES:
        return None
    seen = _Seen(p, data)
    rng = np.random.default_rng([seed, 24])
    ghosts = [_handed_round(data, writers, rng) for _ in range(partners)]
    columns = [seen.shared(), seen.column(seen.saved(data)[:, real])]
    columns += [seen.column(seen.saved(ghost)) for ghost in ghosts]
    beside = columns[0].shape[1]
    gram = seen.cross_products(np.concatenate([*columns, seen.error[:, None]], axis=1))
    known = beside + len(real)
    step, error = _own(gram, known)
    gains = reference_gains(p, data)[real]
    slopes, errors = gains + step[beside:], error[beside:]
    partner = _beside(gram, known)
    return NoiseFloor(
        tuple(names[place] for place in real), *(tuple(map(float, one)) for one in (slopes, errors, *partner))
    )


def reference_gaps(data: Observations, share: FLOATS) -> FLOATS:
    """Strokes that the reference golfer could still close in what each category serves, shape (J,)."""
    gaps: FLOATS = data.serves @ (share * data.reference_level - data.floor)
    return gaps


def reference_gains(p: Values, data: Observations) -> FLOATS:
    """Gains in strokes per 20 hours behind the rates of the population, shape (J,)."""
    if "gain" in p:
        return np.asarray(p["gain"], dtype=float)
    serves = data.serves
    gains: FLOATS = (p["rate_area"] * serves).sum(axis=1) / np.maximum((serves**2).sum(axis=1), 1e-12)
    return gains * reference_gaps(data, p["share"]) / bend_factor(p["log_bend"], data.bend_hours)


class _Seen:
    """Everything measured of a club over its errors, and how it moves with strokes."""

    def __init__(self, p: Values, data: Observations) -> None:
        self.p, self.data = p, data
        sheet = sheet_of(data)
        found = said(p, sheet, sheet.occasions, np)
        kinds = [one for group in sheet.groups for one in group.kinds for _ in range(group.count)]
        self.bounds, self.occasion = sheet.bounds, sheet.rows[sheet.place[sheet.order]]
        self.kind = np.array(kinds, dtype=object)[sheet.order]
        self.load: FLOATS = np.concatenate(found.loads, axis=-1)[:, sheet.order].T
        self.error: FLOATS = np.concatenate(found.errors)[sheet.order]
        self.scale: FLOATS = np.concatenate(found.scales)[sheet.order]
        self.direction: FLOATS = every_direction(found, sheet)[:, sheet.order].T
        self.left = np.zeros((len(data.owner), len(AREAS)))
        self.left[sheet.rows] = path(p, sheet, sheet.occasions, np).left.T
        self.prior: FLOATS = block_diag(np.linalg.inv(prior_cover(p, data)), np.eye(sheet.latents))

    def column(self, lost: FLOATS) -> FLOATS:
        """Measurements moved by strokes lost (R, C, K), shape (M, C)."""
        moved: FLOATS = np.einsum("mck,mk->mc", lost[self.occasion], self.load[:, : len(AREAS)])
        return moved

    def saved(self, practice: Observations) -> FLOATS:
        """Strokes lost by area for each stroke of a category's gain, shape (R, J, K); negative."""
        data, p = self.data, self.p
        doses, count = practice.doses, practice.doses.stock[0].shape[1]
        nodes = [np.asarray(weight)[:count] for weight in stock_weights(p)]
        fresh, held, steady = (
            sum(weight * one for weight, one in zip(nodes, each, strict=True))
            for each in (doses.stock, doses.held, doses.steady_factor)
        )
        share = start_share(p, data.joined[data.owner])[:, None]
        start = share * practice.habit[data.owner] * steady
        change = bent(np.maximum(fresh + share * held, 0.0), data.bend_hours) - bent(start, data.bend_hours)
        serves = data.serves[:count]
        each = bend_factor(np.asarray(p["log_bend"])[:count], data.bend_hours)
        rate = serves * (each / reference_gaps(data, p["share"])[:count])[:, None] / HOURS_UNIT
        open_: FLOATS = data.gap_guess[data.owner] * self.left
        return -change[:, :, None] * rate * open_[:, None, :]

    def shared(self) -> FLOATS:
        """What else moves the club's measurements alike, shape (M, C): time, season, courses, offsets."""
        data = self.data
        strokes = [*(one for term in TERMS for one in data.columns[term.name]), np.ones(len(data.days))]
        common = np.stack(strokes, axis=1)[:, :, None] * self.p["share"]
        parts = [self.column(common)]
        parts += [
            ((self.kind == kind) * self.scale)[:, None]
            for kind in data.seen
            if kind not in ("differential", "test")
        ]
        parts.append(((self.kind == "differential") * self.scale)[:, None] * data.course[self.occasion])
        if data.tests:
            tests = ((self.kind == "test") * self.scale)[:, None] * data.which_test[self.occasion]
            parts += [tests, tests * data.newness[self.occasion, None]]
        return np.concatenate(parts, axis=1)

    def cross_products(self, columns: FLOATS) -> FLOATS:
        """``columns' V^-1 columns``, golfers' own values integrated out, shape (C, C)."""
        total = np.zeros((columns.shape[1],) * 2)
        for first, last in zip(self.bounds[:-1], self.bounds[1:], strict=True):
            mine, own = columns[first:last], self.direction[first:last]
            toward = own.T @ mine
            total += mine.T @ mine - toward.T @ np.linalg.solve(self.prior + own.T @ own, toward)
        return total


def _handed_round(data: Observations, writers: INTS, rng: np.random.Generator) -> Observations:
    """Practice of a club in which each golfer with a diary keeps that of another, day for day."""
    diary, starts = data.diary, data.starts
    order = rng.permutation(writers)
    whose = np.arange(len(starts))
    whose[order] = np.roll(order, 1)
    day = diary.first_day + np.arange(diary.hours.shape[1])
    early = day[None, :] < starts[whose][:, None]
    hours = np.where(early[:, :, None], diary.start[whose][:, None, :] / 7.0, diary.hours[whose])
    hours = hours * (day[None, :] >= starts[:, None])[:, :, None]
    habit = diary.start[whose]
    found = doses(diary.categories, hours, habit, data.days, data.owner, starts, diary.first_day, data.as_of)
    return replace(data, doses=found, habit=habit)


def _own(gram: FLOATS, known: int) -> tuple[FLOATS, FLOATS]:
    """Step to the estimate of the first ``known`` columns, and its standard errors."""
    inside = gram[:known, :known]
    cover = np.linalg.pinv(inside + RIDGE * np.eye(known), hermitian=True)
    return cover @ gram[:known, -1], np.sqrt(np.maximum(np.diag(cover), 0.0))


def _beside(gram: FLOATS, known: int) -> tuple[FLOATS, FLOATS]:
    """Estimate of each column after the first ``known``, alone beside them, and its standard error."""
    inside = np.linalg.pinv(gram[:known, :known] + RIDGE * np.eye(known), hermitian=True)
    other = slice(known, gram.shape[0] - 1)
    across = gram[:known, other]
    clear = np.diag(gram)[other] - np.einsum("kc,kl,lc->c", across, inside, across)
    score = gram[other, -1] - across.T @ inside @ gram[:known, -1]
    clear = np.maximum(clear, RIDGE)
    return score / clear, 1.0 / np.sqrt(clear)
