"""Workbooks (.xlsx): their sheets as records of text, safely, and tables written to one."""

from __future__ import annotations

import contextlib
import io
import re
import warnings
import zipfile
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from itertools import islice
from pathlib import Path
from typing import Any
from xml.parsers import expat

from paryield import private
from paryield.results import Problem
from paryield.tables.files import CUT_OFF, Record, UnreadableFile, check_size, is_comment, trouble

LARGEST_UNPACKED = 1024 * 2**20
"""Bytes of a workbook once unpacked beyond which it is refused."""

MOST_SHRUNK = 200
"""Unpacked bytes per packed byte beyond which a workbook is refused; honest sheets stay below 50."""

LARGEST_PART = 128 * 2**20
"""Bytes of an unpacked part that is no sheet; these are held in memory whole, sheets row by row."""

ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")


@contextmanager
def _opened(path: Path, *, stored_results: bool = True, whole: bool = False) -> Iterator[Any]:
    import openpyxl  # here, because most folders hold no workbook and the import is slow

    try:
        with path.open("rb") as handle:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                book = openpyxl.load_workbook(handle, read_only=not whole, data_only=stored_results)
            try:
                yield book
            finally:
                book.close()
    except UnreadableFile:
        raise
    except Exception:  # a damaged workbook can fail anywhere in the reader, in any way
        message = "the workbook is damaged and cannot be read"
        raise UnreadableFile(trouble(path.name, message, f"open it and save it again; {CUT_OFF}")) from None


def sheet_names(path: Path) -> list[str]:
    """Return the names of the sheets.

    Raises
    ------
    UnreadableFile
        When the file is no workbook, is damaged, encrypted, too large, or unsafe to unpack.
    """
    check_size(path)
    _check_package(path)
    with _opened(path) as book:
        return [sheet.title for sheet in book.worksheets]


def sheet_records(path: Path, sheet: str, shown: str, problems: list[Problem]) -> Iterator[Record]:
    """Yield the records of a sheet as text; blank rows and comment rows are skipped.

    Parameters
    ----------
    path : Path
        The workbook, already accepted by :func:`sheet_names`.
    sheet : str
        Name of the sheet.
    shown : str
        Name of the file and sheet in messages.
    problems : list of Problem
        Receives one error per formula whose result is not stored.

    Raises
    ------
    UnreadableFile
        When the workbook turns out to be damaged.
    """
    with _opened(path) as book:
        if _has_formulas(path):
            problems.extend(_formulas_without_result(path, sheet, shown))
        worksheet = book[sheet]
        worksheet.reset_dimensions()
        for number, values in enumerate(_quietly(worksheet.iter_rows(values_only=True)), start=1):
            cells = [cell_text(value) for value in values]
            while cells and not cells[-1].strip():
                cells.pop()
            if cells and not is_comment(cells[0]):
                yield number, cells


def copy_sheets(path: Path, sheets: Collection[str], target: Path) -> None:
    """Write a workbook of some sheets of another, with the results of formulas in place of them.

    Raises
    ------
    UnreadableFile
        When the workbook turns out to be damaged.
    """
    with _opened(path, whole=True) as book:
        for name in book.sheetnames:
            if name not in sheets:
                del book[name]
        stream = io.BytesIO()
        book.save(stream)
    private.write(target, stream.getvalue())


def blank_sheets(path: Path, sheets: Collection[str], target: Path) -> None:
    """Write a copy of a workbook in which some sheets are blank; the others are as they were.

    Raises
    ------
    UnreadableFile
        When the workbook turns out to be damaged.
    """
    with _opened(path, whole=True) as book:
        for name in sheets:
            if name in book.sheetnames:
                at = book.sheetnames.index(name)
                del book[name]
                book.create_sheet(name, at)
        stream = io.BytesIO()
        book.save(stream)
    private.write(target, stream.getvalue())


def _quietly(rows: Iterator[tuple[object, ...]]) -> Iterator[tuple[object, ...]]:
    while True:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            block = list(islice(rows, 5000))
        if not block:
            return
        yield from block


def cell_text(value: object) -> str:
    """Return a workbook's cell as the text that a CSV file would hold."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ")
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, timedelta):
        hours, rest = divmod(int(value.total_seconds()), 3600)
        return f"{hours}:{rest // 60:02d}"
    return ESCAPED.sub(lambda code: chr(int(code[1], 16)), str(value))


def write_workbook(path: Path, sheets: Mapping[str, Iterable[Sequence[object]]]) -> None:
    """Write a workbook of one sheet per name; text cells stay text."""
    private.write(path, workbook_bytes(sheets))


def workbook_bytes(sheets: Mapping[str, Iterable[Sequence[object]]]) -> bytes:
    """Return a workbook of one sheet per name; text cells stay text."""
    import openpyxl  # see _opened

    book = openpyxl.Workbook(write_only=True)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append([_escaped(value) for value in row])
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _escaped(value: object) -> object:
    if not isinstance(value, str):
        return value
    text = ESCAPED.sub(lambda code: f"_x005F{code[0]}", value)
    return text.replace("\r", "_x000D_") or None


def _check_package(path: Path) -> None:
    with path.open("rb") as handle:
        head = handle.read(8)
    if head.startswith(b"\xd0\xcf\x11\xe0"):
        message = "the workbook is locked by a password, or in an old format"
        raise UnreadableFile(trouble(path.name, message, "save it without password as .xlsx, or as CSV"))
    try:
        with zipfile.ZipFile(path) as package:
            parts = package.infolist()
            unpacked = sum(part.file_size for part in parts)
            packed = sum(part.compress_size for part in parts)
            if unpacked > LARGEST_UNPACKED or (unpacked > 2**24 and unpacked > MOST_SHRUNK * packed):
                message = "the workbook unpacks to far more than it should"
                found = f"{unpacked / 2**20:.0f} MiB from {packed / 2**20:.2f} MiB"
                raise UnreadableFile(trouble(path.name, message, "save the tables as CSV", found=found))
            large = next((part for part in parts if _is_too_large(part)), None)
            if large is not None:
                found = f"{large.filename}, {large.file_size / 2**20:.0f} MiB"
                message = "a part of the workbook is too large to be held in memory"
                raise UnreadableFile(trouble(path.name, message, "save the tables as CSV", found=found))
            if any(_declares_entities(package, part) for part in parts):
                message = "the workbook holds a document type declaration, which no spreadsheet writes"
                raise UnreadableFile(trouble(path.name, message, "save it again from a spreadsheet"))
    except UnreadableFile:
        raise
    except Exception:  # as in _opened: a damaged package fails in many ways
        message = "the file is not a complete workbook"
        remedy = f"save it as .xlsx from a spreadsheet; {CUT_OFF}"
        raise UnreadableFile(trouble(path.name, message, remedy)) from None


def _is_too_large(part: zipfile.ZipInfo) -> bool:
    return part.file_size > LARGEST_PART and not part.filename.startswith("xl/worksheets/")


def _declares_entities(package: zipfile.ZipFile, part: zipfile.ZipInfo) -> bool:
    """Tell whether a part declares a document type, which XML allows before its first element only."""
    found: list[bool] = []
    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = lambda *_: found.append(True)
    parser.StartElementHandler = lambda *_: found.append(False)
    if hasattr(parser, "SetReparseDeferralEnabled"):  # since Expat 2.6 it may wait for more than it was given
        parser.SetReparseDeferralEnabled(False)
    with package.open(part) as handle, contextlib.suppress(expat.ExpatError):
        while not found and (block := handle.read(2**16)):
            parser.Parse(block)
        if not found:
            parser.Parse(b"", True)
    return found[:1] == [True]


def _has_formulas(path: Path) -> bool:
    with zipfile.ZipFile(path) as package:
        for part in package.infolist():
            if not part.filename.startswith("xl/worksheets/"):
                continue
            tail = b""
            with package.open(part) as handle:
                while block := handle.read(2**20):
                    if re.search(rb"<f[ >/]", tail + block):
                        return True
                    tail = block[-4:]
    return False


def _formulas_without_result(path: Path, sheet: str, shown: str) -> list[Problem]:
    found = []
    with _opened(path) as results, _opened(path, stored_results=False) as formulas:
        for book in (results, formulas):
            book[sheet].reset_dimensions()
        both = zip(results[sheet].iter_rows(), formulas[sheet].iter_rows(), strict=True)
        for number, (values, cells) in enumerate(both, start=1):
            for value, cell in zip(values, cells, strict=True):
                if value.value is None and cell.data_type == "f":
                    remedy = "open the workbook in a spreadsheet and save it, or type the value"
                    message = "a formula whose result is not stored"
                    found.append(Problem(shown, number, cell.column_letter, str(cell.value), message, remedy))
    return found
