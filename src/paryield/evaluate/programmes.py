"""Programme answers on made-up clubs held against their truth: enrol when bad, drop out when bad."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from paryield.dose.exposure import enrolments
from paryield.posterior import Posterior
from paryield.programme import programme_fit
from paryield.programme.answer import ALL
from paryield.programme.checks import second_route
from paryield.programme.plain import club_rounds
from paryield.synth import ClubSpec, MadeUpClub, make_club

GOLFERS = 40
EFFECTS = (0.0, -0.5, -1.5, 0.5)
"""Planted changes of the mean differential by the whole programme, strokes; negative is better."""
PLAIN_SHARE, WIDEST = 0.4, 2.5
"""Limits: the median stays below this share of before/after, and the 90 % range below this width."""


def enrol_spec(seed: int, effect: float = 0.0) -> ClubSpec:
    """A club of 40 whose members join when playing badly and drop out when it stays so."""
    return ClubSpec(golfers=GOLFERS, seed=seed, case="enrol", programme_effect=-effect)


def enrol_club(seed: int, effect: float = 0.0) -> MadeUpClub:
    """Make the club of :func:`enrol_spec`."""
    return make_club(enrol_spec(seed, effect))


def true_effect(club: MadeUpClub) -> float:
    """What the programme itself really did: the mean over all who joined of the share they received.

    The made-up programme gives no hours of its own, so hours before and during it differ by chance only.
    """
    joined = set(club.tables.programmes["golfer_id"])
    gains = [-club.truth.programme_gain(golfer) for golfer in sorted(joined)]
    return float(np.mean(gains)) if gains else 0.0


def score_programme(club: MadeUpClub, posterior: Posterior) -> dict[str, Any]:
    """One row: the answer for a club's programme, the truth and the plain figures beside it.

    Parameters
    ----------
    club : MadeUpClub
        With a programme.
    posterior : Posterior
        A fit of its tables.

    Returns
    -------
    dict
        seed, planted, truth, members, left, q05, q50, q95, covered (90 %), width, plain_change,
        share_of_plain, second, second_covered; NaN where an answer was not given.
    """
    answer = programme_fit(club.tables, posterior)
    record = next(one for one in answer.records if one["programme"] != ALL)
    truth = true_effect(club)
    row: dict[str, Any] = {"seed": club.spec.seed, "planted": -club.spec.programme_effect, "truth": truth}
    if record["hidden"]:
        return row | {"members": np.nan, "covered": np.nan}
    effect, second = record["effect"], record["second_route"]
    plain = record["plain_change"]
    row |= {"members": record["golfers"], "left": record["left"]}
    row |= {name: effect[name] for name in ("q05", "q50", "q95")}
    row |= {"covered": bool(effect["q05"] <= truth <= effect["q95"]), "width": effect["q95"] - effect["q05"]}
    row |= {
        "plain_change": np.nan if plain is None else plain,
        "share_of_plain": np.nan if not plain else abs(effect["q50"] / plain),
        "beyond_fitted": record["beyond_hours"] is not None,
    }
    if second is None:
        return row | {"second": np.nan, "second_covered": np.nan}
    return row | {
        "second": second["effect"],
        "second_covered": bool(second["low"] <= truth <= second["high"]),
    }


def score_second_route(club: MadeUpClub) -> dict[str, Any]:
    """One row for the plain second route alone, at full exposure; no fit is needed.

    Returns
    -------
    dict
        seed, planted, error (strokes), covered (90 %), width.
    """
    as_of = int(np.datetime64(club.spec.ends_on, "D").astype(int))
    members, rounds = enrolments(club.tables.programmes, as_of), club_rounds(club.tables, as_of)
    found, planted = second_route(rounds, members, None), -club.spec.programme_effect
    if found is None:
        return {"seed": club.spec.seed, "planted": planted, "covered": np.nan}
    low, high = found.interval()
    row = {"seed": club.spec.seed, "planted": planted, "error": found.value - planted}
    return row | {"covered": bool(low <= planted <= high), "width": high - low}


def programme_table(rows: pd.DataFrame) -> pd.DataFrame:
    """Coverage, bias and width by planted effect, over the clubs whose answer was given."""
    given = rows[rows["members"].notna()]
    error = given["q50"] - given["truth"]
    table = given.assign(error=error).groupby("planted")
    out = pd.DataFrame(
        {
            "clubs": table.size(),
            "covered": table["covered"].sum(),
            "bias": table["error"].mean(),
            "rmse": table["error"].apply(lambda e: float(np.sqrt(np.mean(np.square(e))))),
            "width": table["width"].mean(),
            "plain_change": table["plain_change"].mean(),
            "share_of_plain": table["share_of_plain"].median(),
            "plain_better": table["plain_change"].apply(lambda change: float(np.mean(change < 0))),
            "left_share": table["left"].sum() / table["members"].sum(),
            "second_covered": table["second_covered"].sum(),
        }
    )
    return out.reset_index()
