"""Hold books with their truth in tables beside them against what is read: this week's, and next week's.

A folder of books has for each a folder with book/ and next/ (its sheets this week and a week later) and
truth_rounds.csv, truth_practice.csv, truth_tests.csv and the same with _next. Run it by itself:
``python tests/unit/adopt/measured_books.py FOLDER ANSWERS.json READING [BOOK ...]``. ANSWERS.json has for
each book the true answers by the beginnings of the keys of questions.
"""

from __future__ import annotations

import csv
import json
import re
import sys
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from paryield.adopt import Adoption, Memory, adopt_folder

TODAY = {"book": date(2026, 11, 29), "next": date(2026, 12, 6)}
CATEGORIES = (
    ("short putting", "short_putting"), ("lag putting", "lag_putting"), ("chipping", "chipping"),
    ("pitching", "pitching"), ("bunker", "bunker"), ("wedges/half swings", "half_swing"),
    ("irons/mid irons", "irons"), ("driver/long game", "driver"), ("course play", "on_course"),
    ("strength", "strength"), ("mobility", "mobility"),
)  # fmt: skip
"""Practice as the truth words it, and as the tables do."""
FEET_IN_METRE = 3.28084


@dataclass
class Held:
    """How many entries of a table are right, of how many; and what is stored beside the truth."""

    right: int = 0
    of: int = 0
    wrong: list[tuple[object, ...]] = field(default_factory=list)
    missing: list[tuple[object, ...]] = field(default_factory=list)


@dataclass
class Reading:
    """What a folder gave after true answers, which questions it asked, and which had no true answer."""

    found: Adoption
    asked: dict[str, str]
    open: dict[str, str]


def read_answered(folder: Path, memory: Memory, told: dict[str, str], today: date) -> Reading:
    """Answer every question truly, as long as there is one with a true answer."""
    asked: dict[str, str] = {}
    for _ in range(12):
        found = adopt_folder(folder, memory, today=today)
        for one in found.questions:
            asked.setdefault(one.key, one.text)
        said = [(one, _answer(one.key, told)) for one in found.questions]
        if not any(answer is not None for _, answer in said):
            break
        for question, answer in said:
            if answer is not None:
                memory.take([(question, answer)])
    return Reading(found, asked, {one.key: one.text for one in found.questions})


def _answer(key: str, told: dict[str, str]) -> str | None:
    fitting = [start for start in told if key.startswith(start)]
    return told[max(fitting, key=len)] if fitting else None


def _words(name: str) -> list[str]:
    return sorted(re.findall(r"\w+", name.casefold()))


class Names:
    """Which golfer of the truth a stored one is; a second one under a name of his own is nobody's."""

    def __init__(self, stored: dict[str, str], true: set[str]) -> None:
        self.of: dict[str, str] = {}
        by_words = {" ".join(_words(name)): name for name in true}
        for key, name in stored.items():
            if exact := by_words.get(" ".join(_words(name))):
                self.of[key] = exact
        for key, name in stored.items():
            if key in self.of:
                continue
            fits = [
                one
                for one in true - set(self.of.values())
                if all(any(word.startswith(said) for word in _words(one)) for said in _words(name))
            ]
            self.of[key] = fits[0] if len(fits) == 1 else f"nobody's: {name}"


def _table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8-sig", newline="") as lines:
        return list(csv.DictReader(lines))


def _against(stored: list[tuple[object, ...]], true: list[tuple[object, ...]]) -> Held:
    got, want = Counter(stored), Counter(true)
    both = got & want
    return Held(sum(both.values()), len(true), list((got - want).elements()), list((want - got).elements()))


def held_rounds(tables: dict[str, list[dict[str, str]]], truth: list[dict[str, str]]) -> Held:
    """Hold rounds: golfer, day, score, rating and slope, or the differential where only that is kept."""
    who = _who(tables, truth)
    worked_out = {
        (
            row["golfer"],
            row["played_on"],
            int(row["adjusted_gross_score"]),
            _number(row["score_differential"]),
        ): row
        for row in truth
        if row["score_differential"]
    }
    stored = []
    for row in tables["rounds"]:
        start = who[row["golfer_id"]], row["played_on"], round(_number(row.get("adjusted_gross_score")))
        told = (
            row
            if row.get("course_rating")
            else worked_out.get((*start, _number(row.get("score_differential"))), row)
        )
        stored.append((*start, _number(told.get("course_rating")), round(_number(told.get("slope_rating")))))
    true = [
        (row["golfer"], row["played_on"], int(row["adjusted_gross_score"]),
         float(row["course_rating"]), int(row["slope_rating"]))
        for row in truth
    ]  # fmt: skip
    return _against(stored, true)


def _who(tables: dict[str, list[dict[str, str]]], truth: list[dict[str, str]]) -> dict[str, str]:
    stored = {row["golfer_id"]: row["display_name"] for row in tables["golfers"]}
    return Names(stored, {row["golfer"] for row in truth}).of


def held_tests(tables: dict[str, list[dict[str, str]]], truth: list[dict[str, str]]) -> Held:
    """Hold results of tests: golfer, day, feet of a putt, tried, and made or the value in its unit."""
    who = _who(tables, truth)
    stored = []
    for row in tables["assessments"]:
        putts = "putt" in row["test"] and row.get("made")
        feet = round(float(row["distance_ft"])) if putts and row.get("distance_ft") else 0
        value = row.get("made") or row["value"]
        stored.append(
            (who[row["golfer_id"]], row["assessed_on"], feet, int(row.get("tried") or 0), round(float(value)))
        )
    true = []
    for row in truth:
        metres = row["unit"] == "m"
        far = float(row["distance"]) * (FEET_IN_METRE if metres else 1) if row["distance"] else 0
        value = float(row["made"] or row["value"])
        feet = round(far) if row["test"].startswith("putts") else 0
        true.append(
            (row["golfer"], row["day"], feet, int(row["tried"] or 0) if row["made"] else 0, round(value))
        )
    return _against(stored, true)


def _kinds(told: str) -> set[str]:
    return {kind for words, kind in CATEGORIES if words in told}


def _monday(day: str) -> str:
    on = date.fromisoformat(day)
    return "week of " + (on - timedelta(days=on.weekday())).isoformat()


def held_practice(
    tables: dict[str, list[dict[str, str]]], truth: list[dict[str, str]], asked: dict[str, str]
) -> Held:
    """Hold practice: golfer, day (or its week), kind, minutes, repetitions.

    What is a mixture is right in its parts, however the time is shared; and as one of them where the
    coach's word was asked about.
    """
    who = _who(tables, truth)
    left: list[list[object]] = [
        [who[row["golfer_id"]], row["practised_on"], row["category"], _number(row.get("minutes")),
         _number(row.get("reps"))]
        for row in tables["practice"]
        if row.get("category")
    ]  # fmt: skip
    held = Held(of=len(truth))
    later = []
    for row in sorted(truth, key=lambda one: len(_kinds(one["category"]))):
        kinds, minutes, reps = _kinds(row["category"]), _number(row["minutes"]), _number(row["reps"])
        there = [
            one
            for one in left
            if one[0] == row["golfer"]
            and one[2] in kinds
            and (
                row["day"] == one[1]
                if row["period"] == "day"
                else _monday(str(one[1])) == "week of " + row["day"]
            )
        ]
        taken = _taken(there, minutes, reps)
        if taken is None:
            later.append((row["golfer"], row["day"], row["coach_word"], minutes, reps))
            continue
        for one in taken:
            left.remove(one)
        words = row["coach_word"].casefold()
        if (
            len(kinds) > 1
            and len({one[2] for one in taken}) == 1
            and not any(part in key.casefold() for key in asked for part in re.split(r",| and ", words))
        ):
            held.wrong.extend(tuple(one) for one in taken)
        else:
            held.right += 1
    held.missing = later
    held.wrong += [tuple(one) for one in left]
    return held


def _number(cell: str | None) -> float:
    return float(cell) if cell else 0.0


def _taken(there: list[list[object]], minutes: float, reps: float) -> list[list[object]] | None:
    """Return the stored entries that make up one of the truth: one alone, else several that sum up to it."""
    for one in there:
        if abs(float(str(one[3])) - minutes) < 1 and abs(float(str(one[4])) - reps) < 1:
            return [one]
    for size in range(2, min(len(there), 6) + 1):
        for start in range(len(there) - size + 1):
            some = there[start : start + size]
            if abs(sum(float(str(one[3])) for one in some) - minutes) < 2 and (
                abs(sum(float(str(one[4])) for one in some) - reps) < 2
            ):
                return some
    return None


def measured(book: Path, told: dict[str, str]) -> tuple[dict[str, Held], Reading, dict[str, Held], Reading]:
    """Read a book, then next week's with what was learnt; return both held against the truth."""
    memory, out = Memory(), []
    for week, end in (("book", ""), ("next", "_next")):
        reading = read_answered(book / week, memory, told, TODAY[week])
        tables = reading.found.tables()
        truth = {name: _table(book / f"truth_{name}{end}.csv") for name in ("rounds", "practice", "tests")}
        held = {
            "rounds": held_rounds(tables, truth["rounds"]),
            "practice": held_practice(tables, truth["practice"], reading.asked),
            "tests": held_tests(tables, truth["tests"]),
        }
        out += [held, reading]
        memory = Memory(dict(memory.answers), memory.people | reading.found.people.ids)
    return out[0], out[1], out[2], out[3]  # type: ignore[return-value]


def _stands_open(golfer: str, reading: Reading) -> bool:
    """Whether it is still asked whose the rows of a sheet are: nothing of it is stored before."""
    name = golfer.removeprefix("nobody's: ")
    return name != golfer and any(key.startswith("whose: ") and name in key for key in reading.open)


def main() -> None:
    """Print the rows of the evidence; with a book named, what is wrong and missing of it as well."""
    folder, reading, only = Path(sys.argv[1]), sys.argv[3], sys.argv[4:]
    answers = json.loads(Path(sys.argv[2]).read_text(encoding="utf-8"))
    for book in sorted(one for one in folder.iterdir() if (one / "book").is_dir()):
        if only and book.name not in only:
            continue
        told = answers.get(book.name, {})
        held, first, later, second = measured(book, told)
        for name, one in held.items():
            wrong = [row for row in one.wrong if not _stands_open(str(row[0]), first)]
            questions = f"{len(first.asked)},{len(second.asked)}"
            style = told.get("style", "")
            print(f"{book.name},{style},{name},{one.right},{one.of},{len(wrong)},{questions},{reading}")
        if not only:
            continue
        for key, text in first.asked.items():
            print("asked:", key, "|", text, "| OPEN" if key in first.open else f"| {_answer(key, told)}")
        print("asked next week:", second.asked)
        for line in first.found.lines():
            print("   ", line)
        for name, one in held.items():
            print(name, "WRONG", len(one.wrong), *one.wrong[:12], sep="\n    ")
            print(name, "MISSING", len(one.missing), *one.missing[:12], sep="\n    ")
        for name, one in later.items():
            print("next week", name, one.right, one.of, len(one.wrong))


if __name__ == "__main__":
    main()
