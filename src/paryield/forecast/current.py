"""What answers come from: the last sound run of a club, brought up to the rows now on record."""

from __future__ import annotations

import warnings
from datetime import date, timedelta
from typing import TYPE_CHECKING

from paryield.errors import Notice
from paryield.forecast.refreshed import refreshed
from paryield.model.design import as_of_day
from paryield.posterior import Posterior
from paryield.posterior.current import newer_run, stored_fit
from paryield.tables import Tables

if TYPE_CHECKING:
    from paryield.club import Club


def as_of_date(tables: Tables) -> date:
    """Return the last day on record: the latest round or practice."""
    return date(1970, 1, 1) + timedelta(days=as_of_day(tables))


def current_fit(club: Club) -> tuple[int, Posterior]:
    """Return number of the run that answers come from, and what it says of the rows now on record.

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
        When a newer run was passed over, or the one that answers is a rough fit.
    """
    number, run = stored_fit(club)
    passed_over = newer_run(club, number)
    if passed_over:
        warnings.warn(f"{club.name}: {passed_over}", Notice, stacklevel=2)
    if run.facts["quick"]:
        warnings.warn(f"{club.name}: run {number} is a rough fit with few draws", Notice, stacklevel=2)
    return number, refreshed(run, club.tables())
