"""Spreadsheets to typed tables, with all problems at once."""

from typing import TYPE_CHECKING

from paryield import loaded_later

if TYPE_CHECKING:
    from paryield.tables.categories import AREAS, SHIPPED, Category
    from paryield.tables.events import Event, events_of
    from paryield.tables.files import SourceFile
    from paryield.tables.frames import Tables, as_table, empty_tables, make_tables
    from paryield.tables.load import Reading, check_tables, read_folder, read_frames, read_row
    from paryield.tables.schema import DTYPES, TABLES, Column, Table
    from paryield.tables.settings import Settings
    from paryield.tables.write import write_folder

__all__ = [
    "AREAS",
    "DTYPES",
    "SHIPPED",
    "TABLES",
    "Category",
    "Column",
    "Event",
    "Reading",
    "Settings",
    "SourceFile",
    "Table",
    "Tables",
    "as_table",
    "check_tables",
    "empty_tables",
    "events_of",
    "make_tables",
    "read_folder",
    "read_frames",
    "read_row",
    "write_folder",
]

__getattr__ = loaded_later(
    __name__,
    {
        "categories": (
            "AREAS",
            "SHIPPED",
            "Category",
        ),
        "events": ("Event", "events_of"),
        "files": ("SourceFile",),
        "frames": (
            "Tables",
            "as_table",
            "empty_tables",
            "make_tables",
        ),
        "load": (
            "Reading",
            "check_tables",
            "read_folder",
            "read_frames",
            "read_row",
        ),
        "schema": (
            "DTYPES",
            "TABLES",
            "Column",
            "Table",
        ),
        "settings": ("Settings",),
        "write": ("write_folder",),
    },
)
