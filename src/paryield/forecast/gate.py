"""What a fit that is not sound may answer: nothing, unless it is asked for anyway."""

from __future__ import annotations

from paryield.errors import NotReportableError
from paryield.posterior import Posterior

BANNER = "NOT REPORTABLE: the fit does not pass its health checks; shown only because it was asked for."


def gate(posterior: Posterior, anyway: bool) -> str:
    """Return the banner of an answer, or refuse it.

    Raises
    ------
    NotReportableError
        When the fit is not healthy and the answer was not asked for anyway.
    """
    health = posterior.facts["health"]
    if health["ok"]:
        return ""
    if anyway:
        return BANNER
    bad = [line for line in health["lines"] if not line["ok"]]
    if bad:
        first = bad[0]
        who = f" of {first['element']}" if first["element"] else ""
        least = min(first["ess_bulk"], first["ess_tail"])
        what = f"{first['quantity']}{who} has R-hat {first['rhat']:.3f} and {least:.0f} effective draws"
        remedy = first["remedy"]
    else:
        what = f"{health['divergences']} divergent draws"
        remedy = "the model does not suit these records; look at what paryield check says of them"
    raise NotReportableError(
        f"the fit is not healthy enough to report: {what}",
        where="health gate",
        remedy=f"{remedy}; paryield health CLUB shows all, --anyway prints under a banner",
    )
