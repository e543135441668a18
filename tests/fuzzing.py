"""Feeds damaged files to every loader: each is read, or refused in one line, in bounded time and memory."""

from __future__ import annotations

import io
import tempfile
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import openpyxl
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from malformed import MALFORMED
from paryield.adopt import adopt_folder, read_memory
from paryield.club import Club
from paryield.club.imports import ImportRefused
from paryield.errors import ParyieldError
from paryield.model.expectations import expected_priors, read_expectations
from paryield.posterior.learnt import combine, read_learnt
from paryield.posterior.store import from_bytes
from paryield.rounds import putting
from paryield.tables import SHIPPED, read_folder

TODAY = date(2026, 6, 1)
PUTTS = b"distance_ft,tried,made\n3,10,9\n6,10,6\n12,10,3\n20,12,2\n"
SETTINGS = b"""club_name = "Marlhope"
minimum_scores = 5
locale = "en_GB"
logo = "mark.png"

[[category]]
name = "wedges"
serves = { approach = 1.0 }
minutes_per_100_reps = 45
half_life_days = 198.5
"""
EXPECTED = b"""name = "ours"

[[expectation]]
category = "chipping"
low = 0.1
likely = 0.3
high = 0.8
index_from = 10
index_to = 20
"""
TABLES = {
    "golfers.csv": b"golfer_id,start_index,diary_complete\nA,12,yes\nB,20,\n",
    "rounds.csv": b"golfer_id,played_on,score_differential\nA,2026-03-01,13.5\nB,2026-03-02,21.25\n",
    "practice.csv": b"golfer_id,practised_on,category,minutes,note\nA,2026-03-03,chipping,30,fine\n",
    "plans.csv": b"plan,golfer_id,category,starts_on,ends_on,minutes_per_week\n"
    b"spring,A,chipping,2026-04-01,2026-05-01,61.25\n",
    "limits.csv": b"golfer_id,category,starts_on,most_minutes_per_week,note\nA,driver,2026-04-01,0,wrist\n",
    "holes.csv": b"golfer_id,played_on,hole,par,stroke_index,strokes,putts\nA,2026-03-01,1,4,5,5,2\n",
    "settings.toml": SETTINGS,
    "mark.png": b"\x89PNG\r\n\x1a\n" + bytes(40),
}
PIECES = [
    *(b'"', b"\r", b"\n#", b"\0", b";", b",", b"'", b"=", b"-", b"\xff\xfe", b"\xe9", b"1e999", b"9999999"),
    *(
        b"[" * 2000,
        b"{a=" * 2000,
        b"9" * 5000,
        b"9" * 400,
        b'"""',
        b"a." * 2000,
        b"-" * 70_000,
        b"\n\n" * 500,
    ),
    *(b"<a>" * 5000, b"<!DOCTYPE a>", b"nan", b"inf", b"-0.0", b"2026-13-45", b"true", b"0x1"),
]
"""What breaks a reader: quotes, endings of lines, byte order marks, depth, and numbers of many digits."""

DAMAGE = st.lists(
    st.tuples(
        st.floats(0, 1, exclude_max=True),
        st.binary(max_size=4) | st.sampled_from(PIECES),
        st.sampled_from([0, 0, 1, 4, 20, 100]),
    ),
    min_size=1,
    max_size=6,
)


def damaged(content: bytes, places: list[tuple[float, bytes, int]]) -> bytes:
    """Return content with bytes put in and taken out; a piece tells after an equals sign as well."""
    for share, put_in, taken_out in places:
        at = int(share * (len(content) + 1))
        content = content[:at] + put_in + content[at + taken_out :]
    return content


def overwritten(content: bytes, places: list[tuple[float, bytes, int]]) -> bytes:
    """Return content of the same length with bytes overwritten where there are any but zeros."""
    full = [at for at, byte in enumerate(content) if byte]
    changed = bytearray(content)
    for share, put, _ in places:
        at = full[int(share * len(full))]
        changed[at : at + len(put[:8])] = put[:8]
    return bytes(changed[: len(content)])


@dataclass(frozen=True)
class Loader:
    """Something that reads files.

    Parameters
    ----------
    read : callable
        Reads a folder that holds the files; may raise only our own errors.
    files : tuple of dict
        Sound contents by file name, to damage.
    damage : callable
        How a content is damaged.
    """

    read: Callable[[Path], object]
    files: tuple[dict[str, bytes], ...]
    damage: Callable[[bytes, list[tuple[float, bytes, int]]], bytes] = damaged


def workbook(sheets: dict[str, bytes]) -> bytes:
    """Return CSV tables as one workbook."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, text in sheets.items():
        sheet = book.create_sheet(name.removesuffix(".csv"))
        for line in text.decode().splitlines():
            sheet.append(line.split(","))
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def read_tables(folder: Path) -> None:
    """Read a folder; each problem is one line with a remedy."""
    for problem in read_folder(folder, today=TODAY).problems:
        assert problem.message
        assert problem.remedy
        assert "\n" not in problem.line()


def import_tables(folder: Path) -> None:
    """Import a folder into a club, the good rows; a club that was made can be read."""
    with Club.open(folder / "club.db", create=True) as club:
        try:
            club.import_folder(folder, keep_good=True, today=TODAY)
        except ImportRefused as error:
            for problem in error.problems:
                assert "\n" not in problem.line()
            raise
        club.data_fingerprint()


def expect(folder: Path) -> None:
    """Read expectations and make priors of them."""
    expected_priors(read_expectations(folder / "expected.toml", SHIPPED), SHIPPED)


OWN = {
    "scores.csv": b"Player,Date,Gross,CR,Slope\nTilly Marsh,14/04/2026,88,71.2,128\n"
    b"Olle B,15/04/2026,91,71.2,128\n",
    "log.csv": b"Golfer;Datum;Was\nTilly Marsh;14.04.2026;50 chips, ladder 20 min\n",
    "adopted.json": b'{"format": 1, "answers": {"column: scores.csv: Gross": "gross"},'
    b' "people": {"Olle B": "G02"}}',
}
"""A coach's own sheets, and the answers kept beside them."""


LEARNT = (
    b'{"kind": "paryield learnt", "format": 1, "golfers": 24, "hours": 810.0,\n'
    b' "names": ["common", "chipping"], "mean": [0.1, -0.2], "covariance": [[0.5, 0.1], [0.1, 0.8]]}\n'
)


def learn(folder: Path) -> None:
    """Read what another club has learnt, and make a prior of it."""
    combine([read_learnt(folder / "learnt.json")])


def adopt(folder: Path) -> None:
    """Understand a coach's own sheets, take every proposal, and read the tables that come of it."""
    memory = read_memory(folder / "adopted.json")
    for _ in range(9):
        found = adopt_folder(folder, memory, skip=("adopted.json",))
        answers = [(one, one.proposal) for one in found.questions if one.proposal is not None]
        if not answers:
            break
        memory.take(answers)
    for line in found.lines():
        assert "\n" not in line
    found.write(folder / "tables")
    memory.write(folder / "adopted.json")
    read_tables(folder / "tables")


ROW = {"golfer_id": "A", "practised_on": "2026-05-01", "category": "chipping", "minutes": "20"}
KEY = {"golfer_id": "A", "practised_on": "2026-03-03", "category": "chipping", "entry_no": "1"}
USES: tuple[Callable[[Club, Path], object], ...] = (
    lambda club, _: club.data_fingerprint(),
    lambda club, _: (club.history(), club.runs(), club.latest_run(), club.audit(), club.copies()),
    lambda club, _: club.row("practice", KEY),
    lambda club, _: club.log("practice", ROW, today=TODAY),
    lambda club, folder: club.import_folder(folder / "in", today=TODAY),
    lambda club, folder: club.export(folder / "out", golfer="A"),
    lambda club, folder: club.backup(folder / "copy.db"),
    lambda club, _: club.saw("golfer", ["A"]),
    lambda club, _: club.undo(2),
    lambda club, _: club.save_run(payload=b"more", facts={}),
    lambda club, _: club.page_key(),
    lambda club, _: club.erase("A"),
)
"""Everything that is asked of a club and done to it."""


def use_club(folder: Path) -> None:
    """Ask a club file everything, write to it, and erase from it."""
    (folder / "in").mkdir()
    for name in ("golfers.csv", "rounds.csv"):
        (folder / "in" / name).write_bytes(TABLES[name])
    for use in USES:
        tell(lambda use=use: asked(folder, use))


def asked(folder: Path, use: Callable[[Club, Path], object]) -> None:
    """Open a club and ask one thing of it."""
    with Club.open(folder / "club.db") as club:
        use(club, folder)


def tell(read: Callable[[], object]) -> None:
    """Run a loader; an error of ours is one line."""
    line = ""
    try:
        read()
    except ParyieldError as error:
        line = error.line()
    assert "\n" not in line


def club_bytes() -> bytes:
    """Return the file of a small club."""
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        (place / "in").mkdir()
        for file, content in TABLES.items():
            (place / "in" / file).write_bytes(content)
        with Club.open(place / "club.db", create=True) as club:
            club.import_folder(place / "in", today=TODAY)
            club.save_run(payload=b"draws", facts={"golfers": ["A", "B"]})
            club.log("practice", {**ROW, "practised_on": "2026-05-02"}, today=TODAY)
        return (place / "club.db").read_bytes()


def loaders(fit: bytes) -> dict[str, Loader]:
    """Return every loader by name; ``fit`` are the bytes of a stored fit."""
    book = {"club.xlsx": workbook({name: text for name, text in TABLES.items() if name.endswith(".csv")})}
    broken = tuple(dict(case.files) for case in MALFORMED if case.files and case.name != "zip bomb")
    without = {name: text for name, text in TABLES.items() if name not in ("settings.toml", "mark.png")}
    putts = ({"putts.csv": PUTTS}, {"putts.xlsx": workbook({"putts": PUTTS})})
    return {
        "tables": Loader(read_tables, (without, *broken)),
        "workbook": Loader(read_tables, (book,)),
        "settings": Loader(read_tables, (TABLES,)),
        "import": Loader(import_tables, (TABLES, without, book)),
        "putts": Loader(lambda folder: putting(next(folder.iterdir())), putts),
        "expectations": Loader(expect, ({"expected.toml": EXPECTED},)),
        "club": Loader(use_club, ({"club.db": club_bytes()},), overwritten),
        "club cut": Loader(use_club, ({"club.db": club_bytes()},)),
        "adopt": Loader(adopt, (OWN,)),
        "learnt": Loader(learn, ({"learnt.json": LEARNT},)),
        "fit": Loader(lambda folder: from_bytes((folder / "fit").read_bytes()), ({"fit": fit},)),
    }


@dataclass
class Fuzzed:
    """How many examples, how many of them were refused, and the worst in seconds."""

    examples: int = 0
    worst: float = 0.0


def fuzz(loader: Loader, found: Fuzzed, examples: int, number: int) -> None:
    """Give so many damaged folders to a loader; ``number`` is the seed."""

    @seed(number)
    @settings(
        max_examples=examples,
        deadline=None,
        database=None,
        phases=[one for one in settings.default.phases if one in (Phase.generate, Phase.shrink)],
        suppress_health_check=list(HealthCheck),
    )
    @given(
        which=st.integers(0, len(loader.files) - 1),
        place=st.floats(0, 1, exclude_max=True),
        damage=DAMAGE,
        whole=st.none() | st.none() | st.none() | st.binary(max_size=300),
    )
    def feed(which: int, place: float, damage: list[tuple[float, bytes, int]], whole: bytes | None) -> None:
        files = loader.files[which]
        name = sorted(files)[int(place * len(files))]
        content = whole if whole is not None else loader.damage(files[name], damage)
        with tempfile.TemporaryDirectory() as folder:
            for file, text in (files | {name: content}).items():
                (Path(folder) / file).write_bytes(text)
            began = time.perf_counter()
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                tell(lambda: loader.read(Path(folder)))
            found.worst = max(found.worst, time.perf_counter() - began)
        found.examples += 1

    feed()
