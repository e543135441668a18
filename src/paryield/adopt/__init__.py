"""A coach's own spreadsheets to the tables: found out, shown, asked about and remembered."""

from paryield.adopt.adoption import Adoption, adopt_folder
from paryield.adopt.memory import Memory, read_memory

__all__ = ["Adoption", "Memory", "adopt_folder", "read_memory"]
