"""Strokes by area of made-up clubs held against their truth, also with detail of the rounds taken away."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
import pandas as pd

from paryield.errors import InputError
from paryield.evaluate.scores import score_draws
from paryield.forecast.areas import area_now
from paryield.posterior import Posterior
from paryield.rounds.card_stats import CHANCES, TALLIES
from paryield.synth import ClubSpec, MadeUpClub, make_club
from paryield.tables import AREAS, Tables

if TYPE_CHECKING:
    from paryield.model.spec import ModelSpec

Keep = Literal["shots", "holes", "stats", "scores"]

LEVELS: tuple[Keep, ...] = ("shots", "holes", "stats", "scores")
"""Levels of detail, the richest first; each holds what the next one holds."""

COUNTED = [*(name for pair in CHANCES.values() for name in pair), *TALLIES.values()]
STAT_COLUMNS = tuple(name for name in COUNTED if name != "holes")
"""Columns of the rounds table that hold stats."""

DETAIL: tuple[Keep, ...] = ("shots", "stats", "scores")
"""Levels of detail compared, the richest first."""


def hide(club: MadeUpClub, keep: Keep, who: Literal["all", "half"] = "all", seed: int = 0) -> MadeUpClub:
    """Return the club with the rounds of some golfers told only down to a level of detail.

    Parameters
    ----------
    club : MadeUpClub
    keep : {"shots", "holes", "stats", "scores"}
        What is kept beside the scores: everything; all but shots and strokes gained as given; the stats of
        the round; nothing. Tests and practice stay.
    who : {"all", "half"}
        Every golfer, or half of them drawn by the seed.
    seed : int

    Raises
    ------
    InputError
        When the level is unknown.
    """
    if keep not in LEVELS:
        raise InputError(
            f"there is no level of detail {keep!r}", where="hide", remedy=f"use {', '.join(LEVELS)}"
        )
    return replace(club, tables=_hidden(club.tables, keep, hidden_golfers(club, who, seed)))


def hidden_golfers(club: MadeUpClub, who: Literal["all", "half"], seed: int = 0) -> set[str]:
    """Return the golfers whose detail :func:`hide` takes away."""
    ids = np.array(club.truth.ids, dtype=object)
    if who == "half":
        ids = np.random.default_rng([seed, 8]).permutation(ids)[: len(ids) // 2]
    return set(ids.tolist())


def _hidden(tables: Tables, keep: Keep, golfers: set[str]) -> Tables:
    level = LEVELS.index(keep)
    frames = {name: getattr(tables, name).copy() for name in ("rounds", "holes", "shots")}
    mine = frames["rounds"]["golfer_id"].isin(golfers)
    blank = [*AREAS, "baseline"] if level >= LEVELS.index("holes") else []
    blank += list(STAT_COLUMNS) if keep == "scores" else []
    for column in blank:
        frames["rounds"][column] = frames["rounds"][column].mask(mine)
    for name, last in (("shots", "shots"), ("holes", "holes")):
        if level > LEVELS.index(last):
            frame = frames[name]
            frames[name] = frame[~frame["golfer_id"].isin(golfers)].reset_index(drop=True)
    return replace(tables, **frames)


def detailed_club(seed: int, golfers: int = 40, weeks: int = 52) -> MadeUpClub:
    """Return a made-up club with the shots and stats of every round."""
    return make_club(ClubSpec(golfers=golfers, weeks=weeks, seed=seed, shots_share=1.0, stats_share=1.0))


def score_areas(club: MadeUpClub, posterior: Posterior) -> pd.DataFrame:
    """Score strokes by area on the last day of the record.

    Parameters
    ----------
    club : MadeUpClub
        Its truth on that day is what the draws are held against.
    posterior : Posterior
        Fit of the club's tables, whole or with detail hidden.

    Returns
    -------
    DataFrame
        One row per golfer of the fit and area: golfer_id, area, truth and width80 (strokes), and the scores
        of :func:`paryield.evaluate.scores.score_draws`.
    """
    day = pd.Timestamp(np.datetime64(posterior.as_of, "D")).date()
    rows: list[dict[str, Any]] = []
    for golfer_id in posterior.golfers:
        draws, truth = area_now(posterior, golfer_id), club.truth.areas(golfer_id, day)
        for place, area in enumerate(AREAS):
            own = draws[:, place]
            rows.append(
                {"golfer_id": golfer_id, "area": area, "truth": float(truth[place])}
                | {"width80": float(np.subtract(*np.quantile(own, [0.9, 0.1])))}
                | score_draws(own, float(truth[place]))
            )
    return pd.DataFrame(rows)


def fit_detail(
    seed: int,
    level: Keep,
    spec: ModelSpec,
    club: MadeUpClub | None = None,
    who: Literal["all", "half"] = "half",
) -> pd.DataFrame:
    """Make a club, hide all but a level of detail, fit it and score the areas of those it was hidden of.

    Parameters
    ----------
    seed : int
        Of the club.
    level : {"shots", "holes", "stats", "scores"}
    spec : ModelSpec
        How to fit.
    club : MadeUpClub, optional
        By default :func:`detailed_club` of the seed.
    who : {"half", "all"}
        Half of the golfers keep the shots of every round: from them the club's own relations are learnt, and
        the others are scored. With everyone's detail hidden only published guesses are left.

    Returns
    -------
    DataFrame
        Of :func:`score_areas`, with ``seed`` and ``detail``.
    """
    from paryield.model.fit import fit_tables  # here, so that scoring stored fits does not load the sampler

    club = club or detailed_club(seed)
    posterior = fit_tables(hide(club, level, who, seed).tables, spec, cores=1)
    scores = score_areas(club, posterior).assign(seed=seed, detail=level)
    return scores[scores["golfer_id"].isin(hidden_golfers(club, who, seed))].reset_index(drop=True)


def table_by_detail(scores: pd.DataFrame, by: tuple[str, ...] = ("detail",)) -> pd.DataFrame:
    """Average scores over clubs.

    Parameters
    ----------
    scores : DataFrame
        Of :func:`fit_detail`, several clubs and levels.
    by : tuple of str
        ``detail``, or ``detail`` and ``area``.

    Returns
    -------
    DataFrame
        One row per group, the richest detail first: n, ``bias`` (median less truth, strokes) and its standard
        error over clubs, ``cover80``, ``width80`` and ``rmse`` (strokes).
    """
    keys = list(by)
    order = {level: place for place, level in enumerate(DETAIL)}
    grouped = scores.groupby(keys, sort=False)
    table = grouped[["cover80", "width80"]].mean()
    table.insert(0, "n", grouped.size())
    table.insert(1, "bias", grouped["error"].mean())
    clubs = scores.groupby([*keys, "seed"], sort=False)["error"].mean().groupby(keys, sort=False)
    table.insert(2, "bias_se", clubs.std() / np.sqrt(clubs.size()))
    table["rmse"] = grouped["error"].apply(lambda error: float(np.sqrt(np.mean(np.square(error)))))
    table = table.reset_index()
    return table.sort_values("detail", key=lambda column: column.map(order), kind="stable", ignore_index=True)
