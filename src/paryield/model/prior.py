"""What is known beforehand: constants with unit, status and source, and the laws that they make.

A law is declared in the current PyMC model. Answers read constants without loading PyMC.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from paryield.errors import InternalError

SOFTPLUS_ZERO = math.log(math.e - 1.0)
"""softplus(SOFTPLUS_ZERO) = 1, so that a standard normal 0 stands for the prior median."""
STRAIGHT = 3.0
"""Scale of a spread's prior in the unit in which it is sampled: softplus is straight there."""
READ, MEMORY, COMPUTED, JUDGED = "read", "memory", "computed", "judgement"
"""Status of a constant: read on a published page, from memory, computed from published figures, judgement."""

Number = float | tuple[float, ...]


@dataclass(frozen=True)
class Constant:
    """One constant of the priors.

    Parameters
    ----------
    name : str
        Its name in a specification.
    value : float or tuple of float
        By area or by form of test where there are several.
    unit : str
    status : str
        One of :data:`READ`, :data:`MEMORY`, :data:`COMPUTED`, :data:`JUDGED`.
    source : str
        Where it comes from, or the reason.
    """

    name: str
    value: Any
    unit: str
    status: str = JUDGED
    source: str = ""


@dataclass(frozen=True)
class Normal:
    """Normal law: mean and standard deviation."""

    mean: Constant | float
    sd: Constant | float

    def declare(self, name: str, priors: Mapping[str, Any], dims: str | None = None) -> Any:
        """Declare the variable in the current model."""
        import pymc as pm

        return pm.Normal(name, _of(self.mean, priors), _of(self.sd, priors), dims=dims)


@dataclass(frozen=True)
class LogNormal:
    """Log-normal law: median, and standard deviation of the logarithm.

    It is sampled on the log scale. On a straight scale the long tail of a spread slowed chains down
    wherever only
    greens and putts are kept: of 2,000 draws of the spread off the tee 315 were effective in the tail, on
    the log scale 1,110.
    """

    median: Constant | float
    log_sd: Constant | float

    def declare(self, name: str, priors: Mapping[str, Any], dims: str | None = None) -> Any:
        """Declare the variable in the current model."""
        import numpy as np
        import pymc as pm

        return pm.LogNormal(name, np.log(_of(self.median, priors)), _of(self.log_sd, priors), dims=dims)


@dataclass(frozen=True)
class Shares:
    """Dirichlet law over areas: its weights."""

    weights: Constant

    def declare(self, name: str, priors: Mapping[str, Any], dims: str | None = None) -> Any:
        """Declare the variable in the current model."""
        import numpy as np
        import pymc as pm

        return pm.Dirichlet(name, np.array(_of(self.weights, priors)), dims=dims)


@dataclass(frozen=True)
class HalfNormal:
    """Half-normal law of a spread that may be nothing.

    It is sampled as the inverse of softplus, nearly straight but for the smallest: on a log scale what the
    data cannot tell from nothing would stretch without end.
    """

    scale: Constant | float

    def declare(self, name: str, priors: Mapping[str, Any], dims: str | None = None) -> Any:
        """Declare the variable in the current model."""
        import pymc as pm
        from pymc.distributions.transforms import log_exp_m1

        unit = pm.HalfNormal(f"{name}_unit", STRAIGHT, default_transform=log_exp_m1, dims=dims)
        return pm.Deterministic(name, _of(self.scale, priors) / STRAIGHT * unit, dims=dims)


Law = Normal | LogNormal | Shares | HalfNormal


def _of(constant: Constant | float, priors: Mapping[str, Any]) -> Any:
    return priors[constant.name] if isinstance(constant, Constant) else constant


def constants_in(law: Law | None) -> list[Constant]:
    """Constants that a law is made of."""
    return [one for one in vars(law).values() if isinstance(one, Constant)] if law else []


@dataclass(frozen=True)
class Value:
    """One population value of the model.

    Parameters
    ----------
    name : str
    law : Law, optional
        Its prior; none where a term works the value out of others.
    unit : str
    dims : tuple of str
        Dimensions after chain and draw.
    label : str
        In the words of the health page; the health gate checks values that have one.
    """

    name: str
    law: Law | None = None
    unit: str = ""
    dims: tuple[str, ...] = ()
    label: str = ""

    def declare(self, priors: Mapping[str, Any]) -> Any:
        """Declare the value by its law in the current PyMC model."""
        if self.law is None:
            raise InternalError(f"population value {self.name!r} has no prior of its own")
        return self.law.declare(self.name, priors, self.dims[0] if self.dims else None)
