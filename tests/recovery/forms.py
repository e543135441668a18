"""Made-up clubs, each fitted by several forms of the model: which foresees best, which names what area.

``uv run python tests/recovery/forms.py FILE`` takes those that FILE does not hold, in the order of the list,
and adds a line for each form, golfer and horizon. Seeds, kinds, days and forms stood here before the first
run. ``table_of`` makes the table of the notebook from it: scores with the weights of a stack, each club
scored with weights that the others gave, and how often a form names another area than the one that is fitted.

A form is a choice of priors, so that all run through the same code. The first, ``fitted``, is what the
package fits: bends between 17 and 150 hours, form that forgets itself in 60 to 240 days. The others hold one
of these fixed; ``single`` is what the first versions were. At 93f3b75 there was another value, a share of
practice that is forgotten three times as slowly; it was tried beside these, and taken out again.
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

FITTED = "fitted"
ONE_BEND = {"bend_log_sd": 1e-3}
FORMS: dict[str, tuple[dict[str, float], float]] = {
    FITTED: ({}, 50.0),
    "single": (ONE_BEND, 50.0),
    "bends at 20 h": (ONE_BEND, 20.0),
    "bends at 150 h": (ONE_BEND, 150.0),
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


def table_of(rows: pd.DataFrame, base: str = FITTED) -> pd.DataFrame:
    """Scores by form beside those of ``base``, the stack's weights and its own score, and areas named."""
    forms = [base, *(form for form in rows["form"].unique() if form != base)]
    wide = rows.pivot_table(index=["seed", "golfer", "weeks"], columns="form", values="log_density")[forms]
    seeds = wide.index.get_level_values("seed")
    by_others = pd.Series(0.0, index=wide.index)
    for seed in seeds.unique():
        mine = seeds == seed
        by_others[mine] = np.log(np.exp(wide[mine].to_numpy()) @ stack(wide[~mine].to_numpy()))
    once = rows.drop_duplicates(["seed", "golfer", "form"])
    named = once.pivot(index=["seed", "golfer"], columns="form", values="best")
    found = []
    for form, weight in zip(forms, stack(wide.to_numpy()), strict=True):
        own = rows[rows["form"] == form]
        found.append(
            {"form": form, "log density": wide[form].mean(), **beside(wide[form] - wide[base], seeds)}
            | {"CRPS": own["crps"].mean(), "80 % ranges hold": own["cover80"].mean()}
            | {"weight": weight, "names another area": float((named[form] != named[base]).mean())}
        )
    stacked = {"form": "stack", "log density": by_others.mean(), **beside(by_others - wide[base], seeds)}
    return pd.DataFrame([*found, stacked]).round(3)


def beside(more: pd.Series, seeds: pd.Index) -> dict[str, float]:
    """Mean over clubs of a difference, and its error."""
    apart = more.groupby(seeds).mean()
    return {"more than the first": apart.mean(), "its error": apart.std() / np.sqrt(len(apart))}


if __name__ == "__main__":
    run(Path(sys.argv[1]), clubs(), by_form)
    print(table_of(pd.read_csv(sys.argv[1])).to_string(index=False))
