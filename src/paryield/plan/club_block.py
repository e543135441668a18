"""A block for the whole club: members take turns, so that the programme itself becomes an experiment."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.dose.phantom import PHANTOM
from paryield.forecast.pace import club_paces
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.learning import Information, expected_information, measured_precision
from paryield.plan.options import (
    NEAR_BEST,
    Option,
    Question,
    blank,
    cost_if_wrong,
    information_fields,
    weeks_plan,
)
from paryield.plan.schedules import Week, present_week
from paryield.plan.trial import Schedule, Trial, make_trial
from paryield.posterior import Posterior
from paryield.posterior.thin import thinned
from paryield.results import summary
from paryield.tables import Tables

FLOATS = npt.NDArray[np.float64]
MOST_CATEGORIES = 4
"""So many of the likeliest categories take part."""
CLUB_DRAWS = 500


def club_records(
    posterior: Posterior, tables: Tables, weeks: int
) -> tuple[list[dict[str, Any]], dict[str, list[Option]]]:
    """Records of the club's block: the club first, then each member's part in it."""
    few = thinned(posterior, CLUB_DRAWS)
    question = club_question(few)
    members = club_members(posterior, few, tables, weeks)
    choices = _choices(question, members[0][2]) if members else []
    if not choices:
        record = {"golfer_id": None, "weeks": weeks, "rounds": 0.0}
        return [record | blank("no members play and have hours to shift between categories")], {}
    found = {
        plan_name(names, crossed): stagger(members, names, crossed)
        for names in choices
        for crossed in (False, True)
    }
    seed = int(posterior.facts["seed"])
    as_now = [Schedule(("",), week.hours[None, :]) for _, _, week in members]
    present = club_information(members, as_now, question, seed)
    options: dict[str, list[Option]] = {}
    for name, parts in found.items():
        information = club_information(members, parts, question, seed)
        options[name] = [
            Option(part, information, present, trial.cost(part, week.hours))
            for (_, trial, week), part in zip(members, parts, strict=True)
        ]
    most = max(parts[0].gain for parts in options.values())
    near = [parts for parts in options.values() if parts[0].gain >= NEAR_BEST * most - 1e-12]
    chosen = min(near or list(options.values()), key=mean_cost)
    return _records(posterior, members, question, chosen, options, weeks), options


def club_question(posterior: Posterior) -> Question:
    """Which category is best for the club: its gain for the reference golfer per 20 hours."""
    real = np.array([name != PHANTOM for name in posterior.categories])
    return Question(tuple(np.array(posterior.categories)[real]), posterior.draws("gain")[:, real])


Member = tuple[str, Trial, Week]


def club_members(posterior: Posterior, few: Posterior, tables: Tables, weeks: int) -> list[Member]:
    """Golfers with hours that can be shifted and rounds to be expected, best first."""
    paces = club_paces(tables, posterior.golfers, posterior.as_of)
    found = []
    for golfer in posterior.golfers:
        week = present_week(posterior, tables, golfer, weeks)
        if week.free_hours > 0 and paces[golfer].mean > 0:
            found.append((golfer, make_trial(few, golfer, weeks, paces[golfer]), week))
    return sorted(found, key=lambda member: float(member[1].golfer.level.sum(axis=1).mean()))


def stagger(members: list[Member], names: tuple[str, ...], crossed: bool) -> list[Schedule]:
    """Give neighbours in level different categories; crossed, each changes to the next one half way."""
    parts = []
    for place, (_, _, week) in enumerate(members):
        turns = [names[(place + phase) % len(names)] for phase in range(2 if crossed else 1)]
        hours = np.stack([week.towards(name, 1.0) for name in turns])
        parts.append(Schedule(tuple(f"all to {name}" for name in turns), hours))
    return parts


def club_information(
    members: list[Member], parts: list[Schedule], question: Question, seed: int
) -> Information:
    """What all members' rounds together would tell; their own levels and forms are their own."""
    precision = sum(
        (
            measured_precision(question.returns, trial.signal(part))
            for (_, trial, _), part in zip(members, parts, strict=True)
        ),
        np.zeros((len(question.names), len(question.names))),
    )
    return expected_information(question.returns, precision, seed=seed)


def plan_name(names: tuple[str, ...], crossed: bool) -> str:
    """Name of a staggered block."""
    return f"{', '.join(names)}{' in turn' if crossed else ''}"


def mean_cost(parts: list[Option]) -> float:
    """Strokes a round that a staggered block costs, averaged over members and draws."""
    return float(np.mean([part.cost.mean() for part in parts]))


def _choices(question: Question, week: Week) -> list[tuple[str, ...]]:
    free = {name for name, movable in zip(week.names, week.movable, strict=True) if movable}
    ranked = [question.names[place] for place in np.argsort(-question.chance_best, kind="stable")]
    order = [name for name in ranked if name in free]
    return [tuple(order[:count]) for count in range(2, min(MOST_CATEGORIES, len(order)) + 1)]


def _records(
    posterior: Posterior,
    members: list[Member],
    question: Question,
    chosen: list[Option],
    options: dict[str, list[Option]],
    weeks: int,
) -> list[dict[str, Any]]:
    best = question.returns.argmax(axis=1)
    told = information_fields(chosen[0])
    cost = np.mean([part.cost for part in chosen], axis=0)
    wrong = [cost_if_wrong(part, question.names, best) for part in chosen]
    known = [one_cost for one_cost in wrong if one_cost is not None]
    shared = {"weeks": weeks, "reportable": True, **told}
    focus = sorted({words for part in chosen for words in part.schedule.focus})
    others = [
        {"focus": [name], "information": parts[0].information.gain} | {"cost_mean": mean_cost(parts)}
        for name, parts in sorted(options.items(), key=lambda item: item[1][0].information.after)
        if parts is not chosen
    ]
    whole = {
        "golfer_id": None,
        "rounds": round(sum(trial.rounds for _, trial, _ in members), 1),
        **shared,
        "focus": focus,
        "cost": summary(cost),
        "cost_if_wrong": float(np.mean(known)) if known else None,
        "weeks_plan": [],
        "others": others,
        "cautions": list(STANDING_CAUTIONS),
    }
    each = [
        {
            "golfer_id": golfer,
            "rounds": round(trial.rounds, 1),
            **shared,
            "focus": list(part.schedule.focus),
            "cost": summary(part.cost),
            "cost_if_wrong": lost,
            "weeks_plan": weeks_plan(part.schedule, week, weeks),
            "others": [],
            "cautions": list(STANDING_CAUTIONS),
        }
        for (golfer, trial, week), part, lost in zip(members, chosen, wrong, strict=True)
    ]
    return [whole, *each]
