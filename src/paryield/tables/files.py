"""Files of a folder: which table each one holds, its fingerprint, its encoding and its records."""

from __future__ import annotations

import codecs
import csv
import hashlib
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from paryield.results import Problem
from paryield.tables.schema import TABLES

LARGEST_FILE = 256 * 2**20
"""Bytes beyond which a file is refused; a million rounds take about 60 MB."""

LONGEST_RECORD = 131_072
SPREADSHEETS = (".csv", ".tsv", ".xlsx")
ERROR_WORDS = ("#N/A", "#REF!", "#VALUE!", "#DIV/0!", "#NAME?", "#NUM!", "#NULL!")
SEPARATORS = (",", ";", "\t")
BOMS: tuple[tuple[bytes, str], ...] = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)

Record = tuple[int, list[str]]
"""Row number as a spreadsheet shows it, and the cells."""


class UnreadableFile(Exception):
    """A file or sheet of which nothing more can be read; carries the problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.line())
        self.problem = problem


@dataclass(frozen=True)
class SourceFile:
    """A file, or a sheet of one, that was read.

    ``name`` is the file name (with the sheet, where a workbook has several), ``sha256`` the fingerprint
    of the file's bytes, ``rows`` the number of data rows found, good or bad.
    """

    name: str
    sha256: str
    table: str
    rows: int


def table_of(stem: str) -> str | None:
    """Return the table that a file stem or sheet name stands for, or None."""
    name = stem.strip().lower()
    return name if name in TABLES else None


def fingerprint(path: Path) -> str:
    """Return the SHA-256 of a file as hexadecimal text."""
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


def trouble(file: str, message: str, remedy: str, *, row: int | None = None, found: str = "") -> Problem:
    """Return an error about a whole file or row."""
    return Problem(file, row, None, found, message, remedy)


def clipped(text: str, length: int = 80) -> str:
    """Return text cut to a length that fits a message."""
    return text if len(text) <= length else text[: length - 1] + "…"


def check_size(path: Path) -> None:
    """Raise :class:`UnreadableFile` when a file has no bytes, or too many."""
    size = path.stat().st_size
    if size == 0:
        raise UnreadableFile(
            trouble(path.name, "the file is empty (0 bytes)", "save it again, or take it out of the folder")
        )
    if size > LARGEST_FILE:
        found = f"{size / 2**20:.0f} MiB"
        message = f"the file is larger than {LARGEST_FILE / 2**20:g} MiB"
        raise UnreadableFile(trouble(path.name, message, "split it into folders by year", found=found))


def text_records(path: Path, problems: list[Problem]) -> Iterator[Record]:
    """Yield the records of a CSV file; blank lines and lines beginning with # are skipped.

    Parameters
    ----------
    path : Path
        The file; separator (comma, semicolon, tab) and encoding are found out.
    problems : list of Problem
        Receives warnings, and errors that cost one record only.

    Raises
    ------
    UnreadableFile
        When nothing more can be read.
    """
    check_size(path)
    encoding = _encoding(path, problems)
    separator = _separator(path, encoding)
    with path.open(encoding=encoding, newline="") as handle:
        lines = _Lines(handle)
        reader = csv.reader(lines, delimiter=separator, strict=True)
        number = 0
        while True:
            number += 1
            lines.between_records = True
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                _quotes(path.name, number, str(error), problems)
                continue
            except UnicodeError:
                message = "the file breaks off in the middle of a character"
                raise UnreadableFile(trouble(path.name, message, CUT_OFF, row=number)) from None
            if any(cell.strip() for cell in cells) and not is_comment(cells[0]):
                yield number, cells


CUT_OFF = "the file was cut off: save or copy it again"


class _Lines:
    """Lines of a text file, with comment lines blanked unless they stand inside a quoted cell."""

    def __init__(self, lines: Iterator[str]) -> None:
        self._lines = lines
        self.between_records = True

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = next(self._lines)
        if self.between_records and (is_comment(line) or (len(line) < 9 and SEPARATOR_LINE.fullmatch(line))):
            line = "\n"
        self.between_records = False
        return line


SEPARATOR_LINE = re.compile(r"\ufeff?sep=.\s*", re.IGNORECASE)


def is_comment(text: str) -> bool:
    """Tell whether a line or first cell is a comment, and not the error word of a spreadsheet."""
    return text.startswith("#") and not text.startswith(ERROR_WORDS)


def _quotes(file: str, number: int, error: str, problems: list[Problem]) -> None:
    if "unexpected end" in error or "field larger" in error:
        message = "a quoted cell is never closed"
        raise UnreadableFile(trouble(file, message, f"close the quotes, or {CUT_OFF}", row=number)) from None
    message = "the quotes of this row do not pair up"
    problems.append(trouble(file, message, "write a quote inside a quoted cell twice", row=number))


def _encoding(path: Path, problems: list[Problem]) -> str:
    with path.open("rb") as handle:
        head = handle.read(4096)
    if head.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        message = "the file is a workbook, not text"
        raise UnreadableFile(trouble(path.name, message, "give it the ending .xlsx, or save it as CSV"))
    for bom, encoding in BOMS:
        if head.startswith(bom):
            return encoding
    nuls = head[0::2].count(0), head[1::2].count(0)
    if sum(nuls) > 0.3 * len(head) and min(nuls) < 0.1 * max(nuls):
        return "utf-16-be" if nuls[0] > nuls[1] else "utf-16-le"
    return _eight_bit_encoding(path, problems)


def _eight_bit_encoding(path: Path, problems: list[Problem]) -> str:
    decoder = codecs.getincrementaldecoder("utf-8")()
    encoding = "utf-8"
    with path.open("rb") as handle:
        while block := handle.read(2**20):
            if b"\0" in block:
                message = "the file holds NUL bytes: it is damaged, or not text"
                raise UnreadableFile(trouble(path.name, message, "save it again as CSV (UTF-8)"))
            if encoding == "utf-8":
                try:
                    decoder.decode(block)
                except UnicodeDecodeError:
                    encoding = "cp1252"
            if encoding == "cp1252" and block.translate(None, UNDEFINED) != block:
                encoding = "latin-1"
    if encoding != "utf-8":
        message = f"the file is not UTF-8 and was read as Western European text ({encoding})"
        remedy = "look at the accents, and save it as CSV (UTF-8)"
        problems.append(Problem(path.name, None, None, "", message, remedy, "warning"))
    return encoding


UNDEFINED = b"\x81\x8d\x8f\x90\x9d"
"""Bytes without a meaning in code page 1252."""


def _separator(path: Path, encoding: str) -> str:
    known = {name for table in TABLES.values() for name in table.names}

    def score(separator: str) -> tuple[int, int]:
        cells = [header_name(cell.strip().strip('"')) for cell in header.split(separator)]
        return sum(cell in known for cell in cells), len(cells)

    header = ""
    with path.open(encoding=encoding, newline="", errors="replace") as handle:
        while line := handle.readline(LONGEST_RECORD):
            if line.strip() and not is_comment(line) and not SEPARATOR_LINE.fullmatch(line):
                header = line
                break
    return max(SEPARATORS, key=score)


def header_name(cell: str) -> str:
    """Return a header cell as a column name: small letters, underscores for spaces and hyphens."""
    return re.sub(r"[\s\-]+", "_", cell.strip().lower())
