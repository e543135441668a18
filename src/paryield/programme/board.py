"""What a board reads of a programme: what was offered and kept, what it cost, and one recommendation."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

from paryield.days import date_of
from paryield.programme.members import Outcome
from paryield.programme.verdict import CANNOT_TELL, HELPED, LITTLE, LITTLE_STROKES, WORSE

GO_ON, CHANGE, STOP, UNDECIDED = "go on", "change", "stop", "cannot tell"
WORDS = {HELPED: GO_ON, LITTLE: CHANGE, WORSE: STOP, CANNOT_TELL: UNDECIDED}
WHY = {
    GO_ON: "members play better than they would have without it",
    CHANGE: "it makes half a stroke a round of difference at most",
    STOP: "members play worse than they would have without it",
}
MOST_TIMES = 20.0
"""Beyond so many times the members there are, more of them is no answer. [judgement]"""


@dataclass(frozen=True)
class Advice:
    """One recommendation.

    Parameters
    ----------
    recommendation : {"go on", "change", "stop", "cannot tell"}
    why : str
    members_needed : int or None
        About how many members like these it would take to tell, where it cannot be told yet.
    """

    recommendation: str
    why: str
    members_needed: int | None = None


def advise(record: dict[str, Any]) -> Advice:
    """Recommend from a programme's record: by its verdict, unless a second look contradicts it.

    The range of a mean narrows with the root of the number of members; what it takes is the number at
    which it would be half a stroke either way.
    """
    if record["beyond_hours"] is None:
        return Advice(
            UNDECIDED, "this fit knows what the extra hours did, not what the coaching did: fit again"
        )
    second = record["second_route"]
    if second is not None and not second["agrees"]:
        return Advice(
            UNDECIDED, "the plain second route disagrees with the model, and one of them must be wrong"
        )
    word = WORDS[record["verdict"]]
    if word != UNDECIDED:
        return Advice(word, WHY[word])
    effect = record["effect"]
    half = (effect["q95"] - effect["q05"]) / 2.0
    times = (half / LITTLE_STROKES) ** 2
    if times > MOST_TIMES:
        return Advice(
            UNDECIDED, "the range is too wide for more members alone: places by lot would tell more"
        )
    needed = math.ceil(record["golfers"] * max(times, 1.0))
    return Advice(UNDECIDED, f"it would take about {needed} members like these", needed)


def offered(own: list[Outcome]) -> dict[str, Any]:
    """First start, last planned end, and mean weeks of a programme."""
    first, last = min(one.member.start for one in own), max(one.member.planned_end for one in own)
    weeks = sum(one.member.planned_end - one.member.start for one in own) / len(own) / 7.0
    days = {"starts_on": first, "ends_on": last}
    return {name: date_of(day).isoformat() for name, day in days.items()} | {"weeks": round(weeks, 1)}


def board_fields(record: dict[str, Any], own: list[Outcome], cost: float | None) -> dict[str, Any]:
    """The fields that a board reads.

    Parameters
    ----------
    record : dict
        A programme's record with its effect and what stands beside it.
    own : list of Outcome
    cost : float, optional
        Cost of one member's place, in the club's money.
    """
    done, planned = record["hours_done"], record["hours_planned"]
    change, middle = record["plain_change"], record["effect"]["q50"]
    gained = -middle if record["verdict"] == HELPED else None
    return {
        "offered": offered(own),
        "hours_kept": done / planned if done is not None and planned else None,
        "anyway": None if change is None or record["beyond_hours"] is None else change - middle,
        "cost": None if cost is None else {"member": cost, "stroke": cost / gained if gained else None},
        **asdict(advise(record)),
    }
