"""Types of arrays, as annotations name them."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FLOATS = npt.NDArray[np.float64]
INTS = npt.NDArray[np.int64]
BOOLS = npt.NDArray[np.bool_]
