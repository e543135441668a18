"""The local pages: they show what the other folders answer, and compute nothing."""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from paryield.desk.app import make_app
    from paryield.desk.server import listening, serve

__all__ = ["listening", "make_app", "serve"]


def __getattr__(name: str) -> Any:
    if name in __all__:  # late: the command line names the desk without loading a server
        return getattr(import_module(f"paryield.desk.{'app' if name == 'make_app' else 'server'}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
