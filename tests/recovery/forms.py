"""Twelve made-up clubs, each fitted by six forms of the model: which foresees best, which names what area.

``uv run python tests/recovery/forms.py FILE`` takes those that FILE does not hold, in the order of the list,
and adds a line for each form, golfer and horizon. Seeds, kinds, days and forms stood here before the first
run. ``tables_of`` makes the two tables of the notebook from it: scores with the weights of a stack, each club
scored with weights that the others gave, and how often a form names another area than the open one.

A form is a choice of priors, so that all run through the same code. ``open`` is what the package fits: bends
between 17 and 150 hours, a share of practice that lasts, form that forgets itself in 60 to 240
days. The others hold one of these fixed; ``single`` is what the first versions were.
"""

from __future__ import annotations

import sys
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from rosters import AHEAD, Roster, run
from scipy.optimize import minimize

from paryield.arrays import FLOATS
from paryield.evaluate.made_up import score_club
from paryield.forecast import forecast_tables, golfer_draws, habit_hours
from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec, Priors
from paryield.plan.worth import return_draws
from paryield.synth import make_club
from paryield.tables.categories import PHANTOM

FIRST_SEED = 8501
KINDS = ("other", "steady", "silent", "growing", "weak", "harmful", "lessons", "thin", "null", "unposted",
         "busy", "other")  # fmt: skip
LAST_DAY = date(2026, 7, 5)
RETURN_WEEKS = 12

ONE_BEND = {"bend_log_sd": 1e-3}
ONE_HALF_LIFE = {"lasting_mean": -20.0, "lasting_sd": 1e-3, "half_life_log_mean": 0.0}
FORMS: dict[str, tuple[dict[str, float], float]] = {
    "open": ({}, 50.0),
    "single": (ONE_BEND | ONE_HALF_LIFE, 50.0),
    "bends at 20 h": (ONE_BEND, 20.0),
    "bends at 150 h": (ONE_BEND, 150.0),
    "one half-life": (ONE_HALF_LIFE, 50.0),
    "wanders for good": ({"wander_days": 720.0, "wander_days_log": 0.1, "wander_sd": 2.2}, 50.0),
}
"""Constants of the priors that a form changes, and its bend in hours. A wander of 720 days and 2.2 strokes
moves as much in a month as one of 120 days and 0.9."""


def clubs() -> list[Roster]:
    """The twelve, on days by lot."""
    days = np.random.default_rng(FIRST_SEED).integers(0, 364, len(KINDS))
    return [
        Roster(FIRST_SEED + place, kind, 1.0, LAST_DAY - timedelta(days=int(days[place])))
        for place, kind in enumerate(KINDS)
    ]


def by_form(roster: Roster) -> list[dict[str, object]]:
    """Rows of a club: each golfer's scores by each form, and the area that would pay him most."""
    club = make_club(roster.spec)
    as_of = (roster.ends_on - date(1970, 1, 1)).days
    rows: list[dict[str, object]] = []
    for form, (changed, bend) in FORMS.items():
        spec = ModelSpec(
            draws=250, tune=120, chains=2, seed=roster.seed, priors=Priors(**changed), bend_hours=bend
        )
        fit = fit_tables(club.tables, spec, as_of=as_of, cores=1)
        scores = score_club(club, fit, AHEAD)
        ahead = forecast_tables(fit, club.tables, weeks=AHEAD, because=False).draws
        for row in scores[scores["quantity"] == "mean_differential"].to_dict("records"):
            golfer = str(row["golfer_id"])
            draws = ahead[golfer].mean[:, sorted(AHEAD).index(int(row["weeks"]))]
            best, worth = best_of(fit, golfer)
            rows.append(
                {"seed": roster.seed, "kind": roster.kind, "form": form, "golfer": golfer}
                | {"weeks": row["weeks"], "error": round(row["error"], 4), "crps": round(row["crps"], 4)}
                | {"cover80": row["cover80"], "log_density": log_density(draws, float(row["truth"]))}
                | {"best": best, "worth": worth, "sound": bool(fit.facts["health"]["ok"])}
            )
    return rows


def log_density(draws: FLOATS, truth: float) -> float:
    """Log density of the truth under a normal law with the draws' mean and spread."""
    spread = float(draws.std())
    return round(
        float(-0.5 * ((truth - draws.mean()) / spread) ** 2 - np.log(spread * np.sqrt(2 * np.pi))), 4
    )


def best_of(fit: Any, golfer: str) -> tuple[str, float]:
    """Category whose next hour a week is worth most on average over the draws, and what it is worth."""
    worth = return_draws(golfer_draws(fit, golfer), habit_hours(fit, golfer), RETURN_WEEKS).mean(axis=0)
    named = {name: float(worth[place]) for place, name in enumerate(fit.categories) if name != PHANTOM}
    best = max(named, key=lambda name: named[name])
    return best, round(named[best], 4)


def stack(density: FLOATS) -> FLOATS:
    """Weights (F,) that make the mixture's mean log density over the points (N, F) largest.

    Yao, Vehtari, Simpson & Gelman 2018, Bayesian Analysis 13:917, equation 6, by leave-future-out densities.
    """
    top = density.max(axis=1, keepdims=True)
    raised = np.exp(density - top)

    def loss(free: FLOATS) -> float:
        weights = np.exp(free - free.max())
        return float(-np.log(raised @ (weights / weights.sum())).mean())

    found = minimize(loss, np.zeros(density.shape[1]), method="Nelder-Mead", options={"maxiter": 4000}).x
    weights = np.exp(found - found.max())
    return np.asarray(weights / weights.sum())


def tables_of(file: Path) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Scores by form with the stack's, and how often the named best area differs from the open form's."""
    rows = pd.read_csv(file)
    wide = rows.pivot_table(index=["seed", "golfer", "weeks"], columns="form", values="log_density")
    wide = wide[list(FORMS)]
    weights = stack(wide.to_numpy())
    seeds = wide.index.get_level_values("seed")
    stacked = pd.Series(0.0, index=wide.index)
    for seed in seeds.unique():
        others = stack(wide[seeds != seed].to_numpy())
        mine = wide[seeds == seed]
        stacked[seeds == seed] = np.log(np.exp(mine.to_numpy()) @ others)
    scores = []
    for place, form in enumerate(FORMS):
        own = rows[rows["form"] == form]
        apart = (wide[form] - wide["open"]).groupby(seeds).mean()
        scores.append(
            {"form": form, "log density": wide[form].mean(), "less open": apart.mean()}
            | {"its error": apart.std() / np.sqrt(len(apart)), "CRPS": own["crps"].mean()}
            | {"80 % ranges hold": own["cover80"].mean(), "weight in a stack": weights[place]}
        )
    apart = (stacked - wide["open"]).groupby(seeds).mean()
    scores.append(
        {"form": "stack of the six", "log density": stacked.mean(), "less open": apart.mean()}
        | {"its error": apart.std() / np.sqrt(len(apart))}
    )
    named = rows.drop_duplicates(["seed", "golfer", "form"]).pivot(
        index=["seed", "golfer"], columns="form", values="best"
    )
    differ = pd.DataFrame(
        {
            "form": form,
            "golfers": len(named),
            "names another area than open": float((named[form] != named["open"]).mean()),
        }
        for form in FORMS
        if form != "open"
    )
    return pd.DataFrame(scores).round(3), differ.round(2)


if __name__ == "__main__":
    run(Path(sys.argv[1]), clubs(), by_form)
    for table in tables_of(Path(sys.argv[1])):
        print(table.to_string(index=False))
