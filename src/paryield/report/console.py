"""Answers as lines for a terminal: few, plain, every number with its spread."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any

from paryield.report.columns import columns
from paryield.report.words import (
    area_text,
    category_text,
    chance_text,
    day,
    index_text,
    middle_span,
    missing,
    number,
    one_line,
    span,
)
from paryield.tables.categories import PHANTOM
from paryield.units import counted

if TYPE_CHECKING:
    from paryield.club import ImportReceipt
    from paryield.rounds import PuttingSkill
    from paryield.tables import Reading

UNOFFICIAL = "The index is worked out for forecasting; the official one comes from the golfer's association."
RANGE = "In brackets: the range that holds 8 in 10."
NAMES = {
    "handicap_index": "Handicap Index",
    "mean_differential": "average round",
    "score_differential": "one round",
}
PUTTS_FROM = (3.0, 6.0, 9.0, 12.0, 20.0)
COMPARED = {"tour": "tour players", "scratch": "scratch golfers", "ninety": "golfers who score about 90"}
ASSUMED_OF_PUTTING = (
    "Assumed, not measured: how many first putts a round has from each distance (no source), the curves "
    "compared with (mostly from memory), the spreads that golfers usually have (they count where putts are "
    "few), and "
)
LEAVES = (
    "that misses leave what a tour player's leave.",
    "that misses leave what a tour player's leave, in proportion to the spread of length, and that a putt is "
    "aimed 1 ft past the hole and drops when it would stop within 3 ft past it.",
)
Record = dict[str, Any]


def forecast_lines(records: Sequence[Record], notes: Iterable[str] = ()) -> list[str]:
    """Return one line a golfer, or one a quantity when there is one golfer."""
    golfers = list(dict.fromkeys(record["golfer_id"] for record in records))
    weeks = sorted({record["weeks"] for record in records})
    head = [f"in {week:g} weeks" for week in weeks]
    lines = []
    if len(golfers) == 1:
        kinds = list(dict.fromkeys(record["quantity"] for record in records))
        rows = [[NAMES[kind], *_cells(records, weeks, quantity=kind)] for kind in kinds]
        lines = [f"Golfer {one_line(golfers[0])}, from {day(records[0]['as_of'])}"]
        lines += columns(["", *head], [*rows, *_usual_rows(records, weeks, kinds)])
        lines += _usual_note(records[0])
        lines += _because(records)
    elif golfers:
        index = [record for record in records if record["quantity"] == "handicap_index"]
        rows = [[one_line(golfer), *_cells(index, weeks, golfer_id=golfer)] for golfer in golfers]
        lines = columns(["Handicap Index", *head], rows)
    goals = [_goal_line(record) for record in records if record.get("goal") is not None]
    return [*lines, *goals, *map(one_line, notes), RANGE, UNOFFICIAL]


def _usual_rows(records: Sequence[Record], weeks: Sequence[int], kinds: Sequence[str]) -> list[list[str]]:
    """The same quantities if the golfer does what he usually does of the plan."""
    usual = [record | record["usual"] for record in records if record.get("usual")]
    if not usual:
        return []
    return [[f"{NAMES[kind]}, as usual", *_cells(usual, weeks, quantity=kind)] for kind in kinds]


def _usual_note(record: Record) -> list[str]:
    share = record.get("usual_share")
    if not share:
        return []
    return [
        f"As usual: the golfer does {_spread(share, _share)} of the hours of this plan, going by past plans."
    ]


def _share(value: float) -> str:
    return f"{100 * value:.0f} %"


def _cells(records: Sequence[Record], weeks: Sequence[int], **which: Any) -> list[str]:
    chosen = [record for record in records if all(record[key] == value for key, value in which.items())]
    by_week = {record["weeks"]: record for record in chosen}
    return [_range(by_week[week]) if week in by_week else "" for week in weeks]


def _range(record: Record) -> str:
    if not record["reportable"] and missing(record["q50"]):
        return f"not given: {one_line(record.get('reason') or 'the records do not suffice')}"
    return f"{index_text(record['q50'])} ({index_text(record['q10'])} to {index_text(record['q90'])})"


def _goal_line(record: Record) -> str:
    aim = f"{one_line(record['golfer_id'])}: index {index_text(record['goal'])} by {day(record['by'])}"
    if missing(record.get("chance")):
        return f"{aim}: chance not given: {one_line(record.get('reason') or 'the records do not suffice')}"
    usual = record.get("usual_chance")
    more = "" if missing(usual) else f"; doing as much of the plan as usual {chance_text(usual)}"
    chance = f"chance {chance_text(record['chance'])}"
    if record.get("reached"):
        chance = f"reached today, chance of still holding it {chance_text(record['chance'])}"
    return f"{aim}: {chance}{more}"


def returns_lines(records: Sequence[Record], cautions: Iterable[str] = ()) -> list[str]:
    """Return one line a category, or the most likely best category a golfer when there are several."""
    if not records:
        return ["Nothing can be said about practice: there is no practice diary to learn from."]
    golfers = list(dict.fromkeys(record["golfer_id"] for record in records))
    title = f"Strokes saved a round by one more hour a week, kept up for {records[0]['weeks']} weeks"
    if len(golfers) == 1:
        rows = [_return_row(record) for record in _by_size(records)]
        head = [
            "category",
            "hours now",
            "strokes saved",
            "best by record",
            "rank before",
            "rests on",
            "stands out",
        ]
        lines = [f"{title}: golfer {one_line(golfers[0])}", *columns(head, rows)]
        lines += _rankings(records)
    else:
        best = [_likeliest([one for one in records if one["golfer_id"] == golfer]) for golfer in golfers]
        rows = [[record["golfer_id"], *_return_row(record)] for record in best]
        head = ["golfer", "likeliest best", "hours now", "strokes saved", "best by record"]
        head += ["rank before", "rests on", "stands out"]
        lines = [title, *columns(head, rows)]
    return [*lines, RANGE, *map(one_line, cautions)]


def areas_lines(records: Sequence[Record]) -> list[str]:
    """Return one line an area, or the area that loses most beyond the same index when there are several."""
    from paryield.report.area_words import evidence_sentence  # late: it loads pandas

    golfers = list(dict.fromkeys(record["golfer_id"] for record in records))
    ranked = sorted(records, key=lambda record: -record["against_same_index"]["q50"])
    head = ["area", "lost a round", "beyond the same index", "beyond the goal index", "rests on"]
    if len(golfers) == 1:
        title = f"Strokes lost by area: golfer {one_line(golfers[0])}"
        rows = [_area_row(record) for record in ranked]
        return [title, *columns(head, rows), evidence_sentence(records[0]), RANGE]
    worst = [next(one for one in ranked if one["golfer_id"] == golfer) for golfer in golfers]
    rows = [[record["golfer_id"], *_area_row(record)] for record in worst]
    return ["Most strokes lost beyond golfers of the same index", *columns(["golfer", *head], rows), RANGE]


def _area_row(record: Record) -> list[str]:
    spreads = [record[name] for name in ("lost", "against_same_index", "against_goal")]
    shown = ["no goal" if missing(one["q50"]) else middle_span(one) for one in spreads]
    return [area_text(record["area"]), *shown, f"{record['verdict']} ({record['evidence']})"]


def _because(records: Sequence[Record]) -> list[str]:
    from paryield.report.sentences import because_sentences  # late: it loads pandas

    return because_sentences(max(records, key=lambda record: str(record["on"])))


def _rankings(records: Sequence[Record]) -> list[str]:
    from paryield.report.verdicts import rankings_sentence  # late: it loads pandas

    return rankings_sentence(records)


def _return_row(record: Record) -> list[str]:
    spread = record["strokes_per_weekly_hour"] or {}
    saved = f"{number(spread.get('q50'), 2)} ({span(spread.get('q10'), spread.get('q90'), 2)})"
    if record["category"] == PHANTOM:
        return ["(noise floor)", "", saved, "", "", "", ""]
    hours, chance = number(record["hours_now"]), chance_text(record["chance_best"])
    rank = str(record["rank_before_record"])
    name = category_text(record["category"])
    stands_out = "yes" if record["verdict"] == "stands out" else "no"
    return [name, hours, saved, chance, rank, record["evidence"], stands_out]


def _by_size(records: Iterable[Record]) -> list[Record]:
    def middle(record: Record) -> float:
        value: Any = (record["strokes_per_weekly_hour"] or {}).get("q50")
        return -99.0 if missing(value) else float(value)

    return sorted(records, key=middle, reverse=True)


def _likeliest(records: Sequence[Record]) -> Record:
    real = [record for record in records if record["category"] != PHANTOM] or list(records)
    return max(real, key=lambda one: -1.0 if missing(one["chance_best"]) else one["chance_best"])


def health_report(found: Record) -> list[str]:
    """Return the verdict and one line a quantity at its worst element."""
    verdict = "passes" if found["ok"] else "does not pass"
    older = found.get("answers_from", found["run"]) != found["run"]
    kind = " (rough fit)" if found["quick"] else ""
    rows = [
        [
            line["quantity"],
            line["element"],
            f"{line['rhat']:.3f}",
            f"{line.get('rhat_most', 1.01):.3f}",
            f"{line['ess_bulk']:.0f}",
            f"{line['ess_tail']:.0f}",
            "fine" if line["ok"] else "not enough",
        ]
        for line in found["lines"]
    ]
    head = ["quantity", "worst at", "R-hat", "limit", "bulk ESS", "tail ESS", ""]
    more = "" if found["divergences_ok"] else " - too many: the model does not suit these records"
    remedies = dict.fromkeys(line["remedy"] for line in found["lines"] if not line["ok"])
    looked_at = f" of {found['looked_at']} values looked at" if found.get("looked_at") else ""
    return [
        f"Run {found['run']}{kind} {verdict} the health gate (ESS at least 400, R-hat at most what chance "
        f"allows the worst{looked_at}).",
        *([f"Answers come from run {found['answers_from']}, the last sound one."] if older else []),
        *columns(head, rows),
        f"Divergences: {found['divergences']}{more}",
        *(f"What to do: {remedy}" for remedy in remedies),
    ]


def check_answer(found: Reading) -> tuple[Record, list[str]]:
    """Return the record and the lines of what a folder holds."""
    rows = {name: len(frame) for name, frame in found.tables.items() if len(frame)}
    errors, warned = len(found.errors), len(found.warnings)
    document = {
        "rows": rows,
        "rejected": found.rejected,
        "errors": errors,
        "warnings": warned,
        "problems": [problem.to_dict() for problem in found.problems],
    }
    lines = [f"{problem.severity}: {problem.line()}" for problem in found.problems]
    return document, [
        *lines,
        f"Good rows: {counts(rows)}. {counted(errors, 'error')}, {counted(warned, 'warning')}.",
    ]


def import_answer(club: str, receipt: ImportReceipt) -> tuple[Record, list[str]]:
    """Return the record and the lines of an import."""
    document = {
        "club": club,
        "added": receipt.added,
        "skipped": receipt.skipped,
        "replaced": [
            {"table": one.table, "key": one.key, "column": one.column, "old": one.old, "new": one.new}
            for one in receipt.replaced
        ],
        "rejected": receipt.rejected,
        "reread": receipt.reread,
        "left_out": receipt.left_out,
        "unmeasured": receipt.unmeasured,
        "problems": [problem.to_dict() for problem in receipt.problems],
    }
    lines = [f"Stored in {club}: {counts(receipt.added)}.", f"Held already: {counts(receipt.skipped)}."]
    lines += [f"Replaced: {change.line()}" for change in receipt.replaced]
    if receipt.reread:
        lines.append(f"Read otherwise now, in place of what was read before: {counts(receipt.reread)}.")
    if receipt.rejected:
        lines.append(f"Left out: {counts(receipt.rejected)}.")
    if receipt.left_out:
        lines.append(f"Left out of the spreadsheets: {sum(receipt.left_out.values())} rows, cells or sheets:")
        lines += [f"  {count} {reason}" for reason, count in receipt.left_out.items()]
    for why, count in receipt.unmeasured.items():
        lines.append(f"{count} {'result' if count == 1 else 'results'} {why}.")
    return document, lines


def fit_lines(found: Record, club: str) -> list[str]:
    """Return what a fit stored and whether it is sound."""
    kind = " (rough fit)" if found["quick"] else " (stopped)" if found["stopped"] else ""
    verdict = "passes" if found["health"]["ok"] else "does not pass"
    stretches = "" if found["stretches"] == 1 else f" and {found['stretches']} stretches"
    return [
        f"Run {found['run']}{kind}: {counted(found['golfers'], 'golfer')}, {len(found['categories'])} "
        f"practice categories, {found['draws']} draws in {found['seconds']:.0f} s{stretches}.",
        f"It {verdict} the health gate; see paryield health {club}",
    ]


def putting_answer(skill: PuttingSkill) -> tuple[Record, list[str]]:
    """Return the record and the lines of putting: skill, chances by distance, strokes lost a round."""
    from paryield.rounds import putting_strokes_lost

    document = skill.to_dict()
    chances = skill.make_probability(PUTTS_FROM)
    rows = [
        [f"{feet:g} ft", _spread(skill.summary(chances[:, place]), chance_text)]
        for place, feet in enumerate(PUTTS_FROM)
    ]
    lost = [
        [COMPARED[name], _spread(one, lambda strokes: number(strokes, 1))]
        for name, one in putting_strokes_lost(skill).items()
    ]
    learnt = document["sigma_distance"] is not None
    length = "not to be told from these putts; direction answers for all misses"
    if learnt:
        length = f"{_spread(document['sigma_distance'], chance_text)} of the roll"
    angle = _spread(document["sigma_angle_degrees"], lambda degrees: number(degrees, 2))
    lines = [
        f"{skill.made} of {skill.tried} putts made.",
        f"Spread of direction: {angle} degrees.",
        f"Spread of length: {length}.",
        *columns(["from", "chance to hole"], rows),
        *columns(["compared with", "strokes lost a round"], lost),
    ]
    return document, [*lines, RANGE, ASSUMED_OF_PUTTING + LEAVES[learnt]]


def _spread(summary: Record, text: Callable[[float], str]) -> str:
    return f"{text(summary['q50'])} ({text(summary['q10'])} to {text(summary['q90'])})"


def erase_lines(found: Record) -> list[str]:
    """Return what was erased, what still holds the person, and the proof."""
    runs = ", ".join(map(str, found["runs"])) or "none"
    lines = [
        f"Erased {one_line(found['golfer_id'])} at {found['erased_at']}: {counts(found['removed'])}.",
        f"Earlier values removed: {found['old_rows']}. Runs without draws from now on: {runs}.",
        f"Name or id replaced in: {counts(found['scrubbed'])}. Left in: {counts(found['mentions'])}.",
    ]
    if found["searched_bytes"] is not None:
        size, left = found["searched_bytes"], found["found"]
        lines.append(f"Searched {size} bytes of the club file afterwards: {left or 'nothing'} found.")
    for copy in found["copies"]:
        what = f"{copy['kind']} of {copy['made_at']} {copy['state']}: {one_line(copy['path'])}"
        head = "From an open desk" if copy["state"] == "removed" else "Outside the club, remove it yourself"
        lines.append(f"{head}: {what}")
    lines.append(f"Not reached from here: {'; '.join(found['beyond'])}.")
    return lines


def audit_lines(found: Sequence[Record]) -> list[str]:
    """Return the audit trail, one line an entry."""
    head = ("when (UTC)", "who", "did", "what", "mark")
    rows = [[one["at"], one["who"], one["action"], one["what"], one["mark"] or ""] for one in found]
    return columns(head, rows)


def people_lines(found: Sequence[Record]) -> list[str]:
    """Return the people, one line each, and a one-time password where one was made."""
    head = ("name", "role", "golfers", "state", "person")
    lines = columns(head, [_person_row(one) for one in found]) if found else ["Nobody may sign in yet."]
    for one in found:
        if "password" in one:
            lines.append(f"One-time password, shown this once: {one['password']}")
            lines.append("It lets in for 14 days and must be changed at the first sign-in.")
    return lines


def _person_row(one: Record) -> list[str]:
    golfers = one["golfers"] if isinstance(one["golfers"], str) else one_line(", ".join(one["golfers"]))
    state = "removed" if one.get("removed") else "one-time password" if one["must_change"] else ""
    return [one_line(one["name"]), one["role"], golfers, state, one["person_id"]]


def counts(found: dict[str, int]) -> str:
    """Return counts by table on one line, those above zero."""
    said = (
        f"{count} {name.removesuffix('s') if count == 1 else name}" for name, count in found.items() if count
    )
    return ", ".join(said) or "nothing"
