"""A coach's own spreadsheets to the tables: found out, shown, asked about and remembered."""

from paryield.adopt.adoption import Adoption, adopt_folder
from paryield.adopt.memory import Memory, read_memory
from paryield.adopt.origins import Origins

__all__ = ["Adoption", "Memory", "Origins", "adopt_folder", "read_memory"]
