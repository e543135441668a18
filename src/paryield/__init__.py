"""paryield: what golf practice pays. The nouns of the package, loaded when first used."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from paryield.club import Club
    from paryield.forecast import Forecast
    from paryield.plan import Plan, Returns
    from paryield.posterior import Posterior as Fit
    from paryield.programme import Programme
    from paryield.tables import Tables

_NOUNS = {
    "Club": "paryield.club",
    "Tables": "paryield.tables",
    "Fit": "paryield.posterior",
    "Forecast": "paryield.forecast",
    "Plan": "paryield.plan",
    "Returns": "paryield.plan",
    "Programme": "paryield.programme",
}
_NAMES = {"Fit": "Posterior"}

__all__ = ["Club", "Fit", "Forecast", "Plan", "Programme", "Returns", "Tables"]


def __getattr__(name: str) -> Any:
    if name == "__version__":
        from importlib.metadata import version

        return version("paryield")
    if name not in _NOUNS:
        raise AttributeError(f"module 'paryield' has no attribute {name!r}")
    return getattr(import_module(_NOUNS[name]), _NAMES.get(name, name))


def loaded_later(package: str, places: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """Return a module's ``__getattr__`` that loads what a folder exports when it is first asked for.

    A command then loads what it needs: who only lists people waits for no table and no draw.

    Parameters
    ----------
    package : str
        Name of the folder's package.
    places : mapping
        Modules of the folder, and the names that each of them holds.
    """
    where = {name: module for module, names in places.items() for name in names}

    def found(name: str) -> Any:
        if name not in where:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        return getattr(import_module(f"{package}.{where[name]}"), name)

    return found
