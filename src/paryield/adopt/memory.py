"""What was answered before, in a small file, so that next week's spreadsheets ask nothing."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from paryield import private
from paryield.errors import InputError

FILE_NAME = "adopted.json"
FORMAT = 1


@dataclass(frozen=True)
class Question:
    """Something that the spreadsheets leave open.

    Parameters
    ----------
    key : str
        What it is about, the same next week.
    text : str
        The question, in one sentence.
    where : str
        File, sheet, column.
    options : tuple of str
        Answers to choose from; none where any text will do.
    proposal : str or None
        The likeliest answer; None where nothing speaks for one.
    form : str
        Pattern that the whole of an answer must fit where it is free text; blank where any will do.
    label : str
        How it is told in a list where it is a part of another; blank where it stands alone.
    parts : tuple of Question
        Questions of one kind that are put as one; an answer to it holds for each of them.
    follows : tuple of Follow
        What an answer to it opens, as far as that is known beforehand.
    """

    key: str
    text: str
    where: str
    options: tuple[str, ...] = ()
    proposal: str | None = None
    form: str = ""
    label: str = ""
    parts: tuple[Question, ...] = ()
    follows: tuple[Follow, ...] = ()

    def opened_by(self, answer: str) -> tuple[Question, ...]:
        """Return the questions that an answer opens, as far as that is known beforehand."""
        return tuple(question for one in self.follows if one.answer == answer for question in one.questions)

    def each(self) -> tuple[Question, ...]:
        """Return the questions that are answered one by one: the parts, or the question itself."""
        return self.parts or (self,)

    def takes(self, answer: str) -> bool:
        """Whether an answer is one of the options, or of the form that is asked for."""
        if self.options:
            return answer in self.options
        return not self.form or re.fullmatch(self.form, answer.strip()) is not None


@dataclass(frozen=True)
class Follow:
    """Questions that are open only where another one has a certain answer."""

    answer: str
    questions: tuple[Question, ...]


WORDED_BEFORE = {"repetitions": "balls"}
"""Answers of before 2 December 2026 to how they are worded now."""

Ask = Callable[[Question], str | None]
"""Returns the answer that was given before, else notes the question and returns None."""


@dataclass
class Memory:
    """Answers by the key of their question, and the ids of people by their names.

    Parameters
    ----------
    answers : dict of str to str
    people : dict of str to str
        Name as it is written to golfer id.
    held : dict of str to Question
        Questions whose answer was looked up and is known, or was found out without asking, by key, with that
        answer as their proposal.
    copies : dict of str to str
        Files that are copies of ones brought in before under another name, with that name: answers about
        these hold for them.
    """

    answers: dict[str, str] = field(default_factory=dict)
    people: dict[str, str] = field(default_factory=dict)
    held: dict[str, Question] = field(default_factory=dict, init=False, repr=False, compare=False)
    copies: dict[str, str] = field(default_factory=dict, init=False, repr=False, compare=False)

    def answer(self, question: Question) -> str | None:
        """Return the answer given before; one that is none of the options, or of no use, does not count."""
        found = self.answers.get(question.key)
        for file, name in self.copies.items() if found is None else ():
            found = self.answers.get(question.key.replace(file, name)) if found is None else found
        if found in WORDED_BEFORE and found not in question.options:
            found = WORDED_BEFORE[found]
        if found is None or not question.takes(found):
            return None
        self.held[question.key] = replace(question, proposal=found)
        return found

    def hold(self, question: Question) -> str | None:
        """Hold what was found out without asking as an answer that can be changed, and return it."""
        self.held.setdefault(question.key, question)
        return question.proposal

    def take(self, answers: Iterable[tuple[Question, str]]) -> None:
        """Remember answers; one to a question of several parts holds for each of them."""
        for question, answer in answers:
            for part in question.each():
                self.answers[part.key] = answer

    def write(self, path: Path) -> None:
        """Write the file.

        Raises
        ------
        InputError
            When it cannot be written.
        """
        text = json.dumps(
            {"format": FORMAT, "answers": self.answers, "people": self.people},
            indent=1,
            ensure_ascii=False,
            sort_keys=True,
        )
        try:
            private.make_folder(path.parent)
            private.write(path, text + "\n")
        except OSError as error:
            message = f"the answers cannot be kept ({error.strerror or error})"
            raise InputError(
                message, where=str(path), remedy="give --map a path that can be written"
            ) from None


def read_memory(path: Path) -> Memory:
    """Read the file; an absent one remembers nothing.

    Raises
    ------
    InputError
        When it is not such a file.
    """
    if not path.exists():
        return Memory()
    try:
        found = json.loads(path.read_text(encoding="utf-8"))
        if found["format"] != FORMAT:
            raise ValueError(f"format {found['format']!r}")
        parts = [found["answers"], found["people"]]
        if not all(
            isinstance(key, str) and isinstance(value, str) for part in parts for key, value in part.items()
        ):
            raise ValueError("answers that are no text")
        return Memory(dict(parts[0]), dict(parts[1]))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        message = f"this is not a file of answers ({type(error).__name__}: {error})"
        raise InputError(message, where=str(path), remedy="take it away to be asked again") from None
