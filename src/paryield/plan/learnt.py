"""What a new fit has learnt about which category is best, against an earlier one."""

from __future__ import annotations

from typing import Any

import numpy as np

from paryield.errors import InputError
from paryield.forecast import gate
from paryield.plan.learning import entropy
from paryield.plan.options import Question, club_question, golfer_question
from paryield.posterior import Posterior, from_bytes


def learnt(
    club: Any, since_run: int, golfer: str | None = None, anyway: bool = False
) -> tuple[list[dict[str, Any]], str]:
    """Compare the newest run with an earlier one: how open the question was and is.

    Parameters
    ----------
    club : Club
    since_run : int
        Number of the earlier run.
    golfer : str, optional
        One golfer; default the club.
    anyway : bool
        Answer although the health gate says no.

    Returns
    -------
    records : list of dict
        golfer_id, category, runs, chance_best_before, chance_best_after, entropy_before, entropy_after.
    banner : str

    Raises
    ------
    InputError
        When there is no such run, or no later one.
    NotReportableError
        When the newest fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    number, posterior = current_fit(club)
    if since_run >= number:
        raise InputError(
            f"run {since_run} is not earlier than the newest, {number}",
            where="--since-run",
            remedy="fit the club again after the block, and give the number of a run before it",
        )
    _, facts, payload = club.run(since_run)
    earlier = from_bytes(payload, facts.get("payload"))
    banner = gate(posterior, anyway)
    for fit in (earlier, posterior):
        if golfer is not None and golfer not in fit.golfers:
            raise InputError(
                f"a run knows no golfer {golfer!r}",
                where="--golfer",
                remedy="compare runs that both hold the golfer",
            )
    return compared(earlier, posterior, golfer, (since_run, number)), banner


def compared(
    earlier: Posterior, later: Posterior, golfer: str | None, runs: tuple[int, int]
) -> list[dict[str, Any]]:
    """Records of two fits' answers to the same question, by category of the later one."""
    before, after = _question(earlier, golfer), _question(later, golfer)
    bits = [_bits(question) for question in (before, after)]
    chance = dict(zip(before.names, map(float, before.chance_best), strict=True))
    return [
        {
            "golfer_id": golfer,
            "category": name,
            "runs": list(runs),
            "chance_best_before": chance.get(name),
            "chance_best_after": float(after.chance_best[place]),
            "entropy_before": bits[0],
            "entropy_after": bits[1],
        }
        for place, name in enumerate(after.names)
    ]


def _question(fit: Posterior, golfer: str | None) -> Question:
    return club_question(fit) if golfer is None else golfer_question(fit, golfer)


def _bits(question: Question) -> float:
    even = np.full((1, len(question.returns)), 1.0 / len(question.returns))
    return float(entropy(even, question.returns.argmax(axis=1), len(question.names))[0])
