"""One golfer's past, day by day: the practice at work then, from the diary, with the fit's own starts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.diary import ClubDiary, Diary, read_diary
from paryield.dose.exposure import Share, form_on_joining, of_programmes, total_exposure
from paryield.dose.phantom import PHANTOM, phantom_hours, settled_hours
from paryield.dose.stock import stock_on
from paryield.forecast.once import once
from paryield.forecast.outlook import SHORTEST_DRIFT_DAYS, GolferDraws, golfer_draws
from paryield.posterior import Posterior
from paryield.tables import Tables
from paryield.units import DAYS_PER_YEAR

FLOATS = npt.NDArray[np.float64]
INTS = npt.NDArray[np.int64]


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


def beside_practice(posterior: Posterior, tables: Tables, golfer_id: str, past: Past) -> dict[str, FLOATS]:
    """What the mean differential held on past days beside level and practice, shape (S, T) each, strokes.

    Returns
    -------
    dict
        ``background`` (the club's trend and the golfer's own slow drift), ``joining``, ``season``, ``form``
        and ``programme`` (what programmes gave beyond their hours), as the fit had them.
    """
    posterior = posterior.of(golfer_id)
    n, golfer, population = posterior.golfer_number(golfer_id), past.golfer, past.golfer.population
    elapsed = past.days - float(posterior.constant("starts")[n])
    span = max(golfer.elapsed_days, SHORTEST_DRIFT_DAYS)
    drift = np.sin(np.pi / 2 * np.clip(elapsed / span, 0.0, 1.0))
    angle = 2 * np.pi * past.days / DAYS_PER_YEAR
    knots = posterior.constant("knots")
    near = np.clip(1.0 - np.abs(past.days[:, None] - knots) / (knots[1] - knots[0]), 0.0, None)
    return {
        "background": np.outer(golfer.drift.sum(axis=1), drift)
        - np.outer(population["trend"], elapsed / DAYS_PER_YEAR),
        "joining": np.outer(
            population["start_shift"], golfer.joined * np.exp(-elapsed / golfer.start_shift_days)
        ),
        "season": np.outer(population["season_cos"], np.cos(angle))
        + np.outer(population["season_sin"], np.sin(angle)),
        "form": posterior.draws("wander")[:, n] @ near.T
        + _of_programmes(posterior, tables, golfer_id, past.days, "enrol_shift", form_on_joining),
        "programme": _of_programmes(
            posterior, tables, golfer_id, past.days, "programme_effect", total_exposure
        ),
    }


def _of_programmes(
    posterior: Posterior, tables: Tables, golfer_id: str, days: INTS, value: str, share: Share
) -> FLOATS:
    """Strokes lost by each day through a value of every programme and a share of it, shape (S, T)."""
    who = np.full(len(days), golfer_id, dtype=object)
    names, held = of_programmes(tables.programmes, who, days, posterior.as_of, share)
    out = np.zeros((posterior.samples, len(days)))
    for place, name in enumerate(posterior.facts["programmes"]):
        if name in names:
            out += np.outer(posterior.draws(value)[:, place], held[:, names.index(name)])
    return out
