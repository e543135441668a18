"""The club file: import, export, single rows, history, runs, erase, backup, and who saw what."""

from paryield.club.compare import Change
from paryield.club.contents import fingerprint
from paryield.club.edits import Edit, Stored
from paryield.club.erase import EraseReceipt
from paryield.club.imports import ImportReceipt, ImportRefused
from paryield.club.store import Club
from paryield.club.undo import UndoReceipt

__all__ = [
    "Change",
    "Club",
    "Edit",
    "EraseReceipt",
    "ImportReceipt",
    "ImportRefused",
    "Stored",
    "UndoReceipt",
    "fingerprint",
]
