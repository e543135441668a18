"""One golfer's past, day by day: the practice at work then, from the diary, with the fit's own starts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.arrays import FLOATS, INTS
from paryield.dose.diary import ClubDiary, Diary, read_diary
from paryield.dose.stock import stock_on
from paryield.forecast.outlook import GolferDraws, golfer_draws, known
from paryield.model.doses import phantom_hours, settled_hours
from paryield.model.population import of_fit
from paryield.model.terms import TERMS, shared_strokes
from paryield.model.terms.drift import come
from paryield.model.terms.term import Moments
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM
from paryield.tables.frames import once

PARTS = tuple(dict.fromkeys(term.part for term in TERMS if not term.of_rounds))
"""Parts of the mean differential beside practice, in the order of the answer."""


@dataclass(frozen=True)
class Practised:
    """Hours of one golfer on every day of the club's record.

    Parameters
    ----------
    first_day : int
        Day of the first row, in days since 1970-01-01.
    hours : array, shape (day, category)
        Hours a day, the phantom's included where it was fitted.
    known : bool array, shape (day,)
        False where the hours were filled in from the golfer's habit.
    """

    first_day: int
    hours: FLOATS
    known: npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Past:
    """One golfer's draws, and the practice at work on asked days.

    Parameters
    ----------
    golfer : GolferDraws
    days : array, shape (T,)
        Days since 1970-01-01.
    stock : array, shape (S, T, J)
        Hours at work at the start of each day.
    extra : array, shape (S, T, J)
        What a start share higher by 1 would add to them.
    """

    golfer: GolferDraws
    days: INTS
    stock: FLOATS
    extra: FLOATS


def club_diary(posterior: Posterior, tables: Tables) -> Diary:
    """Read the diary as the fit read it: the fit's golfers, starts and last day."""
    ids, as_of = tuple(posterior.golfers), posterior.as_of
    starts = tuple(posterior.constant("starts").astype(int).tolist())
    context = posterior.facts.get("context")
    club = None if context is None else ClubDiary(**context["diary"])
    key = ("diary", ids, starts, as_of, None if club is None else repr(club))
    return once(tables, key, lambda: _diary(tables, ids, starts, as_of, club))


def _diary(
    tables: Tables, ids: tuple[str, ...], starts: tuple[int, ...], as_of: int, club: ClubDiary | None
) -> Diary:
    practice = tables.practice[tables.practice["practised_on"] <= pd.Timestamp(np.datetime64(as_of, "D"))]
    golfers = tables.golfers.set_index("golfer_id", drop=False).reindex(list(ids)).assign(golfer_id=list(ids))
    first = np.array(starts, dtype=np.int64)
    return read_diary(practice, golfers.reset_index(drop=True), tables.categories, first, as_of, club)


def golfer_hours(posterior: Posterior, diary: Diary, golfer_id: str) -> Practised:
    """Hours of one golfer by day in the order of the fit's categories.

    A category that the fit does not know is left out; one without entries has no hours.
    """
    n = posterior.golfer_number(golfer_id)
    hours = np.zeros((diary.hours.shape[1], len(posterior.categories)))
    for place, category in enumerate(diary.categories):
        if category.name in posterior.categories:
            hours[:, posterior.categories.index(category.name)] = diary.hours[n, :, place]
    if PHANTOM in posterior.categories and diary.categories:
        ghosts, starts = posterior.ghosts(), posterior.constant("starts").astype(np.int64)
        found = settled_hours(diary, ghosts) if ghosts else phantom_hours(diary, starts)
        hours[:, posterior.categories.index(PHANTOM)] = found[n]
    return Practised(diary.first_day, hours, diary.known[n])


def golfer_past(posterior: Posterior, golfer_id: str, practised: Practised, days: INTS) -> Past:
    """Practice at work on past days.

    Parameters
    ----------
    posterior : Posterior
    golfer_id : str
    practised : Practised
        As :func:`golfer_hours` gives it.
    days : int array, shape (T,)
        Days since 1970-01-01, from the golfer's start to the day after the as-of day.
    """
    posterior = posterior.of(golfer_id)
    n = posterior.golfer_number(golfer_id)
    golfer = golfer_draws(posterior, golfer_id)
    start = float(posterior.constant("starts")[n])
    steady = posterior.constant("steady")[:, n]
    share = posterior.draws("start_share")[:, n]
    shape = (golfer.samples, len(days), len(posterior.categories))
    fresh, held = np.zeros(shape), np.zeros(shape)
    for node, half_lives in enumerate(golfer.node_half_life):
        left = steady[node] * 2.0 ** (-(days[:, None] - start) / half_lives)
        weight = golfer.weights[node][:, None, :]
        fresh += weight * stock_on(practised.hours, half_lives, days - practised.first_day)
        held += weight * left
    return Past(golfer, days, np.maximum(fresh + share[:, None, None] * held, 0.0), held)


def past_days(
    posterior: Posterior,
    tables: Tables,
    golfer_id: str,
    days: INTS,
    rounds: pd.DataFrame | None = None,
) -> Moments:
    """Past days of one golfer, with the rounds that he played on them, if any."""
    n = posterior.golfer_number(golfer_id)
    shape = days.shape
    return Moments(
        np.full(shape, golfer_id, dtype=object),
        days,
        np.full(shape, float(posterior.constant("starts")[n])),
        np.full(shape, float(posterior.constant("joined")[n])),
        posterior.as_of,
        posterior.facts["spec"]["priors"],
        tuple(posterior.facts["programmes"]),
        tables,
        rounds,
    )


def term_columns(posterior: Posterior, at: Moments, of_rounds: bool) -> dict[str, FLOATS]:
    """What each term that the fit knows weighed, (C, T) by its name: terms of rounds, or of any day."""
    terms = (term for term in TERMS if term.of_rounds == of_rounds and known(posterior, term))
    return {term.name: term.columns(at) for term in terms}


def by_part(posterior: Posterior, columns: dict[str, FLOATS], parts: Iterable[str]) -> dict[str, FLOATS]:
    """Strokes of the terms added up by the part of a change they belong to, shape (S, T) each."""
    out: dict[str, FLOATS] = {}
    for part in parts:
        mine = [term for term in TERMS if term.part == part and term.name in columns]
        p = of_fit(posterior, (value.name for term in mine for value in term.values))
        total = shared_strokes(p, {term.name: columns[term.name] for term in mine})
        length = next((one.shape[1] for one in columns.values()), 0)
        out[part] = total + np.zeros((posterior.samples, length))
    return out


def beside_practice(posterior: Posterior, tables: Tables, golfer_id: str, past: Past) -> dict[str, FLOATS]:
    """What the mean differential held on past days beside level and practice, shape (S, T) each, strokes.

    Returns
    -------
    dict
        By part: those of the terms, the golfer's own drift in ``background`` and his own form in ``form``.
    """
    posterior = posterior.of(golfer_id)
    n, golfer = posterior.golfer_number(golfer_id), past.golfer
    parts = by_part(
        posterior,
        term_columns(posterior, past_days(posterior, tables, golfer_id, past.days), of_rounds=False),
        PARTS,
    )
    drift = come(past.days - float(posterior.constant("starts")[n]), golfer.elapsed_days)
    knots = posterior.constant("knots")
    near = np.clip(1.0 - np.abs(past.days[:, None] - knots) / (knots[1] - knots[0]), 0.0, None)
    parts["background"] = parts["background"] + np.outer(golfer.drift.sum(axis=1), drift)
    parts["form"] = parts["form"] + posterior.draws("wander")[:, n] @ near.T
    return parts
