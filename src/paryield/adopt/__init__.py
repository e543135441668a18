"""A coach's own spreadsheets to the tables: found out, shown, asked about and remembered."""

from paryield.adopt.adoption import Adoption, adopt_folder
from paryield.adopt.memory import Memory, read_memory
from paryield.adopt.origins import Origins
from paryield.adopt.ratings_known import KnownRatings, ratings_on_record

__all__ = [
    "Adoption",
    "KnownRatings",
    "Memory",
    "Origins",
    "adopt_folder",
    "ratings_on_record",
    "read_memory",
]
