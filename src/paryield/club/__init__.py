"""The club file: import, export, single rows, history, runs, erase, backup, people, and who saw what."""

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
