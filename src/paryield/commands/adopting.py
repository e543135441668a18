"""A coach's own spreadsheets to the tables: shown, asked about, written, remembered."""

from __future__ import annotations

import re
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from paryield.commands.shared import Json, answer, app, say
from paryield.errors import InputError

if TYPE_CHECKING:
    from paryield.adopt import Adoption, KnownRatings, Memory
    from paryield.adopt.memory import Question

MOST_ROUNDS = 5
"""An answer may open another question (which practice, then which unit); more often than this it does not."""

NO_GOLFERS = "the table golfers is missing"
"""What a check says of tables whose golfers are all on record: it is no fault there."""


@app.command()
def adopt(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Folder of your own spreadsheets.")],
    out: Annotated[
        Path | None, typer.Option(metavar="FOLDER", help="Where the tables go; FOLDER/tables if not said.")
    ] = None,
    map: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Where answers are kept, adopted.json if not said.")
    ] = None,
    club: Annotated[
        str | None, typer.Option(metavar="CLUB", help="Club whose golfers the names are looked up in.")
    ] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Take every proposal; ask nothing.")] = False,
    answers: Annotated[
        bool, typer.Option("--answers", help="List every answer that holds, numbered; write nothing.")
    ] = False,
    change: Annotated[
        list[str] | None,
        typer.Option(metavar="NUMBER=ANSWER", help="Another answer to one that --answers lists; repeatable."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Turn your own spreadsheets into the tables.

    Says what it understood, asks what it cannot know, and remembers the answers for next week's file.
    """
    from paryield.adopt import read_memory
    from paryield.adopt.held import answered_anew, held_lines
    from paryield.adopt.memory import FILE_NAME

    path = map or folder / FILE_NAME
    memory = read_memory(path)
    record = _on_record(club)
    if answers or change:
        held = _held(folder, memory, record, path)
        if answers and not change:
            lines = held_lines(held) or ["Nothing was answered or found out that could be changed."]
            more = ["To change one: paryield adopt FOLDER --change NUMBER=ANSWER"] if held else []
            answer(as_json, {**_nothing_written(folder), "questions": _told(held)}, [*lines, *more])
            return
        for said in change or ():
            answered_anew(memory, held, said)
    found = _settled(folder, memory, record, path, yes=yes, ask=not as_json and _terminal())
    lines = [*found.lines(), *_preview(found)]
    open_, skipped = (found.questions, []) if not yes else ([], found.questions)
    if open_:
        error = InputError(
            f"{len(open_)} question{'' if len(open_) == 1 else 's'} open; nothing was written",
            where=str(folder),
            remedy="run it on a terminal to answer, or with --yes to take the proposals",
        )
        answer(as_json, _document(found, [], open_), [*lines, *_asked(open_)], error)
        return
    files = found.write(out or folder / "tables")
    memory.people |= found.people.ids
    memory.answers |= found.kept
    memory.write(path)
    for problem in found.problems:
        say(problem.line(), prefix=f"{problem.severity}: ")
    lines += [f"left open, as nobody could say: {question.text}" for question in skipped]
    lines += _checked(files[0].parent, found)
    lines.append(f"{len(files)} tables in {files[0].parent}; next: paryield import CLUB {files[0].parent}")
    answer(as_json, _document(found, files, skipped), lines)


def _terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


@dataclass(frozen=True)
class _Record:
    """Names and groups of a club's golfers by id, and the ratings of its courses."""

    known: Mapping[str, str]
    courses: KnownRatings
    groups: Mapping[str, str]

    def given(self, path: Path) -> dict[str, Any]:
        """Return what a reading of a folder knows beforehand; ``path`` is the file of answers."""
        return {
            "known": self.known,
            "courses": self.courses,
            "groups": self.groups,
            "skip": (path.name,),
        }


def _held(folder: Path, memory: Memory, record: _Record, path: Path) -> list[Question]:
    from paryield.adopt.held import held_questions

    return held_questions(folder, memory, **record.given(path))


def _on_record(club: str | None) -> _Record:
    from paryield.adopt import KnownRatings, ratings_on_record
    from paryield.adopt.group_lines import groups_on_record
    from paryield.club import Club

    if club is None:
        return _Record({}, KnownRatings(), {})
    with Club.open(club) as opened:
        tables = opened.tables()
    names = tables.golfers["display_name"].fillna("")
    known = {str(golfer): str(name) for golfer, name in zip(tables.golfers["golfer_id"], names, strict=True)}
    return _Record(known, ratings_on_record(tables), groups_on_record(tables.golfers))


def _settled(folder: Path, memory: Memory, record: _Record, path: Path, *, yes: bool, ask: bool) -> Adoption:
    """Read the folder again with each round of answers, until nothing more can be answered."""
    from paryield.adopt import adopt_folder

    given = record.given(path)
    found = adopt_folder(folder, memory, **given, ahead=ask and not yes)
    for _ in range(MOST_ROUNDS):
        if yes:
            each = [part for one in found.questions for part in one.each()]
            answers = [(one, one.proposal) for one in each if one.proposal is not None]
        elif ask:
            _print_all(found.lines())
            answers = [pair for one in found.questions for pair in _answers(one)]
        else:
            answers = []
        if not answers:
            return found
        memory.take(answers)
        found = adopt_folder(folder, memory, **given, ahead=ask and not yes)
    return found


def _print_all(lines: Sequence[str]) -> None:
    for line in lines:
        print(line)


def _answers(question: Question) -> list[tuple[Question, str]]:
    """Ask a question, or all parts of it at once, and behind it what the answer opens.

    What is left open gives no answer.
    """
    if question.parts:
        given = _ask_together(question)
    else:
        said = _ask(question)
        given = [] if said is None else [(question, said)]
    opened = [more for one, answer in given for more in one.opened_by(answer)]
    return [*given, *(pair for more in opened for pair in _answers(more))]


def _ask_together(question: Question) -> list[tuple[Question, str]]:
    """Show the parts as a list; Enter takes every proposal, numbers name those that are not so."""
    print(f"\n{question.where}: {question.text}")
    for number, part in enumerate(question.parts, 1):
        print(f"  {number} {part.label}")
    while True:
        said = input("answer [yes, all of them]; numbers of those that are not, such as 2 5: ")
        numbers = re.findall(r"\d+", said)
        if re.fullmatch(r"[\d\s,;]*", said) and all(1 <= int(one) <= len(question.parts) for one in numbers):
            break
        print(f"  write numbers from 1 to {len(question.parts)}, or nothing")
    wrong = {int(one) for one in numbers}
    return [(part, part.options[number in wrong]) for number, part in enumerate(question.parts, 1)]


def _ask(question: Question) -> str | None:
    """Ask on the terminal; Enter takes the proposal, or leaves open what has none."""
    print(f"\n{question.where}: {question.text}")
    for number, option in enumerate(question.options, 1):
        print(f"  {number} {option}{' (likeliest)' if option == question.proposal else ''}")
    while True:
        hint = f" [{question.proposal}]" if question.proposal is not None else " [skip]"
        said = input(f"answer{hint}: ").strip()
        if not said:
            return question.proposal
        if question.options and said.isdigit() and 1 <= int(said) <= len(question.options):
            return question.options[int(said) - 1]
        if question.takes(said):
            return said
        print("  write one of the numbers" if question.options else "  write it as the question says")


def _asked(questions: Sequence[Question]) -> list[str]:
    out = []
    for question in questions:
        listed = [part.label for part in question.parts] or question.options
        choice = f" ({', '.join(listed)})" if listed else ""
        likely = f"; likeliest: {question.proposal}" if question.proposal is not None else ""
        out.append(f"question: {question.where}: {question.text}{choice}{likely}")
    return out


def _preview(found: Adoption) -> list[str]:
    """The first rows of each table, as they would be written."""
    out = []
    for table, rows in found.tables().items():
        if rows:
            out.append(f"{table}: {len(rows)} rows, such as" if len(rows) > 1 else f"{table}: one row")
            out += [
                f"  {', '.join(f'{name} {value}' for name, value in row.items() if value)}"
                for row in rows[:2]
            ]
    return out


def _checked(folder: Path, found: Adoption) -> list[str]:
    """What the check of the tables says, one line a column and kind of fault."""
    from collections import defaultdict

    from paryield.tables import read_folder

    kinds: dict[tuple[str, str, str, str], list[int | None]] = defaultdict(list)
    own = found.origins().own
    problems = read_folder(folder).problems
    if found.people.known:
        problems = tuple(one for one in problems if one.message != NO_GOLFERS)
    for one in map(own, problems):
        kinds[one.file, one.column or "", one.message, f"{one.severity}; {one.remedy}"].append(one.row)
    out = []
    for (file, column, message, remedy), rows in kinds.items():
        where = f"{file}{f', column {column}' if column else ''}"
        count = (
            "" if rows[0] is None else f" ({len(rows)} row{'' if len(rows) == 1 else 's'}, first {rows[0]})"
        )
        out.append(f"check: {where}: {message}{count} - {remedy}")
    return out


def _document(found: Adoption, files: Sequence[Path], questions: Sequence[Question]) -> dict[str, Any]:
    return {
        "folder": str(found.folder),
        "files": [str(file) for file in files],
        "rows": found.counts(),
        "understood": [one.to_dict() for one in found.understood],
        "questions": _told(questions),
        "problems": [problem.line() for problem in found.problems],
    }


def _nothing_written(folder: Path) -> dict[str, Any]:
    return {"folder": str(folder), "files": [], "rows": {}, "understood": [], "problems": []}


def _told(questions: Sequence[Question]) -> list[dict[str, Any]]:
    from dataclasses import asdict

    return [asdict(question) for question in questions]
