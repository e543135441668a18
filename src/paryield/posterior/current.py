"""The fit that answers come from: the last sound run of a club."""

from __future__ import annotations

import json
import warnings
from typing import TYPE_CHECKING, Any

from paryield.errors import InputError, Notice
from paryield.posterior.contents import Posterior
from paryield.posterior.store import from_bytes

if TYPE_CHECKING:
    from paryield.club import Club


def current_fit(club: Club) -> tuple[int, Posterior]:
    """Return number and contents of the run that answers come from.

    That is the newest run that passed its health gate and is no rough fit; where there is none yet, the
    newest.

    Parameters
    ----------
    club : Club
        An open club.

    Raises
    ------
    InputError
        When nothing was fitted yet, or the stored draws do not match their fingerprint.

    Warns
    -----
    Notice
        When a newer run was passed over, the club's data changed since the fit, or it is a rough fit.
    """
    number, facts, payload = _answering(club)
    passed_over = newer_run(club, number)
    if passed_over:
        warnings.warn(f"{club.name}: {passed_over}", Notice, stacklevel=2)
    if facts.get("data") != club.data_fingerprint():
        text = f"the data changed since run {number}: answers are those of the older data; run paryield fit"
        warnings.warn(f"{club.name}: {text}", Notice, stacklevel=2)
    if facts["quick"]:
        warnings.warn(f"{club.name}: run {number} is a rough fit with few draws", Notice, stacklevel=2)
    return number, from_bytes(payload, facts.get("payload"))


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
