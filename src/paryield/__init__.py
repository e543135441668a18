"""paryield: what golf practice pays. The nouns of the package, loaded when first used."""

from __future__ import annotations

import importlib
from typing import Any

_NOUNS = {
    "Club": "paryield.club",
    "Tables": "paryield.tables",
    "Fit": "paryield.posterior",
    "Forecast": "paryield.forecast",
    "Returns": "paryield.plan",
    "Programme": "paryield.programme",
}
_NAMES = {"Fit": "Posterior"}

__all__ = ["Club", "Fit", "Forecast", "Programme", "Returns", "Tables"]


def __getattr__(name: str) -> Any:
    if name not in _NOUNS:
        raise AttributeError(f"module 'paryield' has no attribute {name!r}")
    return getattr(importlib.import_module(_NOUNS[name]), _NAMES.get(name, name))
