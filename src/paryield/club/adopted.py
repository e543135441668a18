"""What the club was told about a coach's own spreadsheets: answers, and who a name is."""

from __future__ import annotations

from collections.abc import Mapping

import sqlalchemy as sa

from paryield.club.layout import METADATA

ADOPTED = sa.Table(
    "adopted",
    METADATA,
    sa.Column("answer_no", sa.Integer(), primary_key=True, autoincrement=False),
    sa.Column("golfer_id", sa.Text()),
    sa.Column("question", sa.Text(), nullable=False),
    sa.Column("answer", sa.Text(), nullable=False),
)
"""A row with a golfer holds a name as it is written (``question``); erasing the golfer removes it. Where the
name is that of several people, ``golfer_id`` holds their ids with blanks between them."""

ABOUT_PEOPLE = ("person ", "whose: ", "rounds: ")
"""Beginnings of questions that hold names: their answers are kept as names of golfers, or not at all."""

ABOUT_FILES = ("rows of: ", "copy: ")
"""Beginnings of answers that hold names of files, and marks of their rows."""


def read(connection: sa.Connection) -> tuple[dict[str, str], dict[str, str]]:
    """Return answers by question, and golfer ids by name."""
    answers: dict[str, str] = {}
    people: dict[str, str] = {}
    for row in connection.execute(sa.select(ADOPTED).order_by(ADOPTED.c.answer_no)):
        if row.golfer_id is None:
            answers[row.question] = row.answer
        else:
            people[row.question] = row.golfer_id
    return answers, people


def forget(connection: sa.Connection, golfer_id: str) -> None:
    """Remove the names of a golfer, and those of several people of whom the golfer is one.

    What is kept of files goes too: their names may be that of the golfer, and their rows told of him.
    """
    gone = sa.or_(*(ADOPTED.c.question.startswith(one) for one in ABOUT_FILES))
    connection.execute(ADOPTED.delete().where(ADOPTED.c.golfer_id.is_(None), gone))
    for row in connection.execute(sa.select(ADOPTED.c.answer_no, ADOPTED.c.golfer_id)).all():
        if golfer_id in (row.golfer_id or "").split():
            connection.execute(ADOPTED.delete().where(ADOPTED.c.answer_no == row.answer_no))


def write(connection: sa.Connection, answers: Mapping[str, str], people: Mapping[str, str]) -> None:
    """Keep answers and names, within the caller's transaction; a later answer replaces an earlier one."""
    held, known = read(connection)
    held |= {
        question: answer for question, answer in answers.items() if not question.startswith(ABOUT_PEOPLE)
    }
    known |= people
    connection.execute(ADOPTED.delete())
    rows = [{"golfer_id": None, "question": question, "answer": answer} for question, answer in held.items()]
    rows += [{"golfer_id": golfer, "question": name, "answer": ""} for name, golfer in known.items()]
    if rows:
        connection.execute(
            ADOPTED.insert(), [{"answer_no": number, **row} for number, row in enumerate(rows, 1)]
        )
