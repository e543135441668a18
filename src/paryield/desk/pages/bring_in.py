"""Bring in: spreadsheets dropped on the page, every problem with its row, and the good rows stored."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from paryield.adopt import Adoption, Memory, adopt_folder, ratings_on_record
from paryield.adopt.group_lines import groups_on_record
from paryield.adopt.memory import Question
from paryield.adopt.names_together import together
from paryield.club import Club, ImportRefused
from paryield.club.sources import ALL
from paryield.desk.answers import given_answers
from paryield.desk.differing import by_hand, differing
from paryield.desk.guard import visitor_of
from paryield.desk.kinds import Kinds, put_beside, sorted_out
from paryield.desk.leaving import LEFT, kept_answers, leaving_asked, sheets_left, without_left
from paryield.desk.read_back import A_PAGE, rows_read
from paryield.desk.row_words import counted_rows
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.desk.uploads import Made, keep_files
from paryield.report.words import by_name, missing
from paryield.results import Problem
from paryield.tables import TABLES, Reading, read_folder

router = APIRouter()
MOST_PROBLEMS = 300
IN_ORDER = ("rounds", "practice", "assessments")
"""Tables that are shown first, row by row."""


@router.get("/bring-in")
def bring_in_page(request: Request, done: str = "") -> Response:
    """Ask for spreadsheets."""
    receipt = desk_of(request).uploads.receipt(done)
    return page(request, "bring_in.html", title="Bring in", batch=None, receipt=receipt, **_problems(()))


@router.post("/bring-in")
def receive(request: Request, form: Sent) -> Response:
    """Take the spreadsheets in and lead to the page that shows what is in them; nothing is stored yet."""
    batch = keep_files(desk_of(request).uploads, form.getlist("files"))[1]
    return RedirectResponse(f"/bring-in/{batch}", 303)


@router.get("/bring-in/{batch}")
def batch_page(request: Request, batch: str) -> Response:
    """Show what a batch holds, or what is asked about it; the page can be left and come back to."""
    uploads = desk_of(request).uploads
    folder = uploads.folder(batch)
    try:
        if uploads.origins_of(batch) is not None:
            return _read(request, batch)
        with desk_of(request).scratch.folder() as place:
            kinds = sorted_out(folder, place)
            return _read(request, batch) if kinds.own is None else _adopting(request, batch, kinds, place)
    except Exception:
        if uploads.told(batch):
            uploads.tell(batch, {})
        else:
            uploads.drop(batch)
        raise


@router.post("/bring-in/{batch}/adopt")
def adopt(request: Request, batch: str, form: Sent) -> Response:
    """Take answers about a coach's own spreadsheets, and show what is understood now.

    Where that was asked for, what is sure then is stored at once; where anything is open, differs from what
    is on record or is doubted, it is shown first.
    """
    uploads = desk_of(request).uploads
    uploads.folder(batch)
    uploads.reopen(batch)
    uploads.tell(batch, uploads.told(batch) | given_answers(form))
    if "sure" in form:
        shown = batch_page(request, batch)
        if not uploads.holds(batch):
            return shown
        if uploads.origins_of(batch) is not None and _is_sure(request, batch):
            return store(request, batch, form)
    return RedirectResponse(f"/bring-in/{batch}", 303)


def _is_sure(request: Request, batch: str) -> bool:
    """Whether all rows of a batch can be stored and nothing about them is left to choose or to doubt."""
    uploads = desk_of(request).uploads
    meeting = _met(request, batch)
    doubts = (*uploads.account(batch)[1], *uploads.own(batch, meeting["reading"].problems))
    chosen = meeting["differing"] or meeting["by_hand"] or any(meeting["otherwise"].values())
    return bool(meeting["good"]) and not doubts and not chosen


@router.get("/bring-in/{batch}/answers")
def answers_page(request: Request, batch: str) -> Response:
    """Show every question about a batch with the answer that holds, so that another one can be given."""
    uploads = desk_of(request).uploads
    source = uploads.source(batch)
    uploads.read_anew(batch)
    memory = _memory(request, batch)
    with desk_of(request).scratch.folder() as place:
        kinds = sorted_out(source, place)
        if kinds.own is None:
            return RedirectResponse(f"/bring-in/{batch}", 303)
        found = _adopted(request, kinds, memory, place)
        leaving = leaving_asked(kinds.own, memory.answers)
    open_ = [] if found is None else [part for one in found.questions for part in one.each()]
    return page(
        request,
        "adopt.html",
        title="Bring in",
        batch=batch,
        asked=_by_place([*leaving, *together([*memory.held.values(), *open_])]),
        problems=(),
        understood=[] if found is None else _grouped(found.lines()),
        again=True,
    )


def _by_place(questions: Sequence[Question]) -> list[tuple[str, list[Question]]]:
    """Return questions under the sheet, or what else, that they are about."""
    found: dict[str, list[Question]] = {}
    for one in questions:
        found.setdefault(one.where, []).append(one)
    return list(found.items())


def _adopted(request: Request, kinds: Kinds, memory: Memory, place: Path) -> Adoption | None:
    """Read a coach's own spreadsheets without the sheets that are left out; None where all of them are."""
    assert kinds.own is not None
    kept = without_left(kinds.own, memory.answers, place / "kept")
    if all(one.proposal == LEFT for one in leaving_asked(kinds.own, memory.answers)) and kept != kinds.own:
        return None
    found = adopt_folder(kept, memory, **_on_record(request, kinds), ahead=True)
    found.left += [f"{name}: left out, as you said" for name in sheets_left(memory.answers)]
    return found


def _on_record(request: Request, kinds: Kinds) -> dict[str, Any]:
    """Return the golfers, courses and groups that the club knows, or that tables of the batch name."""
    tables = desk_of(request).snapshot().tables
    people = [tables.golfers]
    if kinds.tables is not None:
        people.append(read_folder(kinds.tables, known=tables).tables.golfers)
    known = {
        str(golfer): "" if missing(name) else str(name)
        for golfers in people
        for golfer, name in zip(golfers["golfer_id"], golfers["display_name"], strict=True)
    }
    groups = {golfer: group for golfers in people for golfer, group in groups_on_record(golfers).items()}
    return {"known": known, "courses": ratings_on_record(tables), "groups": groups}


def _memory(request: Request, batch: str) -> Memory:
    """Return what was answered before, in the club and about this batch.

    Where answers are given anew, names are what the answers say, not what they were taken as before.
    """
    uploads = desk_of(request).uploads
    with Club.open(desk_of(request).where, who=visitor_of(request).who) as club:
        answers, people = club.adopted()
    return Memory(answers | uploads.told(batch), {} if uploads.is_read_anew(batch) else people)


def _adopting(request: Request, batch: str, kinds: Kinds, place: Path) -> Response:
    """Show what a coach's own spreadsheets hold and what is open; their tables once nothing is."""
    memory = _memory(request, batch)
    found = _adopted(request, kinds, memory, place)
    if found is None:
        return RedirectResponse(f"/bring-in/{batch}/answers", 303)
    if found.questions:
        return page(
            request,
            "adopt.html",
            title="Bring in",
            batch=batch,
            asked=_by_place(found.questions),
            problems=found.problems,
            understood=_grouped(found.lines()),
            again=False,
        )
    told, people = kept_answers(memory) | found.kept, found.people.ids
    if not any(found.tables().values()) and kinds.tables is None:
        return _nothing(request, batch, found)
    tables = desk_of(request).scratch.new()
    if any(found.tables().values()):
        found.write(tables)
    beside = frozenset() if kinds.tables is None else put_beside(kinds.tables, tables)
    made = Made(found.origins(), tuple(found.lines()), tuple(found.problems), beside)
    desk_of(request).uploads.replace(batch, tables, made)
    with Club.open(desk_of(request).where, who=visitor_of(request).who) as club:
        club.remember(told, people)
    return _read(request, batch)


def _nothing(request: Request, batch: str, found: Adoption) -> Response:
    """Say why spreadsheets gave nothing, and forget them."""
    desk_of(request).uploads.drop(batch)
    return _looked_at(request, batch, NOTHING, found.lines(), found.problems)


COUNTED = re.compile(rf"\b(\d+) for ({'|'.join(TABLES)})\b")
"""How many rows a sheet gives to a table, as its reading says it."""


def _grouped(lines: Sequence[str]) -> list[tuple[str, list[str]]]:
    """Return each sheet's first line with those that stand below it."""
    out: list[tuple[str, list[str]]] = []
    for line in lines:
        line = COUNTED.sub(lambda told: counted_rows(told[2], int(told[1])), line)
        if line.startswith(" ") and out:
            out[-1][1].append(line.strip())
        else:
            out.append((line, []))
    return out


def _read(request: Request, batch: str, *, status: int = 200) -> Response:
    """Show what the tables of a batch hold; nothing is stored yet."""
    uploads = desk_of(request).uploads
    meeting = _met(request, batch)
    understood, left = uploads.account(batch)
    problems = (*left, *uploads.own(batch, meeting["reading"].problems))
    return _looked_at(request, batch, meeting, understood, problems, status=status)


def _looked_at(
    request: Request,
    batch: str,
    meeting: Mapping[str, Any],
    understood: Sequence[str],
    problems: Sequence[Problem],
    *,
    status: int = 200,
) -> Response:
    """Show what a batch was understood to hold, before anything is stored."""
    return page(
        request,
        "bring_in.html",
        status=status,
        title="Bring in",
        batch=batch,
        receipt=None,
        refused=status != 200,
        understood=_grouped(understood),
        **meeting,
        **_problems(tuple(problems)),
    )


def _met(request: Request, batch: str) -> dict[str, Any]:
    """Return what the pages of a batch tell of how its rows stand to those on record."""
    desk = desk_of(request)
    folder = desk.uploads.folder(batch)
    with Club.open(desk.where, who=visitor_of(request).who) as club:
        found, otherwise = club.met(folder), club.read_otherwise(folder)
    counts = found.counts()
    errors = sum(problem.severity == "error" for problem in found.reading.problems)
    return {
        "reading": found.reading,
        "counts": [(name, *rows) for name, rows in counts.items()],
        "errors": errors,
        "good": sum(new + same for new, same, _, _ in counts.values()),
        "left": sum(wrong for _, _, _, wrong in counts.values()),
        "differing": differing(found.batch, desk.snapshot().names),
        "otherwise": otherwise,
        "by_hand": by_hand(found.kept, desk.snapshot().names),
    }


NOTHING: dict[str, Any] = {
    "counts": [],
    "errors": 0,
    "good": 0,
    "left": 0,
    "differing": [],
    "otherwise": {},
    "by_hand": [],
}


@router.get("/bring-in/{batch}/rows")
def rows_page(request: Request, batch: str, table: str = "", golfer: str = "", start: int = 0) -> Response:
    """Show row by row what a batch was read as, before anything is stored."""
    desk = desk_of(request)
    snapshot = desk.snapshot()
    meeting = _met(request, batch)
    reading = meeting["reading"]
    counted = _counts(reading)
    names = [name for name, good, _ in counted if good]
    if table not in names:
        table = next((name for name in IN_ORDER if name in names), names[0] if names else "")
    origins, beside = desk.uploads.origins_of(batch), desk.uploads.tables_of(batch)
    found = rows_read(reading, table, origins, snapshot.names, snapshot.tables, beside) if table else []
    people = {one.golfer_id: one.golfer for one in found if one.golfer_id}
    if golfer in people:
        found = [one for one in found if one.golfer_id == golfer]
    first = min(max(start, 0), max(len(found) - 1, 0)) // A_PAGE * A_PAGE
    return page(
        request,
        "rows_read.html",
        title="What was read",
        batch=batch,
        tables=[(name, good) for name, good, _ in counted if good],
        table=table,
        golfer=golfer if golfer in people else "",
        people=sorted(people.items(), key=lambda one: by_name(one[1])),
        rows=found[first : first + A_PAGE],
        count=len(found),
        first=first,
        a_page=A_PAGE,
        wrote=any(one.wrote for one in found),
        **{name: meeting[name] for name in NOTHING},
    )


@router.post("/bring-in/{batch}/store")
def store(request: Request, batch: str, form: Sent) -> Response:
    """Store the rows: all, or the good ones."""
    folder = desk_of(request).uploads.folder(batch)
    try:
        with Club.open(desk_of(request).where, who=visitor_of(request).who) as club:
            receipt = club.import_folder(
                folder,
                keep_good="keep_good" in form or form.get("differing") == "keep",
                replace="replace" in form or form.get("differing") == "take",
                undoable=True,
                take=[why for why in ALL if why == "read" or form.get(why) == "take"],
            )
    except ImportRefused:
        return _read(request, batch, status=400)
    desk_of(request).uploads.finish(batch, receipt)
    return RedirectResponse(f"/bring-in?done={batch}", 303)


@router.post("/bring-in/{batch}/drop")
def drop(request: Request, batch: str, form: Sent) -> Response:
    """Forget the spreadsheets."""
    desk_of(request).uploads.drop(batch)
    return RedirectResponse("/bring-in", 303)


def _counts(reading: Reading) -> list[tuple[str, int, int]]:
    """Return good and faulty rows by table."""
    found = [(name, len(frame), reading.rejected.get(name, 0)) for name, frame in reading.tables.items()]
    return [row for row in found if row[1] or row[2]]


def _problems(problems: tuple[Problem, ...]) -> dict[str, Any]:
    wrong = [one for one in problems if one.severity == "error"]
    doubts = [one for one in problems if one.severity != "error"]
    shown = {"problems": wrong[:MOST_PROBLEMS], "doubts": doubts[:MOST_PROBLEMS]}
    return {**shown, "left_out": len(problems) - sum(map(len, shown.values()))}
