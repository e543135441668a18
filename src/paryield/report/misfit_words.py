"""What lies off between the record and the fit, in a reader's words, and what to do about it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from paryield.report.words import month, number, strokes
from paryield.units import counted

SURE = 2.0
"""Standard errors beyond which rounds that follow each other are said to be alike."""
MOST_GOLFERS = 3


def misfit_sentences(found: Mapping[str, Any] | None, name_of: Callable[[str], str] = str) -> list[str]:
    """Return what a reader should know of the record beside the fit; the first sentence is the verdict.

    Parameters
    ----------
    found : mapping or None
        That of :class:`paryield.forecast.misfit.Misfit`; None with too few rounds.
    name_of : callable
        From a golfer's id to what he is called.
    """
    if found is None:
        return ["There are too few rounds to hold beside their forecasts."]
    return [_ranges(found), *_alike(found), *_months(found), *_newest(found), *_golfers(found, name_of)]


def newest_warning(found: Mapping[str, Any] | None) -> str:
    """Return a warning where the newest four weeks lie off, else nothing."""
    newest = None if found is None else found["newest"]
    if newest is None or not newest["stands_out"]:
        return ""
    return (
        f"the newest four weeks lie off: {counted(newest['rounds'], 'round')}, {_off(newest)}. Look through "
        "the entries, ratings and conditions of those weeks; what touched everybody is not what one golfer "
        "practised"
    )


def _ranges(found: Mapping[str, Any]) -> str:
    low, high = found["usual"]
    said = (
        f"Each round beside its forecast from the rounds before it: {found['outside']} of {found['rounds']} "
        f"lie outside their 80 % range; {low} to {high} would be usual."
    )
    if found["outside"] > high:
        return f"{said} Ranges are narrower than they should be: take chances near a half as open."
    if found["outside"] < low:
        return f"{said} Ranges are wider than they need be: the truth is likely nearer the middle."
    return said


def _alike(found: Mapping[str, Any]) -> list[str]:
    if abs(found["alike"]) <= SURE * found["alike_error"]:
        return []
    kind = "the same" if found["alike"] > 0 else "the other"
    return [
        f"A round that is off is followed by one that is off {kind} way (correlation "
        f"{number(found['alike'], 2)}, 0 expected, give or take {number(found['alike_error'], 2)}): form "
        "here changes otherwise than the fit has it. Trust the next weeks less than the ranges say."
    ]


def _months(found: Mapping[str, Any]) -> list[str]:
    months = found["months"]
    if not months:
        return []
    out = [one for one in months if one["stands_out"]]
    if not out:
        furthest = max(months, key=lambda one: abs(one["off"]) / one["error"])
        return [f"No month stands out; furthest off is {_month(furthest)}, {_off(furthest)}."]
    told = "; ".join(f"{_month(one)}, {counted(one['rounds'], 'round')} {_off(one)}" for one in out)
    return [
        f"Off for everybody: {told}. Look for what touched all: the weather, winter greens, a course set up "
        "or rated anew. Name the course of each round, mend its ratings, and fit again."
    ]


def _newest(found: Mapping[str, Any]) -> list[str]:
    newest = found["newest"]
    if newest is None:
        return []
    warned = newest_warning(found)
    if warned:
        return [f"{warned[0].upper()}{warned[1:]}."]
    return [f"The newest four weeks are as foreseen: {counted(newest['rounds'], 'round')}, {_off(newest)}."]


def _golfers(found: Mapping[str, Any], name_of: Callable[[str], str]) -> list[str]:
    out = [one for one in found["golfers"] if one["stands_out"]]
    said = [
        f"{name_of(one['golfer_id'])}: {counted(one['rounds'], 'round')} lie {number(one['times'], 1)} times "
        f"as far from their forecasts as expected. {_why(one['times'])}"
        for one in out[:MOST_GOLFERS]
    ]
    more = len(out) - MOST_GOLFERS
    return [*said, *([f"So do those of {more} more."] if more > 0 else [])]


def _why(times: float) -> str:
    if times > 1.0:
        return "Look for typing mistakes, or rounds of another kind (nine holes, a scramble) among them."
    return "Are some of them entered as averages, or only the good ones?"


def _month(one: Mapping[str, Any]) -> str:
    return month(date.fromisoformat(f"{one['name']}-01"))


def _off(one: Mapping[str, Any]) -> str:
    way = "higher" if one["off"] > 0 else "lower"
    return f"{strokes(abs(one['off']))} {way} than forecast (give or take {number(one['error'])})"
