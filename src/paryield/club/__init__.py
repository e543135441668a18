"""The club file: import, export, single rows, history, runs, erase, backup, people, and who saw what."""

from typing import TYPE_CHECKING

from paryield import loaded_later

if TYPE_CHECKING:
    from paryield.club.accounts import Accounts, Issued
    from paryield.club.compare import Change
    from paryield.club.contents import fingerprint
    from paryield.club.edits import Edit, Stored
    from paryield.club.erase import EraseReceipt
    from paryield.club.imports import ImportReceipt, ImportRefused
    from paryield.club.people import ROLES, Person
    from paryield.club.sessions import Session
    from paryield.club.store import Club
    from paryield.club.undo import UndoReceipt

__all__ = [
    "ROLES",
    "Accounts",
    "Change",
    "Club",
    "Edit",
    "EraseReceipt",
    "ImportReceipt",
    "ImportRefused",
    "Issued",
    "Person",
    "Session",
    "Stored",
    "UndoReceipt",
    "fingerprint",
]

__getattr__ = loaded_later(
    __name__,
    {
        "accounts": (
            "Accounts",
            "Issued",
        ),
        "compare": ("Change",),
        "contents": ("fingerprint",),
        "edits": (
            "Edit",
            "Stored",
        ),
        "erase": ("EraseReceipt",),
        "imports": (
            "ImportReceipt",
            "ImportRefused",
        ),
        "people": (
            "ROLES",
            "Person",
        ),
        "sessions": ("Session",),
        "store": ("Club",),
        "undo": ("UndoReceipt",),
    },
)
