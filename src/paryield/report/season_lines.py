"""A season of emphases as lines for a terminal: laid out, on the way, and answered."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from paryield.report.change_lines import BITS
from paryield.report.columns import columns
from paryield.report.console import RANGE
from paryield.report.words import (
    category_text,
    chance_text,
    day,
    middle_span,
    number,
    one_line,
    span,
    weeks_text,
)
from paryield.units import counted

Record = Mapping[str, Any]
TOO_LITTLE = (
    "Wait, or join with another club: what one club learns is added to what others did (paryield learnt)."
)
SAID = {
    "would settle it": "it would settle which practice pays most.",
    "would help": "it would help to tell which practice pays most, but not settle it.",
    "would tell too little": "it would tell too little.",
    "settled already": "what pays most is known well enough, and no season is needed.",
    "cannot tell": "it cannot be weighed.",
}
"""What a season would do, by verdict."""
FAIR = "Everybody gets every emphasis; only its order is by lot, so nobody is kept from anything."
COST = "strokes a round, on average while it runs; negative: it pays"


def season_lines(records: Sequence[Record]) -> list[str]:
    """Return a season before it starts: what it tells and costs, its blocks, and who has what when."""
    first, members = records[0], records[1:]
    if not first["reportable"]:
        return [f"A season of emphases: {SAID[first['verdict']]}", one_line(first["reason"])]
    blocks = first["blocks"]
    lines = [
        f"A season of {len(blocks)} emphases of {weeks_text(first['weeks'])} for "
        f"{counted(first['members'], 'member')}: {SAID[first['verdict']]}",
        f"Emphases: {', '.join(map(category_text, first['focus']))}. {FAIR}",
        f"Open now: {number(first['entropy_now'], 2)} bits. About {number(first['rounds'], 0)} rounds and "
        f"the tests you keep are expected to tell {number(first['information'], 2)}; going on as before, "
        f"{number(first['information_present'], 2)}.",
        f"Cost, {COST}: {_spread(first['cost'])}.",
        *_told(first["tests"]),
        f"A test of each area: {', '.join(map(one_line, first['each_test']))}.",
        *_enough(first),
        *_blocks(first),
        *_members(members),
    ]
    if first["left_out"]:
        names = ", ".join(map(category_text, first["left_out"]))
        lines.append(f"Not an emphasis (hardly the best, or set by others): {names}.")
    for golfer, name in first["settled"].items():
        lines.append(
            f"{one_line(golfer)} is not in the lot: {category_text(name)} is clearly best for this golfer."
        )
    lines += [f"Mind: {one_line(note)}." for note in first["notes"]]
    lines.append(f"The lot was drawn with seed {first['seed']}; --start DATE puts it on record.")
    return [*lines, RANGE, BITS, *map(one_line, first["cautions"])]


def _spread(found: Mapping[str, float]) -> str:
    return middle_span(found, 2)


def tests_text(every: int | None) -> str:
    """Words for a way of testing."""
    if every is None:
        return "tests as you keep them"
    return "a test of each area every week" if every == 1 else f"a test of each area every {every} weeks"


def _told(tests: Sequence[Record]) -> list[str]:
    rows = []
    for one in tests:
        errors = list(one["error"].values())
        rows.append(
            [
                tests_text(one["tests_every"])
                + (
                    ""
                    if one["minutes_a_week"] is None
                    else f" ({number(one['minutes_a_week'], 0)} min a week)"
                ),
                number(one["information"], 2),
                span(min(errors), max(errors), 2),
                span(one["lost_now"], one["lost_after"], 2),
            ]
        )
    head = ["measured by scores and", "bits told", "error of a gain", "given up by a wrong pick, now to then"]
    return [*columns(head, rows), "Gains and what a wrong pick gives up: strokes a round per 20 hours."]


def _enough(first: Record) -> list[str]:
    if first["verdict"] == "would settle it":
        return []
    lines = [TOO_LITTLE] if first["verdict"] == "would tell too little" else []
    for one in first["enough"]:
        seasons = "one season" if one["seasons"] == 1 else f"{one['seasons']} seasons"
        lines.append(
            f"Half of what is open would be told by {one['members']} such members in {seasons} of "
            f"{weeks_text(one['weeks'])}, with {tests_text(one['tests_every'])}."
        )
    return lines or ["No number of members up to 64 times yours would tell half of what is open."]


def _blocks(first: Record) -> list[str]:
    rows = [
        [
            str(one["block"]),
            f"{day(one['starts_on'])} to {day(one['ends_on'])}",
            ", ".join(f"{category_text(name)} {count}" for name, count in one["members"].items()),
        ]
        for one in first["blocks"]
    ]
    return columns(["block", "days", "members on each emphasis"], rows)


def _members(records: Sequence[Record]) -> list[str]:
    rows = [
        [
            one_line(one["golfer_id"]),
            ", ".join(category_text(name) if name else "as before" for name in one["focus"]),
            _spread(one["cost"]),
        ]
        for one in records
    ]
    return columns(["golfer", "emphases in turn", "cost"], rows)


def started_lines(record: Record) -> list[str]:
    """Return what was put on record."""
    return [
        f"Season {record['season']} is on record: {counted(record['members'], 'member')}, "
        f"{day(record['starts_on'])} to {day(record['ends_on'])}, as the plan "
        f"{one_line(record['plan'])!r}, seed {record['seed']}.",
        "paryield block CLUB --progress says who keeps to it and who is due for a test; fit again now and "
        "then, and --result answers it.",
    ]


def progress_lines(records: Sequence[Record]) -> list[str]:
    """Return who keeps to a season, and who is due for a test."""
    rows = [
        [
            one_line(one["golfer_id"]),
            category_text(one["emphasis"]) if one["emphasis"] else "as before",
            share_text(one["share"]),
            share_text(one["on_emphasis"]),
            "never" if one["last_test"] is None else day(one["last_test"]),
            "yes" if one["test_due"] else "",
        ]
        for one in records
    ]
    head = ["golfer", "now on", "kept of the plan", "of it on the emphasis", "last test", "due for a test"]
    return columns(head, rows) if rows else ["Nobody of this season is on record any more."]


def share_text(share: float | None) -> str:
    """A share as a percentage; a dash where there is none."""
    return "-" if share is None else f"{100 * share:.0f} %"


def result_lines(records: Sequence[Record]) -> list[str]:
    """Return what a season told: the lot, the model and the regression together; then what comes."""
    first, members = records[0], records[1:]
    lines = [
        f"Season {first['season']}, {day(first['starts_on'])} to {day(first['ends_on'])}"
        + ("." if first["over"] else ": still running, so this is on the way."),
        _lot(first),
        f"Open before {number(first['entropy_before'], 2)} bits, now {number(first['entropy_now'], 2)}; "
        f"promised to be told: {number(first['promised'], 2)}, told: {number(first['told'], 2)}.",
        f"Kept of the plan: {share_text(first['kept'])}. Cost, {COST}: promised "
        f"{number(first['cost_promised'], 2)}, by what is known now {_spread(first['cost'])}.",
        *_gains(first["gains"]),
    ]
    for one in first["events"]:
        count = "1 member" if one["members"] == 1 else f"{one['members']} members"
        lines.append(f"In that time too, from {day(one['starts_on'])}: {one_line(one['name'])}, {count}.")
    for name in first["ending"]:
        lines.append(f"The emphasis {category_text(name)} ends: it can hardly be the best any more.")
    lines += list(_next(members))
    return [*lines, RANGE, BITS]


def passed_on_lines(found: Record) -> list[str]:
    """Return what was written for other clubs."""
    return [
        f"Wrote {one_line(found['file'])}: what {counted(found['golfers'], 'golfer')} and "
        f"{number(found['hours'], 0)} hours of practice say of {len(found['names'])} values of "
        "practice in general; no golfer's data.",
        "Another club starts from it with paryield fit CLUB --learnt FILE.",
    ]


def _lot(first: Record) -> str:
    if first["chance"] is None:
        return "The lot cannot be tested: too few members have scores or tests in two blocks."
    return (
        f"By the lot alone: of {first['orders']} orders that could have been drawn, "
        f"{share_text(first['chance'])} set the emphases at least as far apart as the one that was "
        f"({first['cells']} means of a member and block)."
    )


def _gains(gains: Sequence[Record]) -> list[str]:
    rows = [
        [
            category_text(one["category"]),
            chance_text(one["chance_best"]),
            middle_span(one, 2),
            "-"
            if one["plain"] is None
            else f"{number(one['plain'], 2)} (error {number(one['plain_error'], 2)})",
        ]
        for one in gains
    ]
    head = ["strokes per 20 hours, against the mean", "chance best", "the model", "plain regression"]
    return columns(head, rows)


def _next(members: Sequence[Record]) -> Iterable[str]:
    for one in members:
        if one["settled"]:
            name = category_text(one["settled"])
            yield f"{one_line(one['golfer_id'])} may stop: {name} is clearly best for this golfer."
    rows = [[one_line(one["golfer_id"]), category_text(one["next"])] for one in members if one["next"]]
    if rows:
        yield "Next block, for what is still open (hours by the chance to be best, who has which by lot):"
        yield from columns(["golfer", "emphasis"], rows)
