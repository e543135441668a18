"""The fit that answers come from: the last sound run of a club."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from paryield.errors import InputError
from paryield.posterior.contents import Posterior
from paryield.posterior.store import from_bytes

if TYPE_CHECKING:
    from paryield.club import Club


def stored_fit(club: Club) -> tuple[int, Posterior]:
    """Return number and contents of the run that answers come from, whatever the club's data are now.

    Raises
    ------
    InputError
        When nothing was fitted yet, or the stored draws do not match their fingerprint.
    """
    number, facts, payload = _answering(club)
    return number, from_bytes(payload, facts.get("payload"))


def newer_run(club: Club, number: int) -> str:
    """Say in one line why a newer run than this one does not answer; empty when there is none."""
    runs = _runs(club)
    if not runs or runs[-1][0] == number:
        return ""
    newest, facts = runs[-1]
    why = "is a rough fit" if facts.get("quick") else "is not sound"
    return f"run {newest} {why}: answers come from run {number}, the last sound one"


def health(club: Club) -> dict[str, Any]:
    """Return the health gate of the newest run.

    Returns
    -------
    dict
        run, answers_from (the run that answers come from), quick, ok, divergences, divergences_ok, looked_at
        (number of elements checked) and lines with one record a quantity at its worst element: quantity,
        element, rhat, rhat_most, ess_bulk, ess_tail, ok, remedy.

    Raises
    ------
    InputError
        When nothing was fitted yet.
    """
    answering, _, _ = _answering(club)
    number, facts = _runs(club)[-1]
    gate = {"looked_at": None, **facts["health"]}
    return {"run": number, "answers_from": answering, "quick": bool(facts["quick"]), **gate}


def sound(facts: dict[str, Any]) -> bool:
    """Tell whether a run is a full fit that passed its health gate."""
    return bool(facts.get("health", {}).get("ok")) and not facts.get("quick")


def _runs(club: Club) -> list[tuple[int, dict[str, Any]]]:
    """Number and facts of every run whose draws are still there, oldest first."""
    found = club.runs()
    usable = found[~found["stale"].astype(bool)]
    return [(int(run), json.loads(text)) for run, text in zip(usable["run_no"], usable["facts"], strict=True)]


def _answering(club: Club) -> tuple[int, dict[str, Any], bytes]:
    runs = _runs(club)
    if not runs:
        raise InputError("there is no fit yet", where=club.name, remedy=f"run paryield fit {club.name}")
    fit_to_answer = [number for number, facts in runs if sound(facts)]
    return club.run(fit_to_answer[-1] if fit_to_answer else runs[-1][0])
