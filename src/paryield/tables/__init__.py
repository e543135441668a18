"""Spreadsheets to typed tables, with all problems at once."""

from paryield.tables.categories import AREAS, SHIPPED, Category
from paryield.tables.frames import Tables, as_table, empty_tables, make_tables
from paryield.tables.schema import DTYPES, TABLES, Column, Table
from paryield.tables.settings import Settings

__all__ = [
    "AREAS",
    "DTYPES",
    "SHIPPED",
    "TABLES",
    "Category",
    "Column",
    "Settings",
    "Table",
    "Tables",
    "as_table",
    "empty_tables",
    "make_tables",
]
