"""Calibration of the whole way: golfers, tables, observations made anew, fit, forecast, week and verdict.

:mod:`paryield.evaluate.calibration` keeps what is read off the rounds before a fit (each golfer's spread, his
usual level, the gap that his answer to practice is a share of) as it was when truths were drawn. Here
golfers have spreads and gaps of their own, their scores are written into tables, and all is read from there.
What is ranked is what a coach is shown. A week is chosen by looking at the draws; that leaves the rank of
what it truly gains uniform all the same, so that verdicts, which follow from those draws, are inside.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd
import xarray as xr

from paryield.arrays import FLOATS
from paryield.evaluate import calibration
from paryield.evaluate.calibration import RETURN_WEEKS, SPEC, Truth, known_values, one_draw, rank_of
from paryield.forecast import forecast_tables, golfer_draws, habit_hours
from paryield.model.design import Observations, build_observations
from paryield.model.fit import fit_tables
from paryield.model.golfers import natural_units
from paryield.model.simulate import draw_effects, draw_measurements, draw_population
from paryield.model.spec import ModelSpec
from paryield.model.terms.term import Values
from paryield.plan.advice import plan_tables
from paryield.plan.outcome import make_outcome
from paryield.plan.worth import return_draws
from paryield.posterior import Posterior
from paryield.synth import ClubSpec, make_club
from paryield.tables import Tables
from paryield.tables.categories import PHANTOM

CLUB = replace(calibration.CLUB, weeks=52, seed=43, stats_share=0.0)
"""A year, for the season; scores alone, which can be written down as they were drawn."""
AHEAD = (12, 26)
RANKED_GOLFERS = 3
FAULTS = ("none", "spread", "season")
"""Faults that are planted: a golfer's spread is shown as if it were known; scores lose the season on their
way into the tables."""
LEAST_RATING, MOST_RATING = 18.0, 108.0
"""Course ratings that the tables take."""
STANDARD_SLOPE, SCORE = 113.0, 80
"""Slope rating of standard difficulty (Rules of Handicapping, rule 5.1), at which a stroke is a stroke."""


def replicate_whole(
    seed: int, fault: str = "none", spec: ModelSpec = SPEC, club: ClubSpec = CLUB
) -> pd.DataFrame:
    """Draw golfers and their scores, write them down, fit the tables, and rank what is shown.

    Parameters
    ----------
    seed : int
        One seed gives one replicate; who plays and practises when is the same in all.
    fault : {"none", "spread", "season"}
        See :data:`FAULTS`.

    Returns
    -------
    DataFrame
        quantity, element, rank (0 to 1, ties broken by lot) and seed; of the week also its ``verdict``, the
        chance that it gains, as told, and whether it does. Without rows where a score was drawn that no card
        could hold: left out for what was seen, not for the truth behind it, so that ranks stay even.
    """
    tables = make_club(club).tables
    asked = build_observations(tables, spec)
    drawn = draw_population(asked, spec, seed)
    rng = np.random.default_rng([seed, 43])
    effects = draw_effects(drawn, asked, rng)
    own = with_own_values(drawn, asked, effects, spec, rng)
    shown = drawn if fault != "season" else without_season(drawn)
    played = draw_measurements(shown, own, effects, rng)
    if not fits_a_card(played):
        return pd.DataFrame()
    written = written_down(tables, played)
    fit = fit_tables(written, replace(spec, seed=seed), cores=1)
    truth = Truth(known_values(drawn, own, effects, fit))
    return pd.DataFrame(
        [{**row, "seed": seed} for row in ranked(fit, true_fit(fit, truth, own), own, written, fault, rng)]
    )


def with_own_values(
    p: Values, data: Observations, effects: FLOATS, spec: ModelSpec, rng: np.random.Generator
) -> Observations:
    """The design with each golfer's own spread of a round and his own gaps, as no fit knows them."""
    level = natural_units(p, data, effects)["level"]
    priors, total = spec.priors, level.sum(axis=1)
    base = priors.noise_base + priors.noise_slope * np.maximum(total - 3.0, -3.0)
    spread = base * np.exp(priors.noise_golfer_log * rng.normal(size=len(total)))
    return replace(data, noise_guess=spread / float(p["noise_scale"]), gap_guess=level - spec.floor)


def without_season(p: Values) -> Values:
    """Population values of a club whose scores know no season."""
    names = ("season_cos", "season_sin", "season_cos2", "season_sin2")
    return p | {name: np.zeros_like(p[name]) for name in names}


def fits_a_card(played: Observations) -> bool:
    """Whether each drawn differential can be written down as a score on a course with a possible rating."""
    rating = SCORE - played.value["differential"]
    return bool(np.all((rating > LEAST_RATING) & (rating < MOST_RATING)))


def written_down(tables: Tables, played: Observations) -> Tables:
    """Tables whose rounds have the drawn differentials, to a tenth, on courses of standard difficulty."""
    rounds = tables.rounds.sort_values(["golfer_id", "played_on", "round_no"], ignore_index=True)
    who = np.array(played.golfers)[played.owner]
    if len(rounds) != len(who) or not (rounds["golfer_id"].to_numpy(object) == who).all():
        raise ValueError("every round of the club must be one occasion of the fit, and nothing else")
    rating = np.round(SCORE - played.value["differential"], 1)
    changed = {"adjusted_gross_score": SCORE, "slope_rating": int(STANDARD_SLOPE), "pcc": 0}
    for name, value in {**changed, "course_rating": rating}.items():
        rounds[name] = pd.Series(value, index=rounds.index).astype(rounds[name].dtype)
    rounds["score_differential"] = pd.Series(np.nan, index=rounds.index).astype(
        rounds["score_differential"].dtype
    )
    return replace(tables, rounds=rounds)


def true_fit(fit: Posterior, truth: Truth, own: Observations) -> Posterior:
    """The fit with the truth as its only draw, its gaps and spreads, and luck of its own in days to come."""
    only = one_draw(fit, truth)
    known = only.tree["constant_data"].to_dataset()
    gaps = known["gap_guess"].copy(data=own.gap_guess)
    sure = known["noise_df"].copy(data=np.full(len(own.golfers), 1e12))
    groups = {"/posterior": only.tree["posterior"].to_dataset()}
    groups["/constant_data"] = known.assign(gap_guess=gaps, noise_df=sure)
    facts = {**fit.facts, "seed": int(fit.facts["seed"]) + 1_000_003}
    return replace(only, tree=xr.DataTree.from_dict(groups), facts=facts)


def ranked(
    fit: Posterior, only: Posterior, own: Observations, tables: Tables, fault: str, rng: np.random.Generator
) -> list[dict[str, Any]]:
    """Rows of all that is ranked."""
    golfers = tuple(fit.golfers[:RANKED_GOLFERS])
    spreads = own.noise_guess * float(only.draws("noise_scale")[0])
    pairs: list[tuple[str, str, FLOATS, float]] = []
    for place, golfer in enumerate(golfers):
        ours, real = golfer_draws(fit, golfer), golfer_draws(only, golfer)
        spread = fit.draws("noise_total")[:, place] if fault == "spread" else ours.noise
        pairs.append(("spread of a round", golfer, spread, float(spreads[place])))
        pairs.append(("level", golfer, ours.level.sum(axis=1), float(real.level.sum())))
        hours = habit_hours(fit, golfer)
        found, true = (return_draws(one, hours, RETURN_WEEKS) for one in (ours, real))
        for at, name in enumerate(fit.categories):
            if name != PHANTOM:
                pairs.append((f"return of {name}", golfer, found[:, at], float(true[0, at])))
    pairs += _ahead(fit, only, tables, golfers)
    rows = [
        {"quantity": quantity, "element": element, "rank": rank_of(draws, value, rng)}
        for quantity, element, draws, value in pairs
    ]
    return [*rows, *(_week(fit, only, tables, golfer, rng) for golfer in golfers)]


def _ahead(
    fit: Posterior, only: Posterior, tables: Tables, golfers: tuple[str, ...]
) -> list[tuple[str, str, FLOATS, float]]:
    """What is forecast of golfers and of the club: the truth lives on by chance, as every draw does."""
    found: list[tuple[str, str, FLOATS, float]] = []
    ours = forecast_tables(fit, tables, weeks=AHEAD, because=False).draws
    real = forecast_tables(only, tables, weeks=AHEAD, because=False).draws
    for place, weeks in enumerate(AHEAD):
        for golfer in golfers:
            for what in ("mean", "index"):
                draws, true = (getattr(one[golfer], what)[:, place] for one in (ours, real))
                if not (np.isnan(draws).any() or np.isnan(true).any()):
                    found.append((f"{what} in {weeks} weeks", golfer, draws, float(true[0])))
        club, true_club = (
            np.mean([one.mean[:, place] for one in each.values()], axis=0) for each in (ours, real)
        )
        found.append((f"mean of the club in {weeks} weeks", "", club, float(true_club[0])))
    return found


def _week(
    fit: Posterior, only: Posterior, tables: Tables, golfer: str, rng: np.random.Generator
) -> dict[str, Any]:
    """The week that is found best for a golfer: what it gains against the present one, told and true."""
    made = plan_tables(fit, tables, golfers=[golfer])
    advice, record = made.advice[golfer], made.records[0]
    outcome = make_outcome(only, golfer, advice.names, int(record["weeks"]))
    real = float(outcome.gain(advice.best[None, :], advice.now)[0, 0])
    return {
        "quantity": "gain of the best week",
        "element": golfer,
        "rank": rank_of(advice.gain, real, rng),
        "verdict": advice.verdict,
        "told": float(np.mean(advice.gain > 0.0)),
        "gains": real > 0.0,
    }
