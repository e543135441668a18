"""Strokes lost by scoring area as the fit has them on the last day of the record."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from paryield.forecast.outlook import golfer_draws, practised, shared_path, stock_ahead
from paryield.posterior import Posterior

FLOATS = npt.NDArray[np.float64]


def areas_now(posterior: Posterior, golfer_id: str) -> FLOATS:
    """Return draws of strokes lost by area on the as-of day, shape (S, K).

    They sum to the mean differential of that day: level and practice, the golfer's own drift, and his share
    by area of what moves all areas alike (background, joining, season, form).

    Parameters
    ----------
    posterior : Posterior
    golfer_id : str

    Raises
    ------
    KeyError
        When the fit does not know the golfer.
    """
    golfer = golfer_draws(posterior, golfer_id)
    today = np.zeros(1)
    lost = practised(golfer, stock_ahead(golfer, today, golfer.recent), today)[:, 0]
    common = shared_path(golfer, today)[:, 0] + golfer.form
    areas: FLOATS = lost + golfer.drift * golfer.drift_now + golfer.share * common[:, None]
    return areas
