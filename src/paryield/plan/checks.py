"""All that speaks for or against a fit: the health gate, the look before it, and what the advice hangs on."""

from __future__ import annotations

from typing import Any

from paryield.forecast.current import standing
from paryield.forecast.misfit import misfit
from paryield.forecast.refreshed import refreshed
from paryield.plan.sensitivity import sensitivity
from paryield.posterior.current import health as gate_of
from paryield.posterior.current import stored_fit


def health(club: Any) -> dict[str, Any]:
    """Return the health of the newest run.

    Returns
    -------
    dict
        That of :func:`paryield.posterior.current.health`, and ``expectations`` (name of the set the run was
        fitted with), ``before_fit`` (``co_movement`` and ``time_shift``, see
        :mod:`paryield.model.before_fit`) and ``sensitivity`` (see :mod:`paryield.plan.sensitivity`); None
        where there is nothing to say. ``record``: how old the fit is beside the record as it is now, and
        whether a new one is due, see :class:`paryield.forecast.current.Standing`. ``learnt``: how the
        records agree with what other clubs learnt, where the fit started from that. ``misfit``: rounds
        beside their forecasts, see :class:`paryield.forecast.misfit.Misfit`.

    Raises
    ------
    InputError
        When nothing was fitted yet, or the club is damaged.
    """
    club.check()
    found = gate_of(club)
    number, posterior = stored_fit(club)
    now = standing(number, refreshed(posterior, club.tables()), look=True)
    off = misfit(posterior, club.tables())
    return {
        **found,
        "record": now.to_dict(),
        "expectations": posterior.facts.get("expectations", "usual"),
        "before_fit": posterior.facts.get("before_fit"),
        "sensitivity": sensitivity(posterior, club.tables().categories),
        "learnt": posterior.facts.get("learnt"),
        "misfit": None if off is None else off.to_dict(),
    }
