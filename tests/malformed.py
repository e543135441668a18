"""Folders with something wrong in them, and the words that the message must hold.

Each case must be refused with one clear line a problem: file, row, column, found value, remedy. The
traps are those that spreadsheets of golf clubs bring (common practice, no source); the last day on which
a round can have been played is :data:`TODAY`.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import openpyxl

TODAY = date(2026, 7, 5)

GOLFERS = b"golfer_id,display_name\nG1,Ada Quill\nG2,Bo Marsh\n"
ROUNDS = b"golfer_id,played_on,score_differential\nG1,2026-05-01,14.2\n"
SCORED = "golfer_id,played_on,adjusted_gross_score,course_rating,slope_rating"
PRACTICE = "golfer_id,practised_on,category,minutes"


@dataclass(frozen=True)
class Malformed:
    """A folder of files, and for each expected error the fragments of its line, in any order."""

    name: str
    files: dict[str, bytes]
    errors: tuple[tuple[str, ...], ...]


def workbook(sheets: dict[str, Sequence[Sequence[object]]]) -> bytes:
    """Return a workbook as a spreadsheet program would save it."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def package(parts: dict[str, bytes]) -> bytes:
    """Return a zip package with these parts."""
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return target.getvalue()


def folder(name: str, *errors: tuple[str, ...], **tables: str | bytes) -> Malformed:
    """Return a case whose golfers and rounds are sound unless given; ``rounds="..."`` is rounds.csv."""
    files = {"golfers.csv": GOLFERS, "rounds.csv": ROUNDS}
    for table, content in tables.items():
        files[f"{table}.csv"] = content.encode() if isinstance(content, str) else content
    return Malformed(name, files, errors)


def rounds(name: str, row: str, *fragments: str, header: str = SCORED) -> Malformed:
    """Return a case with one bad row of rounds, row 2."""
    return folder(name, ("rounds.csv, row 2", *fragments), rounds=f"{header}\n{row}\n")


def practice(name: str, row: str, *fragments: str, header: str = PRACTICE) -> Malformed:
    """Return a case with one bad row of practice, row 2."""
    return folder(name, ("practice.csv, row 2", *fragments), practice=f"{header}\n{row}\n")


def golfers(name: str, header: str, cell: str, *fragments: str) -> Malformed:
    """Return a case with a bad cell in row 2 of golfers; the rounds are G2's."""
    rows = ROUNDS.replace(b"G1", b"G2")
    text = f"golfer_id,{header}\nG1,{cell}\nG2,{',' * header.count(',')}\n"
    return folder(name, ("golfers.csv, row 2", *fragments), golfers=text, rounds=rows)


def _without(name: str) -> dict[str, bytes]:
    return {file: text for file, text in (("golfers.csv", GOLFERS), ("rounds.csv", ROUNDS)) if file != name}


WHOLE_BOOK = workbook(
    {"rounds": [["golfer_id", "played_on", "score_differential"], ["G1", date(2026, 5, 1), 14.2]]}
)
ENTITIES = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "b"><!ENTITY c "&b;&b;">]><a>&c;</a>'

MALFORMED: tuple[Malformed, ...] = (
    Malformed("empty folder", {}, (("the folder holds no table", "golfers.csv"),)),
    Malformed("no golfers", _without("golfers.csv"), (("the table golfers is missing", "add golfers.csv"),)),
    Malformed(
        "rounds under another name",
        {**_without("rounds.csv"), "round.csv": ROUNDS},
        (("the table rounds is missing", "rename 'round'"),),
    ),
    folder("empty file", ("rounds.csv", "empty (0 bytes)", "save it again"), rounds=b""),
    folder("no header", ("rounds.csv", "no header row", "golfer_id"), rounds="\n# nothing here\n\n"),
    folder(
        "missing column, nearest named",
        ("rounds.csv, row 1, column played_on", "missing", "'date played', the nearest one found"),
        rounds="golfer_id,date played,score_differential\nG1,2026-05-01,14.2\n",
    ),
    folder(
        "neither differential nor score",
        (
            "rounds.csv, row 1, column score_differential",
            "adjusted_gross_score and course_rating and slope_rating",
        ),
        rounds="golfer_id,played_on,course_rating\nG1,2026-05-01,71.5\n",
    ),
    folder(
        "column twice",
        ("rounds.csv, row 1, column putts", "stands twice", "keep one"),
        rounds="golfer_id,played_on,score_differential,putts,putts\nG1,2026-05-01,14.2,30,31\n",
    ),
    rounds("row without score", "G1,2026-05-01,92,71.5,", "slope_rating", "fill in one of the two"),
    rounds("blank golfer", ",2026-05-01,92,71.5,125", "column golfer_id", "blank", "fill it in"),
    rounds("blank date", "G1,,92,71.5,125", "column played_on", "blank"),
    rounds(
        "score of 0", "G1,2026-05-01,0,71.5,125", "column adjusted_gross_score", "'0'", "between 20 and 200"
    ),
    rounds(
        "score of 300",
        "G1,2026-05-01,300,71.5,125",
        "column adjusted_gross_score",
        "'300'",
        "leave it blank",
    ),
    rounds("score of 45 on 18 holes", "G1,2026-05-01,45,71.5,125", "'45'", "between 50 and 200 for 18 holes"),
    rounds("slope of 54", "G1,2026-05-01,92,71.5,54", "column slope_rating", "'54'", "between 55 and 155"),
    rounds("slope of 156", "G1,2026-05-01,92,71.5,156", "column slope_rating", "'156'", "between 55 and 155"),
    rounds(
        "rating of a nine", "G1,2026-05-01,92,35.6,125", "column course_rating", "'35.6'", "write holes 9"
    ),
    rounds(
        "rating of eighteen for a nine",
        "G1,2026-05-01,46,71.5,125,9",
        "column course_rating",
        "'71.5'",
        "that of 18 holes",
        header=SCORED + ",holes",
    ),
    rounds(
        "eight holes",
        "G1,2026-05-01,46,35,125,8",
        "column holes",
        "between 9 and 18",
        header=SCORED + ",holes",
    ),
    rounds("half a count", "G1,2026-05-01,92.5,71.5,125", "'92.5'", "not a whole number"),
    rounds("words for a number", "G1,2026-05-01,ninety,71.5,125", "'ninety'", "not a whole number"),
    rounds("word for unknown", "G1,2026-05-01,92,n/a,125", "'n/a'", "leave it blank when it is unknown"),
    rounds("not a number", "G1,2026-05-01,92,nan,125", "column course_rating", "'nan'", "is not a number"),
    rounds(
        "ambiguous date",
        "G1,03/04/2026,92,71.5,125",
        "'03/04/2026'",
        "2026-04-03 (day first)",
        "2026-03-04 (month",
    ),
    rounds("day first", "G1,25/12/2025,92,71.5,125", "'25/12/2025'", "write 2025-12-25"),
    rounds(
        "day number", "G1,46143,92,71.5,125", "'46143'", "day number of a spreadsheet", "write 2026-05-01"
    ),
    rounds("no such day", "G1,2026-02-30,92,71.5,125", "'2026-02-30'", "not a day of the calendar"),
    rounds("future", "G1,2026-07-06,92,71.5,125", "'2026-07-06'", "in the future (today is 2026-07-05)"),
    rounds("long ago", "G1,0026-05-01,92,71.5,125", "'0026-05-01'", "outside the years"),
    rounds("unquoted decimal comma", "G1,2026-05-01,92,71,5,125", "6 cells, the header 5", "decimal comma"),
    rounds("golfer unknown", "G9,2026-05-01,92,71.5,125", "column golfer_id", "'G9'", "not in golfers"),
    rounds(
        "more putts than score",
        "G1,2026-05-01,92,71.5,125,95",
        "putts",
        "95 against 92",
        header=SCORED + ",putts",
    ),
    rounds(
        "negative count",
        "G1,2026-05-01,92,71.5,125,-1",
        "'-1'",
        "cannot be negative",
        header=SCORED + ",putts",
    ),
    rounds(
        "fairways beyond possible",
        "G1,2026-05-01,92,71.5,125,12,10",
        "12 against 10",
        "more than fairways_possible",
        header=SCORED + ",fairways_hit,fairways_possible",
    ),
    rounds(
        "three-putts beyond putts",
        "G1,2026-05-01,92,71.5,125,30,11",
        "11 with 30 putts",
        header=SCORED + ",putts,three_putts",
    ),
    rounds(
        "neither yes nor no",
        "G1,2026-05-01,92,71.5,125,maybe",
        "'maybe'",
        "yes or no",
        header=SCORED + ",competition",
    ),
    rounds(
        "unknown baseline",
        "G1,2026-05-01,92,71.5,125,club,1.2",
        "'club'",
        "scratch, tour",
        header=SCORED + ",baseline,putting",
    ),
    rounds(
        "strokes gained without baseline",
        "G1,2026-05-01,92,71.5,125,1.2",
        "baseline",
        "scratch or tour",
        header=SCORED + ",putting",
    ),
    folder(
        "identical row twice",
        ("rounds.csv, row 3", "the same row as row 2", "keep one"),
        rounds=ROUNDS + ROUNDS.splitlines()[1],
    ),
    folder(
        "one key, two values",
        ("rounds.csv, row 3", "the same key as row 2 with other values", "round_no"),
        rounds=ROUNDS + b"G1,2026-05-01,15.0\n",
    ),
    Malformed(
        "one file twice",
        {"golfers.csv": GOLFERS, "rounds.csv": ROUNDS, "Rounds.tsv": ROUNDS},
        (("rounds", "the file is the same as", "keep one of the two"),),
    ),
    folder(
        "cut off in a row",
        ("rounds.csv, row 3", "the last row breaks off: has 2 cells, the header 3"),
        rounds=ROUNDS + b"G1,2026-0",
    ),
    folder(
        "cut off in quotes",
        ("rounds.csv, row 3", "quoted cell is never closed"),
        rounds=ROUNDS + b'G1,"2026-0',
    ),
    folder(
        "quotes do not pair",
        ("rounds.csv, row 2", "quotes of this row do not pair up", "twice"),
        rounds=b'golfer_id,played_on,score_differential,course\nG1,2026-05-01,14.2,"The "Old" Moor"\n',
    ),
    folder(
        "cut off in UTF-16",
        ("rounds.csv", "in the middle of a character", "cut off"),
        rounds=ROUNDS.decode().encode("utf-16")[:-1],
    ),
    folder("NUL bytes", ("rounds.csv", "NUL bytes"), rounds=ROUNDS + b"G1,2026-05-02\0,14.2\n"),
    folder("workbook named csv", ("rounds.csv", "a workbook, not text", ".xlsx"), rounds=WHOLE_BOOK),
    Malformed(
        "cut off workbook",
        {"golfers.csv": GOLFERS, "rounds.xlsx": WHOLE_BOOK[:-900]},
        (("rounds.xlsx", "not a complete workbook", "cut off"),),
    ),
    Malformed(
        "text named xlsx",
        {"golfers.csv": GOLFERS, "rounds.xlsx": ROUNDS},
        (("rounds.xlsx", "not a complete workbook"),),
    ),
    Malformed(
        "locked workbook",
        {"golfers.csv": GOLFERS, "rounds.xlsx": b"\xd0\xcf\x11\xe0" + bytes(600)},
        (("rounds.xlsx", "password"),),
    ),
    Malformed(
        "zip bomb",
        {"golfers.csv": GOLFERS, "rounds.xlsx": package({"xl/a.xml": bytes(2**25)})},
        (("rounds.xlsx", "unpacks to far more", "32 MiB"),),
    ),
    Malformed(
        "entity bomb",
        {"golfers.csv": GOLFERS, "rounds.xlsx": package({"xl/workbook.xml": ENTITIES})},
        (("rounds.xlsx", "document type declaration"),),
    ),
    Malformed(
        "hollow workbook",
        {"golfers.csv": GOLFERS, "rounds.xlsx": package({"a.txt": b"a"})},
        (("rounds.xlsx", "damaged"),),
    ),
    Malformed(
        "formula without result",
        {
            "golfers.csv": GOLFERS,
            "rounds.xlsx": workbook(
                {"rounds": [["golfer_id", "played_on", "score_differential"], ["G1", "2026-05-01", "=7*2"]]}
            ),
        },
        (
            ("rounds.xlsx, row 2, column C", "'=7*2'", "result is not stored"),
            ("rounds.xlsx, row 2", "the row needs"),
        ),
    ),
    Malformed(
        "old workbook",
        {"golfers.csv": GOLFERS, "rounds.xls": b"\xd0\xcf\x11\xe0"},
        (("rounds.xls", "'.xls'", ".csv or .xlsx"),),
    ),
    golfers("index above 54", "start_index", "54.1", "column start_index", "'54.1'", "between -10 and 54"),
    golfers(
        "minutes for hours", "weekly_hours", "240", "column weekly_hours", "hours in a week, not minutes"
    ),
    golfers(
        "left before joined", "joined_on,left_on", "2026-05-01,2026-04-01", "joined_on", "lies after left_on"
    ),
    practice(
        "unknown category", "G1,2026-05-01,chiping,30", "'chiping'", "nearest is chipping", "settings.toml"
    ),
    practice(
        "neither reps nor minutes",
        "G1,2026-05-01,chipping,",
        "reps or minutes",
        "none or unknown under state",
    ),
    practice("more than 16 hours", "G1,2026-05-01,chipping,961", "'961'", "at most 960 (16 hours)"),
    practice("hours and minutes", "G1,2026-05-01,chipping,1:30", "'1:30'", "write 90 for 1 h 30 min"),
    practice("thousands or decimals", 'G1,2026-05-01,chipping,"1,200"', "'1,200'", "1200 or 1.200"),
    practice("negative minutes", "G1,2026-05-01,chipping,-30", "'-30'", "cannot be negative"),
    practice(
        "more made than tried",
        "G1,2026-05-01,chipping,30,12,10",
        "12 against 10",
        "more than tried",
        header=PRACTICE + ",made,tried",
    ),
    practice(
        "none with minutes",
        "G1,2026-05-01,chipping,30,none",
        "column state",
        "has practice",
        header=PRACTICE + ",state",
    ),
    folder(
        "17 hours over a day",
        (
            "practice.csv, row 2, column minutes",
            "G1 practised 17.0 hours on 2026-05-01, more than 16 (2 rows)",
        ),
        practice=f"{PRACTICE}\nG1,2026-05-01,chipping,600\nG1,2026-05-01,bunker,420\n",
    ),
    folder(
        "hole of no round",
        ("holes.csv, row 2, column played_on", "'2026-05-02'", "the round is not in rounds"),
        holes="golfer_id,played_on,hole,par,stroke_index,strokes\nG1,2026-05-02,1,4,3,5\n",
    ),
    folder(
        "unknown lie",
        ("shots.csv, row 2, column lie", "'fairwya'", "nearest is fairway"),
        shots="golfer_id,played_on,hole,shot_no,lie,distance,distance_unit\nG1,2026-05-01,1,2,fairwya,150,yd\n",
    ),
    folder(
        "plan past a limit",
        ("plans.csv, row 2, column minutes_per_week", "'30 minutes'", "limit of 0 minutes a week"),
        limits="golfer_id,category,starts_on,most_minutes_per_week\nG1,driver,2026-05-01,0\n",
        plans="plan,golfer_id,category,starts_on,ends_on,minutes_per_week\nsummer,G1,driver,2026-06-01,2026-08-31,30\n",
    ),
    folder(
        "assessment without result",
        ("assessments.csv, row 2", "tried and made or value and unit"),
        assessments="golfer_id,assessed_on,test,distance_ft,tried,made\nG1,2026-05-01,putting ladder,6,20,\n",
    ),
    Malformed(
        "broken settings",
        {"golfers.csv": GOLFERS, "rounds.csv": ROUNDS, "settings.toml": b'club_name = "Old Moor\n'},
        (("settings.toml", "cannot be read as TOML", "line 1"),),
    ),
    Malformed(
        "setting out of range",
        {"golfers.csv": GOLFERS, "rounds.csv": ROUNDS, "settings.toml": b"minimum_scores = 0\n"},
        (("settings.toml", "minimum_scores must be 1 to 20", "'0'"),),
    ),
)
