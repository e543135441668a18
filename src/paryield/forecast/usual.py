"""A plan as it will be done: what the forecast says if the golfer does what he usually does of a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from paryield.forecast.adherence import Adherence, learn_adherence, plan_record, usual_hours
from paryield.forecast.habits import habit_hours
from paryield.forecast.past import club_diary
from paryield.posterior import Posterior
from paryield.results import summary
from paryield.tables import Tables

FLOATS = npt.NDArray[np.float64]
NOT_LEARNT = (
    "what golfers of this club usually do of a plan is not known yet: the diary covers fewer than 4 weeks "
    "under a plan"
)


@dataclass(frozen=True)
class Usual:
    """Weekly hours under a plan as it is usually done.

    Parameters
    ----------
    hours : array, shape (S, J)
    share : array, shape (S,)
        Hours done in the plan's categories over hours planned.
    """

    hours: FLOATS
    share: FLOATS


def club_adherence(posterior: Posterior, tables: Tables, golfers: list[str]) -> Adherence | None:
    """Learn from the club's past plans and diary; None when there are too few."""
    diary = club_diary(posterior, tables)
    record = plan_record(tables, diary, posterior.categories)
    only = tuple(posterior.golfer_number(golfer) for golfer in golfers)
    return learn_adherence(record, posterior.samples, int(posterior.facts["seed"]), only)


def usual_plan(posterior: Posterior, adherence: Adherence, golfer_id: str, planned: FLOATS) -> Usual:
    """Hours of one golfer if he does what he usually does of this plan.

    Parameters
    ----------
    posterior : Posterior
    adherence : Adherence
    golfer_id : str
    planned : array, shape (J,)
        Hours a week as planned.
    """
    number = posterior.golfer_number(golfer_id)
    hours = usual_hours(planned, habit_hours(posterior, golfer_id), adherence, number)
    total = float(planned.sum())
    done = hours[:, planned > 0].sum(axis=1)
    return Usual(hours, done / total if total > 0 else np.ones(len(hours)))


def beside_plan(
    records: list[dict[str, Any]], usual: list[dict[str, Any]], found: Usual
) -> list[dict[str, Any]]:
    """Put the answer for the plan as usually done into each record of the plan as planned."""
    out = []
    for record, other in zip(records, usual, strict=True):
        more: dict[str, Any] = {"usual_share": summary(found.share)}
        if other["reportable"]:
            more["usual"] = {name: other[name] for name in summary(np.zeros(1))}
        if "chance" in other:
            more["usual_chance"] = other["chance"]
        out.append(record | more)
    return out
