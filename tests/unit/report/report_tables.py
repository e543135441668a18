"""Made-up tables in the shapes of the forecast and returns commands; every number here is invented."""

from __future__ import annotations

from datetime import date, timedelta
from statistics import NormalDist
from typing import Any

import pandas as pd

from paryield.results import QUANTILES

AS_OF = date(2026, 7, 5)
RETURNS = (
    ("chipping", 1.0, 0.42, 0.14, 0.61, 0.05, "measured", "stands out"),
    ("irons", 0.8, 0.21, 0.16, 0.2, 0.2, "part measured", "does not stand out"),
    ("short_putting", 0.6, 0.15, 0.13, 0.1, 0.3, "measured", "does not stand out"),
    ("driver", 0.4, 0.1, 0.2, 0.06, 0.35, "assumed", "does not stand out"),
    ("strength", 0.0, 0.05, 0.12, 0.03, 0.4, "assumed", "does not stand out"),
    ("phantom", 0.0, 0.02, 0.09, None, None, None, None),
)


SHARES = {"measured": 0.62, "part measured": 0.31, "assumed": 0.08}


def quantiles(middle: float, sd: float) -> dict[str, float]:
    law = NormalDist(middle, sd)
    return {**{name: law.inv_cdf(level) for name, level in QUANTILES.items()}, "mean": middle}


def returns_records(golfer: str = "G07", rows: Any = RETURNS) -> list[dict[str, Any]]:
    return [
        {
            "golfer_id": golfer,
            "category": name,
            "weeks": 12,
            "hours_now": hours,
            "strokes_per_weekly_hour": quantiles(middle, sd),
            "chance_best": best,
            "rank_before_record": None if best is None else rank,
            "regret": regret,
            "evidence": evidence,
            "evidence_share": SHARES.get(evidence),
            "verdict": verdict,
        }
        for rank, (name, hours, middle, sd, best, regret, evidence, verdict) in enumerate(rows, start=1)
    ]


AREAS = (
    ("putting", 3.1, 1.2, 0.5, 1.6, "measured", "loses more"),
    ("short_game", 4.4, 0.4, 0.7, 0.9, "part measured", "cannot tell yet"),
    ("approach", 6.0, -0.2, 0.8, 0.3, "assumed", "cannot tell yet"),
    ("off_the_tee", 2.2, -1.4, 0.6, -0.9, "part measured", "loses less"),
)


def areas_records(golfer: str = "G07", rows: Any = AREAS, goal: float | None = 11.0) -> list[dict[str, Any]]:
    blank = dict.fromkeys(quantiles(0, 1))
    return [
        {
            "golfer_id": golfer,
            "as_of": AS_OF.isoformat(),
            "area": area,
            "lost": quantiles(lost, 1.5),
            "same_index": quantiles(lost - more, 1.0),
            "against_same_index": quantiles(more, sd),
            "chance_more": NormalDist(more, sd).cdf(2 * more),
            "goal": goal,
            "at_goal": blank if goal is None else quantiles(lost - aim, 0.4),
            "against_goal": blank if goal is None else quantiles(aim, sd),
            "evidence": evidence,
            "verdict": verdict,
            "rounds_shots": 3,
            "rounds_stats": 21,
            "rounds_score_only": 10,
            "tests": 2,
        }
        for area, lost, more, sd, aim, evidence, verdict in rows
    ]


def forecast_records(golfer: str = "G07", now: float = 13.4, change: float = -0.7) -> list[dict[str, Any]]:
    found = []
    for weeks in range(0, 27, 2):
        share = weeks / 12
        middles = {
            "handicap_index": (now + change * share, 0.02 + 0.26 * weeks**0.5),
            "mean_differential": (now + 2.4 + change * share, 0.5 + 0.1 * weeks**0.5),
            "score_differential": (now + 2.4 + change * share, 3.2),
        }
        for quantity, (middle, sd) in middles.items():
            found.append(
                {
                    "golfer_id": golfer,
                    "as_of": AS_OF.isoformat(),
                    "on": (AS_OF + timedelta(weeks=weeks)).isoformat(),
                    "weeks": weeks,
                    "quantity": quantity,
                    "reportable": True,
                    **quantiles(middle, sd),
                }
            )
    return found


def rounds_frame(now: float = 13.4, count: int = 34) -> pd.DataFrame:
    wobble = (2.1, -1.3, 4.0, 0.4, -2.6, 1.1, 6.3, -0.5, 2.9, -3.1, 0.9)
    days = [AS_OF - timedelta(days=3 + 11 * back) for back in range(count)][::-1]
    index = [None if k < 2 else round(now + 0.09 * (count - 1 - k), 1) for k in range(count)]
    played = [round(now + 2.4 + 0.06 * (count - k) + wobble[k % len(wobble)], 1) for k in range(count)]
    return pd.DataFrame({"played_on": days, "differential": played, "index_after": index})


WHOLE = {"fell": -1.0, "rose": 1.0, "cannot tell": 0.0}


def part_record(
    part: str, middle: float, sd: float, quantity: str = "mean_differential", **more: Any
) -> dict[str, Any]:
    return {
        "golfer_id": "G07",
        "from": "2026-05-24",
        "to": "2026-07-05",
        "quantity": quantity,
        "part": part,
        "category": None,
        "change": quantiles(middle, sd),
        "chance_fell": 0.5,
        "evidence": "part measured",
        "rounds_before": 6,
        "rounds_after": 5,
    } | more


def split_records(went: str = "fell", cause: str = "practice") -> list[dict[str, Any]]:
    side = -1.0 if went == "fell" else 1.0
    rows = [part_record("whole", WHOLE[went], 0.3)]
    for part in ("practice", "programme", "background", "season", "growth", "events", "form", "joining"):
        rows.append(part_record(part, 0.6 * side if part == cause else 0.0, 0.1 if part == cause else 0.3))
    rows.insert(2, part_record("practice", 0.5 * side, 0.1, category="chipping"))
    rows.insert(3, part_record("practice", 0.01, 0.1, category="phantom"))
    rows += [
        part_record("whole", -1.4, 1e-9, "observed_mean"),
        part_record("luck", -0.7, 0.4, "observed_mean"),
    ]
    return rows
