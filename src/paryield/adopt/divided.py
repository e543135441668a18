"""Several things in one practice cell beside one length of time: each with its part, or in doubt."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from paryield.adopt.log import Entry, read_log
from paryield.adopt.values import plain_number
from paryield.adopt.words import NOTHING, REST, UNKNOWN, plain

Doubt = Literal["sum", "shares"]
Known = Callable[[str], str | None]
"""What a phrase practises, as far as it is known without asking; "" where it is known to be nothing."""
BRACKETS = re.compile(r"^([^()]*)\(([^()]*)\)([^()]*)$")
ON_COURSE = "on_course"


@dataclass(frozen=True)
class Divided:
    """What a cell names.

    Parameters
    ----------
    entries : list of Entry
        Each with its minutes; those of a doubt as the words say.
    doubts : tuple of {"sum", "shares"}
        The minutes in words are not those beside; several things have no minutes of their own.
    said : float or None
        Minutes in words together.
    played : int or None
        Place of the entry that has the rest of the time and names the course: practice there, or play.
    open : tuple of str
        What may be practice beside the rest, and nobody has said.
    """

    entries: list[Entry]
    doubts: tuple[Doubt, ...] = ()
    said: float | None = None
    played: int | None = None
    open: tuple[str, ...] = ()


def divided(text: str, spent: float | None, slack: float, known: Known) -> Divided:
    """Divide the time beside a cell among what the cell names.

    Parameters
    ----------
    text : str
        The cell.
    spent : float or None
        Minutes that stand beside it.
    slack : float
        Minutes by which they are rounded.
    known : callable
        See :data:`Known`.
    """
    if plain(text) in (*NOTHING, *UNKNOWN):
        return Divided([Entry(text, spent)])
    if (match := BRACKETS.match(text)) is not None:
        inner = [one for one in read_log(match[2]) if known(one.phrase)]
        if len({known(one.phrase) for one in inner}) > 1 and not any(one.counted for one in inner):
            return _among(inner, read_log(f"{match[1]} {match[3]}"), spent, slack)
    told = read_log(text)
    if spent is None:
        return _as_told(told, known)
    rests = [place for place, one in enumerate(told) if one.minutes is None and rest_of(one.phrase)]
    parts = [
        place
        for place, one in enumerate(told)
        if place in rests or one.counted or (known(one.phrase) and one.phrase)
    ]
    left = [one.phrase for place, one in enumerate(told) if place not in parts and known(one.phrase) is None]
    entries = [told[place] for place in parts]
    if not entries or (len(told) == 1 and not entries[0].counted):
        return Divided([Entry(text, spent)])
    if (
        not rests
        and not any(one.counted for one in entries)
        and len({known(one.phrase) for one in entries}) == 1
    ):
        phrase = text if not left else entries[0].phrase
        return Divided([Entry(phrase, spent)], open=tuple(left))
    return _divided(entries, spent, slack, known, left)


def rest_of(phrase: str) -> str | None:
    """Return what a phrase says the rest of the time was for, or None: ``rest on the course``."""
    match = REST.match(plain_number(phrase))
    return match[1].strip() if match and match[1].strip() else None


def _as_told(told: list[Entry], known: Known) -> Divided:
    """A cell with no time beside it: as its words say; the rest of a time that is not said is unknown."""
    entries = [replace(one, phrase=rest_of(one.phrase) or one.phrase) for one in told]
    rests = [place for place, one in enumerate(told) if one.minutes is None and rest_of(one.phrase)]
    played = next((place for place in rests if known(entries[place].phrase) == ON_COURSE), None)
    found = together(entries, known)
    return replace(found, played=played)


def together(told: list[Entry], known: Known) -> Divided:
    """Divide a time behind things joined by a sign or an "and", of which the last alone has it.

    It is a time for all of them: in doubt where they are not one kind of practice, open where nobody has
    said what they are.
    """
    left: list[str] = []
    out, run = list(told), list[int]()
    doubts: tuple[Doubt, ...] = ()
    for place, one in enumerate(told):
        run = run if one.joined else []
        if not one.phrase or known(one.phrase) == "":
            continue
        run.append(place)
        if one.minutes is not None and one.reps is None and one.made is None and len(run) > 1:
            for each in run:
                out[each] = replace(out[each], minutes=round(one.minutes / len(run), 1), state="done")
            kinds = {out[each].phrase: known(out[each].phrase) for each in run}
            left += [phrase for phrase, kind in kinds.items() if kind is None]
            if None not in kinds.values() and len(set(kinds.values())) > 1:
                doubts = ("shares",)
        run = [] if one.counted else run
    return Divided(out, doubts, open=tuple(left))


def _divided(entries: list[Entry], spent: float, slack: float, known: Known, left: list[str]) -> Divided:
    """Give what has no minutes of its own the rest, where only one has none and something is left."""
    out = _bare_read(entries, spent, slack)
    said = sum(one.minutes or 0.0 for one in out)
    without = [place for place, one in enumerate(out) if one.minutes is None]
    names_rest = [place for place in without if rest_of(out[place].phrase)]
    out = [replace(one, phrase=rest_of(one.phrase) or one.phrase) for one in out]
    over = spent - said
    if not without:
        doubts: tuple[Doubt, ...] = () if abs(over) <= slack else ("sum",)
        return Divided(out, doubts, said)
    if over <= slack:
        shared = together(out, known)
        if all(one.minutes is not None for one in shared.entries) and abs(over) <= slack:
            return replace(shared, said=said)
        return Divided(out, ("sum",), said)
    share = round(over / len(without), 1)
    for place in without:
        out[place] = replace(out[place], minutes=share, state="done")
    played = next((place for place in names_rest if known(out[place].phrase) == ON_COURSE), None)
    asked = () if names_rest else tuple(left)
    return Divided(out, ("shares",) if len(without) > 1 else (), said, played, asked)


def _bare_read(entries: list[Entry], spent: float, slack: float) -> list[Entry]:
    """Numbers without a unit: minutes where nothing has one or where they add up, else balls."""
    minutes = [replace(one, bare=None, minutes=one.bare) if one.bare is not None else one for one in entries]
    whole = sum(one.minutes or 0.0 for one in minutes)
    if abs(whole - spent) <= slack or not any(one.minutes is not None for one in entries):
        return minutes
    return [replace(one, bare=None, reps=one.bare) if one.bare is not None else one for one in entries]


def _among(inner: list[Entry], outer: list[Entry], spent: float | None, slack: float) -> Divided:
    """Things in brackets behind a time: the time of them all, in equal parts if that is said."""
    times = [one.minutes for one in outer if one.minutes is not None]
    said = times[0] if len(times) == 1 else None
    whole = said if said is not None else spent
    if whole is None:
        return Divided(inner)
    share = round(whole / len(inner), 1)
    entries = [replace(one, minutes=share, state="done") for one in inner]
    doubts: tuple[Doubt, ...] = ("shares",)
    if said is not None and spent is not None and abs(said - spent) > slack:
        doubts = ("shares", "sum")
    return Divided(entries, doubts, said)


def scaled(found: Divided, spent: float) -> list[Entry]:
    """Return the entries with their minutes in the same proportion, but ``spent`` together."""
    said = sum(one.minutes or 0.0 for one in found.entries)
    if not said:
        return found.entries
    return [
        one if one.minutes is None else replace(one, minutes=round(one.minutes * spent / said, 1))
        for one in found.entries
    ]
