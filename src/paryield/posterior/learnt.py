"""What clubs have learnt of practice, and what that says of another club: files, and random effects.

Values stand on the scale of the usual prior, on which each is standard normal before any record: the common
rate of gains, each category's own part, and each half-life. A club's record is a likelihood on that scale:
what its fit says, with the prior divided out. Clubs differ: a club's values spread by ``sd`` about those of
all clubs, and ``sd`` is estimated, on a grid, for the common rate and for the rest apart (DerSimonian &
Laird 1986, from memory, is the moment form of the same model).
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np

from paryield.arrays import FLOATS
from paryield.errors import InputError
from paryield.posterior.contents import Posterior

KIND, FORMAT = "paryield learnt", 1
FEWEST_GOLFERS = 20
"""A club of fewer passes nothing on: what a club of few has learnt is nearly what each of them has done.
[judgement]"""
LARGEST_BYTES = 1_000_000
MOST_NAMES = 200
DECIMALS = 3
SPREADS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
"""Share of the prior's variance that lies between clubs: the grid, each as likely as its neighbour but for
the ends, which are less likely (a beta law of 1.5 and 1.5). [judgement]"""
USUAL_SHARE = 0.2
"""Weight left on the usual prior, so that a club that is different can say so. [judgement]"""
COMMON, HALF_LIFE = "common", "half_life:"


@dataclass(frozen=True)
class Learnt:
    """What one club's fit says of practice.

    Parameters
    ----------
    names : tuple of str
        ``common``, then categories, then ``half_life:`` and a category.
    mean : array, shape (P,)
    cover : array, shape (P, P)
        Mean and covariance after the records, under the usual prior.
    golfers : int
    hours : float
        Golfers and hours of practice behind it.
    """

    names: tuple[str, ...]
    mean: FLOATS
    cover: FLOATS
    golfers: int
    hours: float

    def likelihood(self) -> tuple[FLOATS, FLOATS]:
        """Precision (P, P) of the records about the values, and precision times where they point (P,)."""
        inverse = np.linalg.inv(self.cover)
        values, vectors = np.linalg.eigh(inverse - np.eye(len(self.mean)))
        # Sampling error can leave a direction wider than the prior: the records then say nothing about it.
        precision = (vectors * np.maximum(values, 0.0)) @ vectors.T
        kept = (vectors * (values > 0)) @ vectors.T
        return precision, kept @ inverse @ self.mean

    def to_text(self) -> str:
        """The file: population values alone."""
        content = {
            "kind": KIND,
            "format": FORMAT,
            "golfers": self.golfers,
            "hours": round(self.hours, -1),
            "names": list(self.names),
            "mean": np.round(self.mean, DECIMALS).tolist(),
            "covariance": np.round(self.cover, DECIMALS + 1).tolist(),
        }
        return json.dumps(content, indent=1) + "\n"


def read_learnt(where: str | Path) -> Learnt:
    """Read a file.

    Raises
    ------
    InputError
        When it cannot be read or is no such file.
    """
    place = Path(where).expanduser()
    try:
        if place.stat().st_size > LARGEST_BYTES:
            raise _wrong(where, "it is too large")
        content = json.loads(place.read_bytes().decode("utf-8-sig"))
        return _checked(content, where)
    except OSError as error:
        raise _wrong(where, f"it cannot be read ({error.strerror})") from None
    except (ValueError, KeyError, TypeError, RecursionError):
        raise _wrong(where, "it is no file of what a club has learnt") from None


def _wrong(where: str | Path, what: str) -> InputError:
    return InputError(what, where=str(where), remedy="give a file that paryield learnt wrote")


def _checked(content: Any, where: str | Path) -> Learnt:
    if content["kind"] != KIND or content["format"] != FORMAT:
        raise ValueError
    names = tuple(map(str, content["names"]))
    mean, cover = (np.asarray(content[name], dtype=float) for name in ("mean", "covariance"))
    golfers, hours = int(content["golfers"]), float(content["hours"])
    count = len(names)
    fits = 0 < count <= MOST_NAMES and len(set(names)) == count and mean.shape == (count,)
    if not fits or cover.shape != (count, count) or not np.isfinite(hours) or golfers < FEWEST_GOLFERS:
        raise ValueError
    if not (np.isfinite(mean).all() and np.isfinite(cover).all() and np.abs(mean).max() < 20.0):
        raise ValueError
    if not np.allclose(cover, cover.T) or np.linalg.eigvalsh(cover).min() <= 0:
        raise _wrong(where, "its covariance is none")
    return Learnt(names, mean, cover, golfers, hours)


def learnt_of(posterior: Posterior, hours: float, where: str) -> Learnt:
    """What a fit has learnt of practice.

    Raises
    ------
    InputError
        When the club is too small, the fit knows no practice, or it started from a coach's expectations.
    """
    if len(posterior.golfers) < FEWEST_GOLFERS:
        raise InputError(
            f"what {len(posterior.golfers)} golfers have shown is not passed on",
            where=where,
            remedy=f"a club passes on what it learnt from {FEWEST_GOLFERS} golfers up",
        )
    if posterior.facts.get("expectations"):
        raise InputError(
            "this fit started from a coach's expectations", where=where, remedy="fit without --expectations"
        )
    found = posterior.facts.get("practice_values")
    if not found or not posterior.categories:
        raise InputError(
            "the fit holds nothing to pass on about practice",
            where=where,
            remedy="import a practice table and run paryield fit",
        )
    mean, cover = np.array(found["mean"]), np.array(found["covariance"])
    names = tuple(found["names"])
    prior = posterior.facts["spec"].get("learnt")
    if prior:
        mean, cover = _without(mean, cover, names, LearntPrior.from_dict(prior))
    return Learnt(names, mean, cover, len(posterior.golfers), hours)


def _without(mean: FLOATS, cover: FLOATS, names: Sequence[str], prior: LearntPrior) -> tuple[FLOATS, FLOATS]:
    """Mean and covariance under the usual prior instead of the learnt one that a fit started from."""
    prior_mean, prior_cover = prior.of(names)
    before, after = np.linalg.inv(prior_cover), np.linalg.inv(cover)
    values, vectors = np.linalg.eigh(after - before)
    precision = (vectors * np.maximum(values, 0.0)) @ vectors.T
    pointed = after @ mean - before @ prior_mean
    usual = np.linalg.inv(precision + np.eye(len(mean)))
    return usual @ pointed, usual


@dataclass(frozen=True)
class LearntPrior:
    """What other clubs say of a club not yet seen, on the scale of the usual prior.

    Parameters
    ----------
    names : tuple of str
    mean : tuple of float
    cover : tuple of tuple of float
        Of a new club: uncertainty about all clubs and the spread between them.
    spread : tuple of float
        Estimated spread between clubs of the common rate and of the rest, in the prior's own spread.
    clubs, golfers : int
    usual_share : float
        Weight left on the usual prior.
    """

    names: tuple[str, ...]
    mean: tuple[float, ...]
    cover: tuple[tuple[float, ...], ...]
    spread: tuple[float, float]
    clubs: int
    golfers: int
    usual_share: float = USUAL_SHARE

    @classmethod
    def from_dict(cls, record: Mapping[str, Any]) -> LearntPrior:
        """Return the prior of a plain record, as facts of a fit hold it."""
        return cls(
            tuple(record["names"]),
            tuple(record["mean"]),
            tuple(tuple(row) for row in record["cover"]),
            tuple(record["spread"]),
            int(record["clubs"]),
            int(record["golfers"]),
            float(record["usual_share"]),
        )

    def of(self, names: Sequence[str]) -> tuple[FLOATS, FLOATS]:
        """Mean (P,) and covariance (P, P) of some values; those that nobody learnt are standard normal."""
        mean, cover = np.zeros(len(names)), np.eye(len(names))
        here = [place for place, name in enumerate(names) if name in self.names]
        there = [self.names.index(names[place]) for place in here]
        mean[here] = np.array(self.mean)[there]
        cover[np.ix_(here, here)] = np.array(self.cover)[np.ix_(there, there)]
        return mean, cover


def combine(clubs: Sequence[Learnt], usual_share: float = USUAL_SHARE) -> LearntPrior:
    """What clubs together say of another one: random effects, averaged over the spread between clubs.

    Parameters
    ----------
    clubs : sequence of Learnt
    usual_share : float
        Weight left on the usual prior.

    Returns
    -------
    LearntPrior
    """
    names = tuple(dict.fromkeys(name for one in clubs for name in one.names))
    said = [_spread_out(one, names) for one in clubs]
    common = np.array([name == COMMON for name in names])
    found = []
    for of_common, of_rest in product(SPREADS, repeat=2):
        between = np.where(common, of_common, of_rest)
        weight, mean, cover = _given_spread(said, between)
        weight += 0.5 * sum(math.log(share * (1.0 - share)) for share in (of_common, of_rest))
        found.append((weight, mean, cover, of_common, of_rest))
    logs = np.array([one[0] for one in found])
    chance = np.exp(logs - logs.max())
    chance /= chance.sum()
    mean = sum((p * one[1] for p, one in zip(chance, found, strict=True)), np.zeros(len(names)))
    cover = sum(
        (p * (one[2] + np.outer(one[1] - mean, one[1] - mean)) for p, one in zip(chance, found, strict=True)),
        np.zeros((len(names), len(names))),
    )
    spread = tuple(
        float(np.sqrt(sum(p * one[at] for p, one in zip(chance, found, strict=True)))) for at in (3, 4)
    )
    return LearntPrior(
        names,
        tuple(map(float, mean)),
        tuple(tuple(map(float, row)) for row in cover),
        (spread[0], spread[1]),
        len(clubs),
        sum(one.golfers for one in clubs),
        usual_share,
    )


def _spread_out(one: Learnt, names: Sequence[str]) -> tuple[FLOATS, FLOATS]:
    """Likelihood of a club over all names; nothing is said of those it does not know."""
    precision, pointed = one.likelihood()
    at = [names.index(name) for name in one.names]
    whole, to = np.zeros((len(names), len(names))), np.zeros(len(names))
    whole[np.ix_(at, at)], to[at] = precision, pointed
    return whole, to


def _given_spread(said: Sequence[tuple[FLOATS, FLOATS]], between: FLOATS) -> tuple[float, FLOATS, FLOATS]:
    """Log evidence, and mean and covariance of a new club, for a share of variance between clubs (P,).

    A club's values are normal about those of all clubs with variance ``between``; those of all clubs have
    the rest of the prior's.
    """
    count = len(between)
    spread, rest = np.diag(between), 1.0 - between
    precision, pointed, weight = np.diag(1.0 / rest), np.zeros(count), 0.0
    for own, to in said:
        widened = np.eye(count) + own @ spread
        precision = precision + np.linalg.solve(widened, own)
        pointed = pointed + np.linalg.solve(widened, to)
        weight -= 0.5 * float(np.linalg.slogdet(widened)[1])
        weight += 0.5 * float(to @ spread @ np.linalg.solve(widened, to))
    cover = np.linalg.inv(0.5 * (precision + precision.T))
    weight -= 0.5 * float(np.log(rest).sum()) - 0.5 * float(np.linalg.slogdet(cover)[1])
    mean = cover @ pointed
    return weight + 0.5 * float(pointed @ mean), mean, cover + spread
