"""Laws of reading: no file of any bytes ends in a traceback, and what is kept breaks no rule."""

from __future__ import annotations

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from malformed import GOLFERS, MALFORMED, TODAY, workbook
from paryield.tables import check_tables, read_folder

BOOK = workbook(
    {
        "golfers": [["golfer_id", "start_index"], ["G1", 2.5]],
        "rounds": [["golfer_id", "played_on", "score_differential"], ["G1", "2026-05-01", 9.5]],
    }
)
FOLDERS = [dict(case.files) for case in MALFORMED if case.files and case.name != "zip bomb"]
INSERTED = [
    b'"',
    b"\r",
    b"\n#",
    b"\0",
    b";",
    b",",
    b"'",
    b"=",
    b"-",
    b"\xff\xfe",
    b"\xe9",
    b"1e999",
    b"9999999",
]


@st.composite
def damaged_folders(draw: st.DrawFn) -> dict[str, bytes]:
    """Return a folder of which one file has bytes put in, taken out or cut off."""
    files = dict(draw(st.sampled_from([{"club.xlsx": BOOK}, *FOLDERS])))
    name = draw(st.sampled_from(sorted(files)))
    content = files[name]
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(content)))
        put_in = draw(st.sampled_from(INSERTED) | st.binary(max_size=3))
        taken_out = draw(st.sampled_from([0, 0, 1, 10, len(content)]))
        content = content[:place] + put_in + content[place + taken_out :]
    return files | {name: content}


def assert_sound(files: dict[str, bytes]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        for name, content in files.items():
            (Path(folder) / name).write_bytes(content)
        reading = read_folder(folder, today=TODAY)
    for problem in reading.problems:
        assert problem.message
        assert problem.remedy
        assert "\n" not in problem.line()
    kept = check_tables(reading.tables, today=TODAY)
    assert [problem.line() for problem in kept if problem.severity == "error"] == []
    left_out = sum(reading.rejected.values())
    assert not left_out or reading.errors


@settings(max_examples=50, deadline=None)
@given(damaged_folders())
def test_damaged_files_give_problems_and_never_a_traceback(files: dict[str, bytes]):
    assert_sound(files)


@settings(max_examples=30, deadline=None)
@given(
    st.binary(max_size=300) | st.text(max_size=150).map(lambda text: text.encode("utf-8", "surrogatepass"))
)
def test_any_bytes_at_all(content: bytes):
    assert_sound({"golfers.csv": GOLFERS, "rounds.csv": content, "practice.xlsx": content})


@settings(max_examples=30, deadline=None)
@given(st.lists(st.text(max_size=12), min_size=3, max_size=3))
def test_any_cells_at_all(cells: list[str]):
    quoted = ",".join('"' + cell.replace('"', '""') + '"' for cell in cells)
    header = "golfer_id,played_on,score_differential\n"
    assert_sound({"golfers.csv": GOLFERS, "rounds.csv": (header + quoted).encode("utf-8", "surrogatepass")})
