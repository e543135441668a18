"""The fit that answers come from: the newest usable run of a club."""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING, Any

from paryield.errors import InputError, Notice
from paryield.posterior.contents import Posterior
from paryield.posterior.store import from_bytes

if TYPE_CHECKING:
    from paryield.club import Club


def current_fit(club: Club) -> tuple[int, Posterior]:
    """Return number and contents of the newest run.

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
        When the club's data changed since the fit, or it is a quick look.
    """
    number, facts, payload = _latest(club)
    if facts.get("data") != club.data_fingerprint():
        text = f"the data changed since run {number}: answers are those of the older data; run paryield fit"
        warnings.warn(f"{club.name}: {text}", Notice, stacklevel=2)
    if facts["quick"]:
        warnings.warn(f"{club.name}: run {number} is a quick look with few draws", Notice, stacklevel=2)
    return number, from_bytes(payload, facts.get("payload"))


def stored_fit(club: Club) -> tuple[int, Posterior]:
    """Return number and contents of the newest run, whatever the club's data are now.

    Raises
    ------
    InputError
        When nothing was fitted yet, or the stored draws do not match their fingerprint.
    """
    number, facts, payload = _latest(club)
    return number, from_bytes(payload, facts.get("payload"))


def health(club: Club) -> dict[str, Any]:
    """Return the health gate of the newest run.

    Returns
    -------
    dict
        run, quick, ok, divergences, divergences_ok, and lines with one record a quantity at its worst
        element: quantity, element, rhat, ess_bulk, ess_tail, ok, remedy.

    Raises
    ------
    InputError
        When nothing was fitted yet.
    """
    number, facts, _ = _latest(club)
    return {"run": number, "quick": bool(facts["quick"]), **facts["health"]}


def _latest(club: Club) -> tuple[int, dict[str, Any], bytes]:
    found = club.latest_run()
    if found is None:
        raise InputError("there is no fit yet", where=club.name, remedy=f"run paryield fit {club.name}")
    return found
