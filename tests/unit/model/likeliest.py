"""Population values at the top of the sampled density, for tests of what a planted record moves."""

from __future__ import annotations

from copy import copy

import numpy as np
from scipy.optimize import minimize

from paryield.model.density import Density
from paryield.model.design import Observations
from paryield.model.packing import packed
from paryield.model.population import constants_of
from paryield.model.spec import ModelSpec
from paryield.model.terms.term import Values


def likeliest(data: Observations, ready: Density, spec: ModelSpec) -> Values:
    """Return them for a record whose design the density was made ready for."""
    density = copy(ready)
    density._known = packed(data, constants_of(spec.priors))
    workspace = density.workspace()

    def downhill(x: np.ndarray) -> tuple[float, np.ndarray]:
        value, gradient = density(x, workspace)
        return -value, -gradient

    to_the_top = {"maxiter": 3000, "maxfun": 9000, "ftol": 1e-13, "gtol": 1e-7}
    found = minimize(downhill, density.start, jac=True, method="L-BFGS-B", options=to_the_top)
    return density.values(found.x)
