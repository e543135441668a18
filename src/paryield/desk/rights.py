"""Who may reach what: the one table of routes and roles. What is not in it, nobody reaches."""

from __future__ import annotations

from enum import Enum

from paryield.club import ROLES

OWNER = "owner"
"""Whoever sits at this computer while the pages are served to it alone, without sign-in."""

COLUMNS = (OWNER, *ROLES)


class Rule(Enum):
    """How far a role reaches a route.

    ``OWN`` is the records of the visitor's own golfers: the guard checks a golfer in the address, and the
    page lists, takes and changes none but those. ``ALL`` is for a visitor whose own golfers are all golfers.
    """

    NO = "-"
    YES = "yes"
    OWN = "own"
    ALL = "all"


PUBLIC = frozenset({"GET /shared.css", "GET /sign-in", "POST /sign-in"})
"""Routes that need no sign-in; the files under ``/static/`` need none either and hold nothing of a club."""

BEFORE_CHANGE = frozenset({"GET /password", "POST /password", "POST /sign-out"})
"""All that somebody with a one-time password reaches before it is changed."""

_TABLE = """
route                              owner coach player guardian manager therapist administrator
GET  /                             yes   yes   yes    yes      yes     yes       yes
GET  /contents                     yes   yes   yes    yes      yes     yes       yes
GET  /golfers/                     all   own   -      -        -       -         -
GET  /golfers/{name}.html          all   own   own    own      -       -         -
GET  /golfers/{name}/goal          all   own   own    own      -       -         -
POST /golfers/{name}/goal          all   own   own    own      -       -         -
GET  /golfers/{name}/rounds        all   own   own    own      -       -         -
GET  /golfers/{name}/entries/{kind} all  own   own    own      -       -         -
GET  /golfers/{name}/entries/{kind}/correct all own own own    -       -         -
POST /golfers/{name}/entries/{kind}/correct all own own own    -       -         -
GET  /golfers/{name}/review        all   own   own    own      -       -         -
GET  /golfers/{name}/week          all   own   own    own      -       -         -
POST /golfers/{name}/week          all   own   own    own      -       -         -
GET  /golfers/{name}/week.ics      all   own   own    own      -       -         -
GET  /golfers/{name}/week.pdf      all   own   own    own      -       -         -
GET  /golfers/{name}/what-if       all   own   own    own      -       -         -
POST /golfers/{name}/what-if       all   own   own    own      -       -         -
POST /golfers/{name}/what-if/move  all   own   own    own      -       -         -
POST /golfers/{name}/what-if/plan  all   own   -      -        -       -         -
POST /golfers/{name}/plans/keep    all   own   -      -        -       -         -
POST /golfers/{name}/plans/end     all   own   -      -        -       -         -
GET  /log                          all   own   own    own      -       -         -
POST /log/{kind}                   all   own   own    own      -       -         -
POST /log/undo/{number}            all   own   own    own      -       -         -
GET  /group                        all   own   -      -        -       -         -
POST /group                        all   own   -      -        -       -         -
GET  /bring-in                     all   all   -      -        -       -         -
POST /bring-in                     all   all   -      -        -       -         -
GET  /bring-in/{batch}             all   all   -      -        -       -         -
GET  /bring-in/{batch}/answers     all   all   -      -        -       -         -
GET  /bring-in/{batch}/rows        all   all   -      -        -       -         -
POST /bring-in/{batch}/store       all   all   -      -        -       -         -
POST /bring-in/{batch}/adopt       all   all   -      -        -       -         -
POST /bring-in/{batch}/drop        all   all   -      -        -       -         -
GET  /programme                    all   all   -      -        yes     -         -
GET  /programme/facility.html      all   all   -      -        yes     -         -
GET  /programme/facility.pdf       all   all   -      -        yes     -         -
GET  /programme/facility.xlsx      all   all   -      -        yes     -         -
GET  /programme/programme.csv      all   all   -      -        yes     -         -
GET  /health                       all   all   -      -        -       -         -
GET  /health/rounds                all   all   -      -        -       -         -
GET  /work                         all   all   -      -        -       -         -
POST /work/start                   all   all   -      -        -       -         -
POST /work/stop                    all   all   -      -        -       -         -
GET  /loads/                       all   own   -      -        -       own       -
GET  /loads/{name}.html            all   own   -      -        -       own       -
POST /loads/{name}/limit           all   -     -      -        -       own       -
GET  /people                       yes   -     -      -        -       -         yes
POST /people/add                   yes   -     -      -        -       -         yes
POST /people/{person}/reset        yes   -     -      -        -       -         yes
POST /people/{person}/remove       yes   -     -      -        -       -         yes
GET  /audit                        yes   -     -      -        -       -         yes
GET  /settings                     yes   -     -      -        -       -         yes
POST /settings                     yes   -     -      -        -       -         yes
GET  /api/golfers                  all   own   own    own      -       -         -
GET  /api/golfers/{name}/forecast  all   own   own    own      -       -         -
GET  /api/golfers/{name}/plan      all   own   own    own      -       -         -
GET  /api/openapi.json             yes   yes   yes    yes      -       -         -
GET  /account                      -     yes   yes    yes      yes     yes       yes
GET  /password                     -     yes   yes    yes      yes     yes       yes
POST /password                     -     yes   yes    yes      yes     yes       yes
POST /sign-out                     -     yes   yes    yes      yes     yes       yes
POST /sign-out/everywhere          -     yes   yes    yes      yes     yes       yes
POST /account/{session}/end        -     yes   yes    yes      yes     yes       yes
"""


def _read(table: str) -> dict[str, dict[str, Rule]]:
    head, *rows = [line.split() for line in table.strip().splitlines()]
    if tuple(head[1:]) != COLUMNS:
        raise ValueError(f"the columns must be {COLUMNS}, found {head[1:]}")
    found = {}
    for method, path, *cells in rows:
        if len(cells) != len(COLUMNS) or f"{method} {path}" in found:
            raise ValueError(f"{method} {path} must stand once, with {len(COLUMNS)} cells")
        found[f"{method} {path}"] = dict(zip(COLUMNS, map(Rule, cells), strict=True))
    return found


RIGHTS: dict[str, dict[str, Rule]] = _read(_TABLE)
"""Rule by role of every route, written as method and path."""

SEEN = {
    "GET /golfers/": "club",
    "GET /golfers/{name}.html": "golfer",
    "GET /golfers/{name}/goal": "goal",
    "GET /golfers/{name}/rounds": "rounds",
    "GET /golfers/{name}/entries/{kind}": "practice and tests",
    "GET /golfers/{name}/entries/{kind}/correct": "a practice entry or test",
    "GET /golfers/{name}/review": "review",
    "GET /golfers/{name}/week": "week",
    "GET /golfers/{name}/week.ics": "week",
    "GET /golfers/{name}/week.pdf": "week",
    "GET /golfers/{name}/what-if": "what if",
    "GET /api/golfers": "club",
    "GET /api/golfers/{name}/forecast": "golfer",
    "GET /api/golfers/{name}/plan": "golfer",
    "GET /log": "log",
    "GET /group": "group",
    "GET /health": "health",
    "GET /health/rounds": "health",
    "GET /loads/": "loads",
    "GET /loads/{name}.html": "loads",
    "GET /people": "people",
    "GET /audit": "audit",
}
"""Pages that show something of a person, as the audit trail calls them."""


def rule(route: str, role: str, every_golfer: bool) -> Rule:
    """Return how far somebody reaches a route: ``NO`` where the table does not say, or says ``ALL`` in vain.

    Parameters
    ----------
    route : str
        Method and path as in the table.
    role : str
        One of :data:`COLUMNS`.
    every_golfer : bool
        Whether his own golfers are all golfers.
    """
    found = RIGHTS.get(route, {}).get(role, Rule.NO)
    return Rule.NO if found is Rule.ALL and not every_golfer else found
