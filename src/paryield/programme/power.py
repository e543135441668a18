"""The power of a programme report, for one club."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from paryield.forecast import gate
from paryield.forecast.pace import club_paces
from paryield.programme.design import design_table

if TYPE_CHECKING:
    from paryield.club import Club


def design(club: Club, anyway: bool = False) -> list[dict[str, Any]]:
    """Members and months that it takes to see an effect of one stroke, with the club's own spreads.

    Parameters
    ----------
    club : Club
    anyway : bool
        Answer although the health gate says no.

    Raises
    ------
    InputError
        When nothing was fitted yet.
    NotReportableError
        When the fit is not healthy.
    """
    from paryield.forecast.current import current_fit

    _, posterior = current_fit(club)
    gate(posterior, anyway)
    paces = club_paces(club.tables(), posterior.golfers, posterior.as_of)
    return design_table(posterior, float(np.median([pace.mean for pace in paces.values()])))
