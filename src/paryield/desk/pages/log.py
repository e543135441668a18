"""Log: a round, a practice session or an assessment, with the checks of an import, and undo."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from paryield.club import Club
from paryield.club.moving import same_place
from paryield.club.people import OF_ONE
from paryield.desk import card
from paryield.desk.changes import (
    Change,
    Hindered,
    change_of,
    changes_of,
    hindered,
    latest_changes,
    state_after,
)
from paryield.desk.courses import RATINGS, courses_of, filled_in
from paryield.desk.entries import by_field, problems_of, store_tables
from paryield.desk.fields import FORMS, Form, minutes_typed
from paryield.desk.guard import Visitor, visitor_of
from paryield.desk.rounds import Played, corrected, given_of, rounds_of_day, same, texts
from paryield.desk.security import Sent
from paryield.desk.show import desk_of, page
from paryield.desk.state import Snapshot
from paryield.errors import InputError
from paryield.report.words import by_name
from paryield.tables.frames import departed

router = APIRouter()
SCORES = ("adjusted_gross_score", "score_differential")
OWN_ENTRY = "correct the round, or take back your own entry under Latest changes"
OTHERS = "the golfer was changed, and other ratings hold for this one: they are filled in now"
DAY_FIRST = "leave the card as it was, store the day, then correct the card"


@router.get("/log")
def log_page(
    request: Request,
    kind: str = "round",
    golfer: str = "",
    done: str = "",
    known: str = "",
    correct: str = "",
    left: str = "",
) -> Response:
    """Show the forms and the latest changes.

    A course that is known fills in its ratings and its card; a round that is to be corrected, all of it.
    """
    form = _form(kind)
    asked = {name: text[:10000] for name, text in request.query_params.items()}
    given = {name: asked[name] for name in (*form.columns, *card.names()) if name in asked}
    given |= {"golfer": golfer, "day": asked.get("day", date.today().isoformat()), "known": known}
    given |= {"left": left} if left else {}
    if kind == "round":
        given |= _course_given(request, given, known, asked)
    if kind == "round" and correct:
        given |= _held_given(request, golfer, given["day"], correct)
    return _shown(request, form, given, {}, done=done)


def _course_given(
    request: Request, given: Mapping[str, str], known: str, sent: Mapping[str, str]
) -> dict[str, str]:
    """Return what a course that is known fills in, for the golfer chosen."""
    snapshot = desk_of(request).snapshot()
    own = {snapshot.ids[one]: one for one in visitor_of(request).own(snapshot)}
    before = own.get(sent["filled_for"], "") if "filled_for" in sent else None
    golfer = own.get(given.get("golfer", ""), "")
    return filled_in(snapshot.tables, given, known, sent.get("filled", ""), golfer, before)


@router.post("/log/undo/{number}")
def undo(request: Request, number: int, form: Sent) -> Response:
    """Take back one change."""
    visitor = visitor_of(request)
    desk = desk_of(request)
    with Club.open(desk.where, who=visitor.who) as club:
        if not visitor.every_golfer:
            change = change_of(club, number)
            if change is None or not _may_undo(change, visitor, visitor.own(desk.snapshot())):
                raise HTTPException(404)
        try:
            receipt = club.undo(number)
        except InputError as error:
            return _hindered(request, error, change_of(club, number, visitor.own(desk.snapshot())))
    return RedirectResponse(f"/log?done=undo{receipt.import_no}", 303)


def _hindered(request: Request, error: InputError, change: Change | None) -> Response:
    """Say why a change was not taken back, and what to take back first, above the latest changes."""
    if change is None:
        raise InputError("there is no such change", remedy="look at the latest changes")
    desk, visitor = desk_of(request), visitor_of(request)
    own = visitor.own(desk.snapshot())
    found = hindered(error, own)
    if found.first is not None:
        with Club.open(desk.where) as club:
            first = change_of(club, found.first, own)
        if first is None or not first.undoable or not _may_undo(first, visitor, own):
            found = replace(found, first=None)
    given = {"golfer": "", "day": date.today().isoformat()}
    return _shown(request, _form("round"), given, {}, status=400, hindrance=(change, found))


@router.post("/log/{kind}")
def store(request: Request, kind: str, form: Sent) -> Response:
    """Store what was typed, or show it again with what is wrong."""
    chosen = _form(kind)
    desk = desk_of(request)
    snapshot = desk.snapshot()
    given = {key: str(value) for key, value in form.items()}
    visitor = visitor_of(request)
    golfers = {snapshot.ids[golfer_id]: golfer_id for golfer_id in visitor.own(snapshot)}
    if given.get("golfer", "") not in golfers:
        missing = {"golfer": ["nobody is chosen: choose a golfer"]}
        return _shown(request, chosen, given, missing, status=400)
    row = {name: given.get(name, "").strip() for name in chosen.columns}
    row |= {"golfer_id": golfers[given["golfer"]], chosen.day: given.get("day", "").strip()}
    row = {name: value for name, value in row.items() if value}
    if "minutes" in row:
        row["minutes"] = minutes_typed(row["minutes"])
    if kind == "round" and "filled_for" in given and given["filled_for"] != given["golfer"]:
        moved = _course_given(request, given, given.get("filled", ""), given)
        if any(moved.get(name, given.get(name, "")) != given.get(name, "") for name in RATINGS):
            follow = {"known": given["filled"], "filled_for": given["golfer"]}
            return _shown(request, chosen, given | moved | follow, {"course_rating": [OTHERS]}, status=400)
    if kind == "round" and given.get("correct"):
        return _correct(request, chosen, given, row)
    if kind == "round":
        held = rounds_of_day(snapshot.tables, row["golfer_id"], row.get(chosen.day, ""))
        free = card.next_round(row, snapshot.tables)
        if held and given.get("another", "") != free:
            return _shown(request, chosen, given, {}, status=400, held=held, another=free)
        row["round_no"] = free
        if card.typed(given):
            return _store_card(request, chosen, given, row)
    try:
        with Club.open(desk.where, who=visitor.who) as club:
            number = club.log(chosen.table, row).number
    except InputError as error:
        return _shown(request, chosen, given, by_field(chosen, problems_of(error)), status=400)
    day = f"&day={quote(row.get(chosen.day, ''))}" if kind in ("practice", "assessment") else ""
    return RedirectResponse(f"/log?kind={kind}&golfer={given['golfer']}{day}&done={number}", 303)


def _held_given(request: Request, golfer: str, day: str, number: str) -> dict[str, str]:
    """Return the form of a round filled with one on record.

    Raises
    ------
    InputError
        When there is no such round of a golfer of the visitor's own.
    """
    desk = desk_of(request)
    snapshot = desk.snapshot()
    golfers = {snapshot.ids[golfer_id]: golfer_id for golfer_id in visitor_of(request).own(snapshot)}
    if golfer not in golfers:
        raise InputError("there is no such round", remedy="choose one among the rounds of a golfer")
    key = {"golfer_id": golfers[golfer], "played_on": day, "round_no": number}
    with Club.open(desk.where) as club:
        stored = club.row("rounds", key)
    if stored is None:
        raise InputError("that round is no longer on record", remedy="look at the golfer's rounds again")
    filled = given_of(snapshot.tables, golfers[golfer], stored.values)
    return {**filled, "correct": str(stored.values["round_no"]), "seen": stored.seen}


def _correct(request: Request, chosen: Form, given: dict[str, str], row: dict[str, str]) -> Response:
    """Replace a round on record; where the form was not filled with it, a blank keeps what is there."""
    desk, visitor = desk_of(request), visitor_of(request)
    tables = desk.snapshot().tables
    typed = {name: given.get(name, "").strip() for name in chosen.columns}
    day = row.get(chosen.day, "")
    key = {"golfer_id": row["golfer_id"], "played_on": given.get("was") or day, "round_no": given["correct"]}
    try:
        with Club.open(desk.where, who=visitor.who) as club:
            stored = club.row("rounds", key)
            if stored is None:
                raise InputError("that round is no longer on record", remedy="look at the rounds again")
            seen = given.get("seen", "") or stored.seen
            if stored.seen != seen:
                raise InputError(
                    "that round was changed since you looked; nothing was stored",
                    remedy="look at the rounds again",
                )
            if given.get("remove"):
                if visitor.role in OF_ONE:
                    raise InputError("the coach takes rounds off the record", remedy=OWN_ENTRY)
                number = club.remove("rounds", key, seen).number
                return RedirectResponse(f"/log?kind=round&golfer={given['golfer']}&done={number}", 303)
            before = given_of(tables, row["golfer_id"], stored.values)
            cells = corrected(texts(stored.values), typed, keep_blanks=not given.get("seen"))
            carded = card.typed(given) and not _same_card(given, before)
            if not same_place("rounds", key, row, desk.where):
                if carded:
                    raise InputError("day and card were both changed", remedy=DAY_FIRST)
                cells["played_on"] = day
                number = club.move("rounds", key, cells, seen).number
                return RedirectResponse(f"/log?kind=round&golfer={given['golfer']}&done={number}", 303)
            if carded:
                if same(cells.get("adjusted_gross_score", ""), before.get("adjusted_gross_score", "")):
                    cells = {name: text for name, text in cells.items() if name not in SCORES}
                return _store_card(request, chosen, given, cells, replace=True)
            number = club.edit("rounds", cells, seen).number
    except InputError as error:
        return _shown(request, chosen, given, by_field(chosen, problems_of(error)), status=400)
    return RedirectResponse(f"/log?kind=round&golfer={given['golfer']}&done={number}", 303)


def _same_card(given: Mapping[str, str], before: Mapping[str, str]) -> bool:
    return all(same(given.get(name, ""), before.get(name, "")) for name in card.names())


def _store_card(
    request: Request, chosen: Form, given: dict[str, str], row: dict[str, str], *, replace: bool = False
) -> Response:
    """Store a round and its holes as one change."""
    desk = desk_of(request)
    made = card.card_of(given, row, desk.snapshot().tables)
    if made.wrong:
        wrong = {name: [text] for name, text in made.wrong.items()}
        return _shown(request, chosen, given, wrong, status=400)
    blank = dict.fromkeys(chosen.columns, "") if replace else {}
    rows = {"rounds": [{**blank, **made.row}], "holes": made.holes}
    try:
        number = store_tables(desk, rows, replace=replace, who=visitor_of(request).who)
    except InputError as error:
        return _shown(request, chosen, given, by_field(chosen, problems_of(error), made), status=400)
    return RedirectResponse(f"/log?kind=round&golfer={given['golfer']}&done={number or ''}", 303)


def _form(kind: str) -> Form:
    if kind not in FORMS:
        raise InputError(f"there is nothing to log that is called {kind[:40]!r}", remedy="choose a form")
    return FORMS[kind]


def _shown(
    request: Request,
    chosen: Form,
    given: dict[str, str],
    problems: dict[str, list[str]],
    *,
    done: str = "",
    status: int = 200,
    held: list[Played] | None = None,
    another: str = "",
    hindrance: tuple[Change, Hindered] | None = None,
) -> Response:
    desk, visitor = desk_of(request), visitor_of(request)
    snapshot = desk.snapshot()
    own = visitor.own(snapshot)
    with Club.open(desk.where) as club:
        changes = latest_changes(club, own) if visitor.every_golfer else changes_of(club, own)
    return page(
        request,
        "log.html",
        status=status,
        title="Log",
        forms=FORMS,
        chosen=chosen,
        given=given,
        problems=problems,
        holes=list(card.HOLES) if chosen.kind == "round" else [],
        courses=list(courses_of(snapshot.tables)) if chosen.kind == "round" else [],
        held=held or [],
        hindrance=hindrance,
        another=another,
        people=_people(snapshot, own, given.get("golfer", ""), left=bool(given.get("left"))),
        left=bool(set(departed(snapshot.tables, date.today())) & set(own)) and not given.get("left"),
        may_remove=visitor.role not in OF_ONE,
        was=_day(given.get("was") or given.get("day", "")),
        categories=[category.name for category in snapshot.tables.categories],
        today=date.today().isoformat(),
        changes=changes,
        may_undo={
            one.number for one in changes if one.undoable and not one.taken and _may_undo(one, visitor, own)
        },
        done=_done(desk.where, done, changes),
    )


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _may_undo(change: Change, visitor: Visitor, own: Mapping[str, str]) -> bool:
    """Whether a change may be taken back: without every golfer, only one's own, of one's own golfers."""
    return visitor.every_golfer or (change.who == visitor.who and change.is_of(own))


def _people(snapshot: Snapshot, own: Mapping[str, str], chosen: str, *, left: bool) -> list[tuple[str, str]]:
    """Return the golfers to choose from; who has left only where that is asked for, or he is chosen."""
    gone = {} if left else departed(snapshot.tables, date.today())
    pairs = [
        (snapshot.ids[golfer_id], name)
        for golfer_id, name in own.items()
        if golfer_id not in gone or snapshot.ids[golfer_id] == chosen
    ]
    return sorted(pairs, key=lambda pair: by_name(pair[1]))


def _done(where: str, done: str, changes: list[Change]) -> dict[str, Any] | None:
    """Return what to say about the change just made."""
    undone = done.startswith("undo")
    digits = done.removeprefix("undo")
    if not (digits.isascii() and digits.isdecimal() and len(digits) < 12):
        return None
    found = next((change for change in changes if change.number == int(digits)), None)
    if found is None:
        return None
    if not undone:
        return {"text": f"Stored: {found.text}.", "number": found.number, "undo": False}
    with Club.open(where) as club:
        state = state_after(club, found.number)
    text = f"{found.word or 'Taken back: '}{found.text}. {state}"
    return {"text": text.strip(), "number": found.number, "undo": found.undo}
