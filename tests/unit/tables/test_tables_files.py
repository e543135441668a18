"""Text files: encodings, separators, comments, blank columns, headers, sizes."""

import hashlib
import os

import pytest

from malformed import GOLFERS, ROUNDS
from paryield.errors import InputError
from paryield.tables import files, read_folder, reader

NAMED = "golfer_id,display_name\nG1,Åsa Müller\nG2,Bo\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_unicode_encodings_need_no_word(read, encoding):
    reading = read({"golfers.csv": NAMED.encode(encoding)})
    assert reading.problems == ()
    assert reading.tables.golfers["display_name"].tolist() == ["Åsa Müller", "Bo"]


@pytest.mark.parametrize(("encoding", "shown"), [("latin-1", "cp1252"), ("cp1252", "cp1252")])
def test_western_files_are_read_with_a_warning(read, encoding, shown):
    reading = read({"golfers.csv": NAMED.encode(encoding)})
    assert reading.tables.golfers["display_name"][0] == "Åsa Müller"
    (problem,) = reading.problems
    assert problem.severity == "warning"
    assert problem.line() == (
        f"golfers.csv: the file is not UTF-8 and was read as Western European text ({shown})"
        " - look at the accents, and save it as CSV (UTF-8)"
    )


def test_bytes_that_code_page_1252_lacks_are_latin_1(read):
    reading = read({"golfers.csv": b"golfer_id,display_name\nG1,\xc5sa \x81\nG2,Bo\n"})
    assert "(latin-1)" in reading.warnings[0].message


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_separators_and_line_ends(read, separator, end):
    lines = ["golfer_id,played_on,score_differential", "G1,2026-05-01,14.2", "G2,2026-05-02,9"]
    reading = read({"rounds.csv": end.join(line.replace(",", separator) for line in lines)})
    assert reading.problems == ()
    assert reading.tables.rounds["score_differential"].tolist() == [14.2, 9.0]


def test_decimal_commas_where_the_separator_allows_them(read):
    by_semicolon = "golfer_id;played_on;score_differential\nG1;2026-05-01;12,4\n"
    assert read({"rounds.csv": by_semicolon}).tables.rounds["score_differential"][0] == 12.4
    quoted = 'golfer_id,played_on,score_differential\nG1,2026-05-01,"12,4"\n'
    assert read({"rounds.csv": quoted}).tables.rounds["score_differential"][0] == 12.4


def test_rows_count_as_a_spreadsheet_shows_them(read):
    text = (
        '# season 2026, "draft"\n\ngolfer_id,played_on,score_differential,course\n'
        '# inside\nG1,2026-05-01,14.2,"Old\n# Moor"\n,,,\nG1,2026-05-02,x,\n'
    )
    reading = read({"rounds.csv": text})
    (problem,) = reading.problems
    assert (problem.file, problem.row, problem.column, problem.found) == (
        "rounds.csv",
        7,
        "score_differential",
        "x",
    )
    assert reading.tables.rounds["course"].tolist() == ["Old\n# Moor"]


def test_a_quote_that_opens_in_a_comment_closes_nothing(read):
    text = 'golfer_id,played_on,score_differential\n#,"never closed\nG1,2026-05-01,14.2\n'
    assert read({"rounds.csv": text}).problems == ()


def test_names_may_hold_anything(read):
    names = ["Quill, Ada", 'Bo "Birdie" Marsh', "two\nlines", "⛳🏌️", "שרה כהן", "=1+1", "+x", "-x", "@x"]
    body = "".join('G{},"{}"\n'.format(i, name.replace('"', '""')) for i, name in enumerate(names, 1))
    reading = read({"golfers.csv": "golfer_id,display_name\n" + body})
    assert reading.problems == ()
    assert reading.tables.golfers["display_name"].tolist() == names


def test_a_header_without_rows_is_a_valid_empty_table(read):
    reading = read(
        {"rounds.csv": ROUNDS.splitlines()[0], "practice.csv": "golfer_id,practised_on,category,reps"}
    )
    assert reading.problems == ()
    assert len(reading.tables.rounds) == len(reading.tables.practice) == 0
    assert [file.rows for file in reading.files] == [2, 0, 0]


def test_a_column_that_is_all_blank_is_unknown(read):
    reading = read({"rounds.csv": "golfer_id,played_on,score_differential,putts\nG1,2026-05-01,14.2,\n"})
    assert reading.problems == ()
    assert reading.tables.rounds["putts"].isna().all()


def test_header_spelling_is_forgiving_and_blank_ends_are_dropped(read):
    reading = read({"rounds.csv": "Golfer ID, Played-On ,SCORE_DIFFERENTIAL,,\nG1,2026-05-01,14.2,,\n"})
    assert reading.problems == ()
    assert len(reading.tables.rounds) == 1


def test_unknown_columns_are_kept_aside_and_named(read):
    reading = read({"rounds.csv": "golfer_id,played_on,score_differential,Wind\nG1,2026-05-01,14.2,strong\n"})
    (problem,) = reading.warnings
    assert (problem.row, problem.found) == (1, "Wind")
    assert "rounds does not have" in problem.message
    assert reading.aside["rounds"].to_dict("records") == [{"file": "rounds.csv", "row": 2, "Wind": "strong"}]


def test_a_column_of_the_table_is_not_offered_for_another_that_is_missing(read):
    reading = read({"rounds.csv": "golfer_id,score_differential\nG1,14.2\n"})
    (problem,) = reading.errors
    assert problem.column == "played_on"
    assert "rename" not in problem.remedy
    assert "paryield adopt" in problem.remedy
    assert reading.rejected == {"rounds": 1}


@pytest.mark.parametrize(
    ("header", "offered"),
    [
        ("Thornlea medal rounds 2026", []),
        ("Player,Differential", []),
        ("Golfer,Date played,score_differential", ["'Golfer'", "'Date played'"]),
        ("golferid,playd on,score_differential", ["'golferid'", "'playd on'"]),
    ],
)
def test_only_a_heading_that_is_meant_is_offered_for_a_column(read, header: str, offered: list[str]):
    reading = read({"rounds.csv": f"{header}\n1,2,3\n"})
    told = [problem.remedy for problem in reading.errors if problem.column in ("golfer_id", "played_on")]
    assert [remedy.split("rename ")[1].split(",")[0] for remedy in told if "rename" in remedy] == offered
    assert all("paryield adopt" in remedy for remedy in told if "rename" not in remedy)


def test_a_header_error_and_row_errors_of_other_files_come_together(read):
    reading = read({"golfers.csv": "golfer_id,start_index\nG1,99\n", "rounds.csv": "golfer_id\nG1\n"})
    assert [problem.column for problem in reading.errors] == [
        "start_index",
        "played_on",
        "score_differential",
    ]


def test_files_that_are_no_table_are_named(read):
    reading = read({"rouns.csv": "a", "notes.txt": "a", ".hidden": "a", "~$rounds.xlsx": "a"})
    lines = [problem.line() for problem in reading.warnings]
    assert len(lines) == 2
    assert lines[0].startswith("notes.txt: this is not one of the tables")
    assert "rename it rounds" in lines[1]


def test_the_nearest_file_is_named_when_rounds_is_missing(read):
    reading = read({"golfers.csv": GOLFERS, "round.csv": ROUNDS}, bare=True)
    (problem,) = reading.errors
    assert "rename 'round'" in problem.remedy


def test_two_files_of_one_table_are_merged_with_a_check_of_keys(read):
    second = ROUNDS + b"G2,2026-05-01,9.1\n"
    reading = read({"rounds.tsv": second.replace(b",", b"\t")})
    (problem,) = reading.errors
    assert problem.line().startswith("rounds.tsv, row 2: the same row as row 2 of rounds.csv")
    assert reading.tables.rounds["golfer_id"].tolist() == ["G1", "G2"]


def test_fingerprints_and_counts_of_the_files(read):
    reading = read({})
    assert [(file.name, file.table, file.rows) for file in reading.files] == [
        ("golfers.csv", "golfers", 2),
        ("rounds.csv", "rounds", 1),
    ]
    assert reading.files[1].sha256 == hashlib.sha256(ROUNDS).hexdigest()


def test_a_file_above_the_limit_is_refused_by_size(read, monkeypatch):
    """The limit is 256 MiB. Measured once: 206 MB (3.3 million rounds, 14 columns) were read in 74 s on a
    shared machine, with a peak of 1.75 GB of memory; the limit is lowered here."""
    monkeypatch.setattr(files, "LARGEST_FILE", 2**20)
    body = ROUNDS + b"# filler\n" * 130_000
    (problem,) = read({"rounds.csv": body}).errors
    assert problem.line() == (
        "rounds.csv: the file is larger than 1 MiB (found '1 MiB') - split it into folders by year"
    )


def test_reading_in_chunks_gives_the_same(read, monkeypatch):
    rows = b"".join(b"G1,2026-05-%02d,%d,x\n" % (day, day) for day in range(1, 31))
    whole = read({"rounds.csv": ROUNDS.splitlines()[0] + b",wind\n" + rows + b"G1,bad,1,y\n"})
    monkeypatch.setattr(reader, "CHUNK", 7)
    parts = read({"rounds.csv": ROUNDS.splitlines()[0] + b",wind\n" + rows + b"G1,bad,1,y\n"})
    assert parts.problems == whole.problems
    assert parts.tables.equals(whole.tables)
    assert parts.aside["rounds"].equals(whole.aside["rounds"])
    assert parts.errors[0].row == 32


def test_a_long_value_is_shown_cut(read):
    text = "golfer_id,played_on,score_differential\nG1,2026-05-01," + "9" * 5000 + "x\n"
    (problem,) = read({"rounds.csv": text}).errors
    assert problem.found == "9" * 79 + "…"


def test_a_quote_that_swallows_the_file_is_found(read):
    body = ROUNDS + b'G1,"2026-05-02,3\n' + b"G1,2026-05-03,3\n" * 10_000
    (problem,) = read({"rounds.csv": body}).errors
    assert problem.line().startswith("rounds.csv, row 3: a quoted cell is never closed")


def test_a_folder_that_is_none(tmp_path):
    with pytest.raises(InputError, match="no such folder"):
        read_folder(tmp_path / "nowhere")
    (tmp_path / "file").write_text("a")
    with pytest.raises(InputError, match="a file, not a folder"):
        read_folder(tmp_path / "file")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes are POSIX")
@pytest.mark.parametrize(
    ("make", "kind"),
    [
        (lambda path: path.mkdir(), "a folder"),
        (lambda path: os.mkfifo(path), "a pipe or device"),
        (lambda path: path.symlink_to("nowhere"), "a broken link"),
    ],
    ids=["folder", "pipe", "link"],
)
def test_what_is_no_file_is_named_and_not_missing(tmp_path, make, kind):
    (tmp_path / "golfers.csv").write_text("golfer_id\nG1\n")
    make(tmp_path / "rounds.csv")
    lines = [problem.line() for problem in read_folder(tmp_path).problems]
    assert lines == [f"rounds.csv: this is {kind}, not a file - give the spreadsheet itself this name"]
