"""Go on drawing until the health gate is passed, the limit is reached, or somebody stops it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import xarray as xr

from paryield.model.health import ESS_LEAST
from paryield.model.sampling import ACCEPT_CAREFUL, Gathered, Sampler, Stretch

Judge = Callable[[Stretch, bool], tuple[dict[str, Any], xr.Dataset | None]]
"""Takes the draws so far and whether these are the last; returns their health, and what is to be stored (None
where they are neither sound nor the last)."""


@dataclass(frozen=True)
class Ended:
    """What a fit ended with.

    ``stretches`` were drawn, those that count as warm-up included; ``why`` says in one line why the outcome
    is not sound, empty when it is.
    """

    sampled: Stretch
    health: dict[str, Any]
    kept: xr.Dataset
    stretches: int
    stopped: bool
    why: str


def draw_until_sound(sampler: Sampler, judge: Judge, most: int, tell: Callable[[str], None]) -> Ended:
    """Draw stretch after stretch, at most ``most`` of them.

    Stopped by KeyboardInterrupt, it ends with the draws so far.

    Raises
    ------
    KeyboardInterrupt
        When it was stopped before there were draws to keep, or a second time.
    """
    part = sampler.first()
    gathered, number, stopped = Gathered(()).with_more(part), 1, part.stopped
    while True:
        last = stopped or number >= most
        sampled = gathered.joined()
        try:
            health, kept = judge(sampled, last)
        except KeyboardInterrupt:
            if last:
                raise
            stopped = True
            continue
        if kept is not None and (health["ok"] or last):
            why = "" if health["ok"] else _why(health, number, stopped)
            return Ended(sampled, health, kept, number, stopped, why)
        number += 1
        try:
            part, added = _draw_on(sampler, sampled, gathered, health, number, tell)
        except KeyboardInterrupt:
            stopped = True
            continue
        stopped = part.stopped
        if not stopped:
            gathered = added


def _draw_on(
    sampler: Sampler,
    sampled: Stretch,
    gathered: Gathered,
    health: dict[str, Any],
    number: int,
    tell: Callable[[str], None],
) -> tuple[Stretch, Gathered]:
    """Draw the next stretch as the health of the draws so far asks for; say so."""
    # R-hat above its limit may be chance where there are few effective draws: then more of them tell.
    apart = [line for line in health["lines"] if line["rhat"] > line["rhat_by_chance"]]
    if not health["divergences_ok"]:
        tell(f"stretch {number}: {health['divergences']} draws diverged: starting anew with smaller steps")
        sampler.accept = ACCEPT_CAREFUL
    elif apart:
        tell(f"stretch {number}: {_shown(apart)}: the chains start anew from elsewhere")
    else:
        few = [line for line in health["lines"] if not line["ok"]]
        tell(f"stretch {number}: {_shown(few)}: drawing more")
        part = sampler.more(sampled.points)
        return part, gathered.with_more(part)
    part = sampler.anew(sampled.points)
    return part, Gathered(()).with_more(part)


def _shown(lines: list[dict[str, Any]]) -> str:
    """Say what is furthest from passing among lines of the gate."""
    worst = max(lines, key=_badness)
    name = f"{worst['quantity']} of {worst['element']}" if worst["element"] else str(worst["quantity"])
    least = min(worst["ess_bulk"], worst["ess_tail"])
    sure = worst["rhat"] > worst["rhat_by_chance"]
    if least < ESS_LEAST and not sure:
        return f"too few effective draws of {name} ({least:.0f} of {ESS_LEAST:.0f})"
    word = "disagree" if sure else "may disagree"
    return f"chains {word} about {name} (R-hat {worst['rhat']:.3f}, limit {worst['rhat_most']:.3f})"


def _badness(line: dict[str, Any]) -> float:
    excess = (line["rhat"] - 1.0) / (line["rhat_most"] - 1.0)
    return float(max(excess, ESS_LEAST / min(line["ess_bulk"], line["ess_tail"])))


def _why(health: dict[str, Any], number: int, stopped: bool) -> str:
    bad = [line for line in health["lines"] if not line["ok"]]
    what = _shown(bad) if bad else f"{health['divergences']} draws diverged"
    ended = "stopped" if stopped else f"given up after {number} stretch{'es' if number > 1 else ''}"
    return f"{ended}: {what}"
