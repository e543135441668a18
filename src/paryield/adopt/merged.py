"""Rows of several sheets brought together: once where told twice, numbered where a day has several."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from paryield.adopt.found import Row
from paryield.adopt.memory import Question
from paryield.adopt.people import People
from paryield.adopt.twice import PLACE, WROTE, Twice, by_sheet
from paryield.results import Problem
from paryield.tables.files import trouble
from paryield.tables.schema import TABLES

Rows = dict[str, list[dict[str, str]]]
TWO = "all of them: several rounds that day"
KEYS = {
    "rounds": ("golfer_id", "played_on"),
    "practice": ("golfer_id", "practised_on", "category"),
    "assessments": ("golfer_id", "assessed_on", "test", "distance_ft"),
}
"""What tells the rows of a table apart, but for the number of the round or entry."""
NUMBERED = {"rounds": "round_no", "practice": "entry_no"}
"""Tables in which a golfer may have several rows a day, and the column that numbers them."""


@dataclass(frozen=True)
class Merged:
    """Rows of several sheets brought together.

    Parameters
    ----------
    rows : dict of str to list of dict of str to str
        By table, under golfer ids; numbered where a day has several.
    places, wrote : dict of str to list of str
        Where each of them stands, and what stands there.
    problems : list of Problem
    questions : list of Question
    """

    rows: Rows
    places: dict[str, list[str]]
    wrote: dict[str, list[str]]
    problems: list[Problem]
    questions: list[Question]


def merged(rows: Sequence[Row], people: People, marks: Mapping[str, str] | None = None) -> Merged:
    """Bring rows of several sheets together; ``marks`` are the headings of each sheet."""
    out: Rows = {name: [] for name in TABLES}
    problems: list[Problem] = []
    golfers: dict[str, dict[str, str]] = {}
    held: dict[tuple[str, ...], list[tuple[str, dict[str, str]]]] = {}
    for row, golfer in _each(rows, people, problems):
        if golfer not in golfers and golfer not in people.known:
            name = people.names.get(golfer, row.golfer)
            golfers[golfer] = {"golfer_id": golfer, "display_name": name, PLACE: row.place, WROTE: row.wrote}
        if row.table == "golfers":
            name = people.known.get(golfer) or people.names.get(golfer, row.golfer)
            own = {"golfer_id": golfer, "display_name": name, PLACE: row.place, WROTE: row.wrote}
            golfers.setdefault(golfer, own).update(row.values)
            continue
        values = {"golfer_id": golfer, **row.values, PLACE: row.place, WROTE: row.wrote}
        held.setdefault((row.table, *(values.get(name, "") for name in KEYS[row.table])), []).append(
            (row.place, values)
        )
    twice = Twice(marks or {}, people.memory, people.names)
    days = [one for key, one in held.items() if key[0] == "practice" and key[-1] and len(by_sheet(one)) > 1]
    twice.settle(days)
    met = {id(one) for one in days}
    questions: list[Question] = [*twice.questions]
    for (table, *_), told in held.items():
        both = id(told) in met
        kept = twice.kept(told) if both else _once(table, told, people, problems, questions)
        if table in NUMBERED:
            for number, values in enumerate(kept, 1):
                out[table].append(values if number == 1 else {**values, NUMBERED[table]: str(number)})
        else:
            out[table] += kept
    out["practice"] = _without_idle(out["practice"])
    out["golfers"] = sorted(golfers.values(), key=lambda one: one["golfer_id"])
    for name in NUMBERED:
        out[name].sort(key=lambda one: (one["golfer_id"], one[KEYS[name][1]]))
    places, wrote = (
        {name: [row.pop(key) for row in told] for name, told in out.items()} for key in (PLACE, WROTE)
    )
    return Merged(out, places, wrote, problems, questions)


def _without_idle(rows: list[dict[str, str]]) -> list[dict[str, str]]:
    """Leave out that nothing was practised on a day on which something was, or where it is said again."""
    busy = {(row["golfer_id"], row["practised_on"]) for row in rows if row.get("category")}
    kept = []
    for row in rows:
        day = row["golfer_id"], row["practised_on"]
        idle = not row.get("category") and row.get("state") == "none"
        if not (idle and day in busy):
            kept.append(row)
        if idle:
            busy.add(day)
    return kept


def _each(rows: Sequence[Row], people: People, problems: list[Problem]) -> Iterator[tuple[Row, str]]:
    """Yield each row with each golfer of it; what only one can have is nobody's where it names several."""
    for row in rows:
        golfers = people.golfers(row.golfer)
        if len(golfers) > 1 and row.table != "practice":
            message = f"this is one result, but {row.golfer!r} are {len(golfers)} people: it was left out"
            problems.append(trouble(row.place, message, "give each golfer a row of their own"))
            continue
        for golfer in golfers:
            yield row, golfer


def _once(
    table: str,
    told: list[tuple[str, dict[str, str]]],
    people: People,
    problems: list[Problem],
    questions: list[Question],
) -> list[dict[str, str]]:
    """What several rows about one golfer and day hold: one told twice, several, or a question."""
    kept: list[tuple[str, dict[str, str]]] = []
    for place, values in told:
        sheet = place.rpartition(", row ")[0]
        twin = next(
            (
                one
                for one in kept
                if _same(table, one[1], values) and (one[0] != sheet or table != "practice")
            ),
            None,
        )
        if twin is None:
            kept.append((sheet, values))
            continue
        for name, value in values.items():
            twin[1].setdefault(name, value)
        if twin[0] == sheet:
            message = "the same row stands twice in this sheet: it was taken once"
            problems.append(
                Problem(place, None, None, "", message, "take one out, or number them in a column", "warning")
            )
    if table == "assessments" and len(kept) > 1:
        message = "a test of one golfer, day and distance stands there with two results: the first was taken"
        problems.append(trouble(told[-1][0], message, "keep one of them"))
        return [kept[0][1]]
    if table == "rounds" and len({sheet for sheet, _ in kept}) > 1:
        return _rounds_of_a_day([values for _, values in kept], people, questions, told[-1][0])
    return [values for _, values in kept]


def _same(table: str, one: dict[str, str], other: dict[str, str]) -> bool:
    """Whether two rows of one golfer and day tell the same: for rounds the score, otherwise everything.

    A remark in one of them alone sets them not apart.
    """
    if table != "rounds":
        note = one.get("note", other.get("note", "")), other.get("note", one.get("note", ""))
        beside = {PLACE: "", WROTE: "", "note": ""}
        return note[0] == note[1] and {**one, **beside} == {**other, **beside}
    shared = [
        name for name in ("adjusted_gross_score", "score_differential") if name in one and name in other
    ]
    both = [name for name in ("course", "holes", "tee") if name in one and name in other]
    return bool(shared) and all(one[name] == other[name] for name in [*shared, *both])


def _rounds_of_a_day(
    told: list[dict[str, str]], people: People, questions: list[Question], place: str
) -> list[dict[str, str]]:
    """Rounds of one golfer and day that sheets tell with different scores: several, or a slip."""
    golfer, day = told[0]["golfer_id"], told[0]["played_on"]
    scores = [one.get("adjusted_gross_score") or one.get("score_differential", "") for one in told]
    options = (TWO, *(f"only {score}" for score in dict.fromkeys(scores)))
    name = people.names.get(golfer, golfer)
    text = f"On {day} {name} has the scores {' and '.join(scores)} in different sheets: which are right?"
    question = Question(f"rounds: {golfer} {day} {' '.join(scores)}", text, place, options)
    answer = people.memory.answer(question)
    if answer is None:
        questions.append(question)
        return []
    return told if answer == TWO else [told[scores.index(answer.removeprefix("only "))]]
