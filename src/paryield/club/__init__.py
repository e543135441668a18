"""The club file: import, export, history, runs, erase and backup."""

from paryield.club.compare import Change
from paryield.club.contents import fingerprint
from paryield.club.erase import EraseReceipt
from paryield.club.imports import ImportReceipt, ImportRefused
from paryield.club.store import Club
from paryield.club.undo import UndoReceipt

__all__ = ["Change", "Club", "EraseReceipt", "ImportReceipt", "ImportRefused", "UndoReceipt", "fingerprint"]
