"""Spreadsheets dropped on a page, kept in a folder of their own until they are stored or dropped."""

from __future__ import annotations

import dataclasses
import secrets
import shutil
import threading
from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from starlette.datastructures import UploadFile

from paryield import private
from paryield.adopt import Origins
from paryield.club import ImportReceipt
from paryield.club.scratch import Scratch
from paryield.errors import InputError
from paryield.results import Problem

ENDINGS = (".csv", ".xlsx", ".toml", ".tsv", ".txt", ".xls", ".xlsm", ".xlsb", ".ods")
MOST_FILES, MOST_BYTES = 40, 200 * 2**20
KEPT = 8
LONGEST_NAME = 200
"""Bytes of a file name; most file systems hold 255."""


@dataclass(frozen=True)
class Made:
    """What a coach's own spreadsheets were made into: where rows stood, what was understood or left.

    ``tables`` are the files and sheets that came with them and are tables already.
    """

    origins: Origins
    understood: tuple[str, ...]
    problems: tuple[Problem, ...]
    tables: frozenset[str] = frozenset()


@dataclass
class Uploads:
    """Batches by a random name; the oldest go when there are too many."""

    scratch: Scratch
    folders: OrderedDict[str, Path] = field(default_factory=OrderedDict)
    receipts: OrderedDict[str, ImportReceipt] = field(default_factory=OrderedDict)
    answers: dict[str, dict[str, str]] = field(default_factory=dict)
    made: dict[str, Made] = field(default_factory=dict)
    sources: dict[str, Path] = field(default_factory=dict)
    anew: set[str] = field(default_factory=set)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, folder: Path) -> str:
        """Take in a folder and return its name."""
        name = secrets.token_urlsafe(16)
        with self.lock:
            self.folders[name] = folder
            old = [self.folders.popitem(last=False) for _ in range(len(self.folders) - KEPT)]
            gone = [path for batch, path in old for path in (path, self.sources.pop(batch, path))]
        for one in gone:
            shutil.rmtree(one, ignore_errors=True)
        return name

    def folder(self, name: str) -> Path:
        """Return a batch's folder.

        Raises
        ------
        InputError
            When it was stored or dropped meanwhile.
        """
        with self.lock:
            found = self.folders.get(name)
        if found is None or not found.is_dir():
            raise InputError("these spreadsheets are no longer here", remedy="choose them again")
        return found

    def holds(self, name: str) -> bool:
        """Whether a batch is still here."""
        with self.lock:
            return name in self.folders

    def source(self, name: str) -> Path:
        """Return the folder of the spreadsheets as they were sent; InputError as :meth:`folder`."""
        with self.lock:
            found = self.sources.get(name)
        return self.folder(name) if found is None else found

    def replace(self, name: str, folder: Path, made: Made) -> None:
        """Let the tables made of a batch stand for it, and keep what they were made of."""
        with self.lock:
            self.sources.setdefault(name, self.folders.get(name, folder))
            self.folders[name] = folder
            self.made[name] = made
            for gone in set(self.made) - set(self.folders):
                del self.made[gone]

    def reopen(self, name: str) -> None:
        """Let the spreadsheets that were sent stand for a batch again, so that they are read anew."""
        with self.lock:
            source = self.sources.pop(name, None)
            if source is None:
                return
            old = self.folders.get(name)
            self.folders[name] = source
            self.made.pop(name, None)
        if old is not None:
            shutil.rmtree(old, ignore_errors=True)

    def read_anew(self, name: str) -> None:
        """Let the names of a batch be settled by its answers alone from now on."""
        with self.lock:
            self.anew = {one for one in (*self.anew, name) if one in self.folders}

    def is_read_anew(self, name: str) -> bool:
        """Whether the answers about a batch are given anew."""
        with self.lock:
            return name in self.anew

    def tell(self, name: str, answers: dict[str, str]) -> None:
        """Keep what was answered about a batch while it is here."""
        with self.lock:
            self.answers[name] = answers
            for gone in set(self.answers) - set(self.folders):
                del self.answers[gone]

    def told(self, name: str) -> dict[str, str]:
        """Return what was answered about a batch so far."""
        with self.lock:
            return dict(self.answers.get(name, {}))

    def origins_of(self, name: str) -> Origins | None:
        """Return where the rows of a batch stood; None where it is of the project's own form."""
        with self.lock:
            made = self.made.get(name)
        return None if made is None else made.origins

    def account(self, name: str) -> tuple[tuple[str, ...], tuple[Problem, ...]]:
        """Return what was understood of a batch, line by line, and what of it could not be read."""
        with self.lock:
            made = self.made.get(name)
        return ((), ()) if made is None else (made.understood, made.problems)

    def tables_of(self, name: str) -> frozenset[str]:
        """Return the files and sheets of a batch that are tables beside a coach's own."""
        with self.lock:
            made = self.made.get(name)
        return frozenset() if made is None else made.tables

    def own(self, name: str, problems: Iterable[Problem]) -> tuple[Problem, ...]:
        """Return problems of a batch as those of the sheets that were sent."""
        origins, tables = self.origins_of(name), self.tables_of(name)
        with self.lock:
            folder = self.folders.get(name)
        if origins is not None:
            return tuple(one if one.file in tables else origins.own(one) for one in problems)
        hidden = "" if folder is None else folder.name
        shown = "the spreadsheets"
        return tuple(dataclasses.replace(one, file=shown) if one.file == hidden else one for one in problems)

    def drop(self, name: str) -> None:
        """Forget a batch."""
        with self.lock:
            found = (self.folders.pop(name, None), self.sources.pop(name, None))
            self.answers.pop(name, None)
            self.made.pop(name, None)
        for one in found:
            if one is not None:
                shutil.rmtree(one, ignore_errors=True)

    def finish(self, name: str, receipt: ImportReceipt) -> None:
        """Forget a batch that was stored, but keep its receipt."""
        self.drop(name)
        with self.lock:
            self.receipts[name] = receipt
            while len(self.receipts) > KEPT:
                self.receipts.popitem(last=False)

    def receipt(self, name: str) -> ImportReceipt | None:
        """Return the receipt of a batch that was stored."""
        with self.lock:
            return self.receipts.get(name)


def keep_files(uploads: Uploads, files: list[Any]) -> tuple[Path, str]:
    """Write uploaded files to a folder of their own; it is gone within the hour, or when the desk ends.

    Raises
    ------
    InputError
        When there are none or too many, one is too large, or two have one name.
    """
    given = [file for file in files if isinstance(file, UploadFile) and file.filename]
    if not given:
        raise InputError("no file was chosen", remedy="choose your spreadsheets: workbooks or CSV files")
    if len(given) > MOST_FILES:
        raise InputError(f"{len(given)} files at once are too many", remedy=f"bring in at most {MOST_FILES}")
    folder = uploads.scratch.new()
    try:
        left = MOST_BYTES
        for file in given:
            left -= _write(folder / safe_name(str(file.filename)), file, left)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    return folder, uploads.add(folder)


def safe_name(given: str) -> str:
    """Return the bare name of an uploaded file.

    Raises
    ------
    InputError
        When it is hidden or has an ending that no table has.
    """
    name = PureWindowsPath(PurePosixPath(given.replace("\0", "")).name).name.strip()
    if (
        not name
        or name.startswith(".")
        or Path(name).suffix.lower() not in ENDINGS
        or len(name.encode("utf-8", "replace")) > LONGEST_NAME
    ):
        raise InputError(
            f"{name[:60]!r} is not a spreadsheet that is read here", remedy="save it as .csv or .xlsx"
        )
    return name


def _write(path: Path, file: UploadFile, left: int) -> int:
    if path.exists():
        raise InputError(f"two files are called {path.name!r}", remedy="bring them in one after the other")
    size = 0
    with private.opened(path, "xb") as stream:
        while chunk := file.file.read(1 << 20):
            size += len(chunk)
            if size > left:
                raise InputError(
                    f"the files are larger than {MOST_BYTES // 2**20} MB together",
                    remedy="bring them in one after the other",
                )
            stream.write(chunk)
    return size
