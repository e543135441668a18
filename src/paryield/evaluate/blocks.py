"""Blocks held against what they then tell: live through one, fit the club again, ask again."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from paryield.dose.phantom import PHANTOM
from paryield.forecast.pace import club_paces
from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec
from paryield.plan.club_block import Member, club_information, club_question, stagger
from paryield.plan.learning import entropy
from paryield.plan.schedules import present_week
from paryield.plan.trial import DAYS_PER_WEEK, Schedule, make_trial
from paryield.posterior import Posterior
from paryield.posterior.thin import thinned
from paryield.tables import Tables, make_tables
from paryield.units import MINUTES_PER_HOUR

FLOATS = npt.NDArray[np.float64]
EPOCH = pd.Timestamp("1970-01-01")


def score_members(posterior: Posterior, tables: Tables, weeks: int, most: int = 500) -> list[Member]:
    """Members as :func:`paryield.plan.club_block.club_members`, of whose rounds only the score is kept."""
    few = thinned(posterior, most)
    paces = club_paces(tables, posterior.golfers, posterior.as_of)
    found = []
    for number, golfer in enumerate(posterior.golfers):
        week = present_week(posterior, tables, golfer, weeks)
        if week.free_hours > 0 and paces[golfer].mean > 0:
            noise = float(np.mean(posterior.draws("noise_total")[:, number] ** 2))
            trial = make_trial(few, golfer, weeks, paces[golfer], np.full((4, 4), 1.0 / noise))
            found.append((golfer, trial, week))
    return sorted(found, key=lambda member: float(member[1].golfer.level.sum(axis=1).mean()))


def random_parts(members: list[Member], seed: int) -> list[Schedule]:
    """Every member puts all hours into a category drawn by lot: the block to beat."""
    rng = np.random.default_rng([seed, 11])
    parts = []
    for _, _, week in members:
        names = [name for name, free in zip(week.names, week.movable, strict=True) if free]
        name = str(rng.choice(names))
        parts.append(Schedule((f"half to {name}",), week.towards(name, float(rng.random()))[None, :]))
    return parts


def lived(
    posterior: Posterior, tables: Tables, members: list[Member], parts: list[Schedule], draw: int, seed: int
) -> Tables:
    """The club after the block, with rounds drawn from one draw of the fit and the diary of the block."""
    rng = np.random.default_rng([seed, 12])
    rounds: list[dict[str, Any]] = []
    practice: list[dict[str, Any]] = []
    for (golfer, trial, _), part in zip(members, parts, strict=True):
        lost = (trial.lost(part, trial.days)[draw] + trial.beside[draw]).reshape(-1)
        path = (lost + rng.multivariate_normal(np.zeros(len(lost)), trial.wander)).reshape(
            len(trial.days), -1
        )
        noise = posterior.draws("noise_total")[:, posterior.golfer_number(golfer)].mean()
        for week, day in enumerate(trial.days):
            on = EPOCH + pd.Timedelta(days=posterior.as_of + int(day))
            for number in range(int(rng.poisson(trial.rounds / len(trial.days)))):
                score = round(float(path[week].sum() + noise * rng.normal()), 1)
                rounds.append(
                    {"golfer_id": golfer, "played_on": on, "round_no": number + 1}
                    | {"score_differential": score}
                )
            hours = part.hours[week * len(part.hours) // len(trial.days)]
            for name, spent in zip(posterior.categories, hours, strict=True):
                if spent > 0 and name != PHANTOM:
                    practice.append(
                        {"golfer_id": golfer, "practised_on": on, "category": name, "entry_no": 1}
                        | {"minutes": float(np.round(MINUTES_PER_HOUR * spent))}
                    )
    frames = dict(tables.items())
    frames["rounds"] = pd.concat([tables.rounds, make_tables({"rounds": pd.DataFrame(rounds)}).rounds])
    frames["practice"] = pd.concat(
        [tables.practice, make_tables({"practice": pd.DataFrame(practice)}).practice]
    )
    joined = {name: frame.reset_index(drop=True) for name, frame in frames.items()}
    return make_tables(joined, categories=tables.categories, settings=tables.settings)


def block_trial(
    posterior: Posterior, tables: Tables, spec: ModelSpec, weeks: int, seed: int, *, best: bool = True
) -> dict[str, float]:
    """Run one block of a club and fit again: the question before, as predicted, and as it came out.

    Parameters
    ----------
    posterior, tables
        A club and its fit.
    spec : ModelSpec
        How to fit again.
    weeks : int
    seed : int
        Chooses the draw that is the truth, and its luck.
    best : bool
        The advised staggered block, or one by lot.

    Returns
    -------
    dict
        seed, before, predicted, error, after (bits).
    """
    few = thinned(posterior, 500)
    question = club_question(few)
    members = score_members(posterior, tables, weeks)
    options = [random_parts(members, seed)]
    if best:
        ranked = [question.names[place] for place in np.argsort(-question.chance_best, kind="stable")]
        free = [name for name in ranked if members[0][2].movable[members[0][2].names.index(name)]]
        options = [
            stagger(members, tuple(free[:count]), crossed)
            for count in range(2, min(4, len(free)) + 1)
            for crossed in (False, True)
        ]
    told = [club_information(members, parts, question, 0) for parts in options]
    chosen = int(np.argmin([one.after for one in told]))
    rng = np.random.default_rng([seed, 13])
    draw = int(rng.integers(members[0][1].golfer.samples))
    after = lived(posterior, tables, members, options[chosen], draw, seed)
    fit = fit_tables(after, spec, as_of=posterior.as_of + DAYS_PER_WEEK * weeks, cores=1)
    later = club_question(fit)
    even = np.full((1, fit.samples), 1.0 / fit.samples)
    bits = entropy(even, later.returns.argmax(axis=1), len(later.names))
    return {
        "seed": float(seed),
        "before": told[chosen].before,
        "predicted": told[chosen].after,
        "error": told[chosen].error,
        "after": float(bits[0]),
    }
