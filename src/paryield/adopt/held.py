"""Answers that hold for a folder of spreadsheets, given or found out unasked, and other ones for them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from paryield.adopt.adoption import adopt_folder
from paryield.adopt.everybody import left_out
from paryield.adopt.memory import Memory, Question
from paryield.adopt.words import plain
from paryield.errors import InputError

OF_NAME = re.compile(r"person (?:(?:group )?(.+): (?:who|which|how many)|(.+) = .+)")
"""Key of a question about a name."""


def held_questions(folder: Path, memory: Memory, **given: Any) -> list[Question]:
    """Return every question about a folder's spreadsheets with the answer that holds as its proposal.

    Those still open come last, with the likeliest answer. What is asked of names is settled by the answers
    alone, not by what a name was taken as before.

    Parameters
    ----------
    folder : Path
    memory : Memory
        It is not changed.
    **given
        As for :func:`adopt_folder`.
    """
    asked = Memory(dict(memory.answers), {})
    found = adopt_folder(folder, asked, **given)
    return [*asked.held.values(), *(part for one in found.questions for part in one.each())]


def answered_anew(memory: Memory, held: list[Question], said: str) -> Question:
    """Take another answer, ``number=answer``, and forget as whom a name was taken that it is about.

    Returns
    -------
    Question
        The one that was answered.

    Raises
    ------
    InputError
        When there is no such number, or the answer is none of those that can be given.
    """
    number, sign, answer = (part.strip() for part in said.partition("="))
    if not (sign and number.isdigit() and 1 <= int(number) <= len(held)):
        raise InputError(
            f"{said[:60]!r} names no answer",
            where="--change",
            remedy=f"write NUMBER=ANSWER with a number from 1 to {len(held)}, as --answers lists them",
        )
    question = held[int(number) - 1]
    if answer.isdigit() and answer not in question.options and 1 <= int(answer) <= len(question.options):
        answer = question.options[int(answer) - 1]
    if not question.takes(answer):
        choice = f"one of: {', '.join(question.options)}" if question.options else "it as the question says"
        raise InputError(
            f"{answer[:60]!r} is no answer to {question.text!r}", where="--change", remedy=f"write {choice}"
        )
    memory.answers[question.key] = answer
    if (match := OF_NAME.fullmatch(question.key)) is not None:
        about = match[1] or match[2]
        memory.people = {
            name: golfer
            for name, golfer in memory.people.items()
            if plain(name) != about and left_out(name) is None
        }
    return question


def held_lines(held: list[Question]) -> list[str]:
    """Return the answers that hold, numbered, each under what it is about."""
    lines, where = list[str](), None
    for number, one in enumerate(held, 1):
        if one.where != where:
            where = one.where
            lines.append(f"{where}:")
        rest = [option for option in one.options if option != one.proposal]
        others = f" (or: {', '.join(rest)})" if rest else ""
        answer = "open" if one.proposal is None else one.proposal
        lines.append(f"  {number} {one.label or one.text} {answer}{others}")
    return lines
