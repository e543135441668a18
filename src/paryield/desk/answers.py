"""Answers to questions about spreadsheets, as their form sends them."""

from __future__ import annotations

from itertools import zip_longest
from typing import Any, Protocol


class Listing(Protocol):
    """What holds several values under one name, as a form does."""

    def getlist(self, key: Any) -> list[Any]:
        """Return the values under a name."""


def given_answers(form: Listing) -> dict[str, str]:
    """Return the answers of a form by the key of their question, blanks left out.

    A question that another one's answer opens is answered only where that answer was given: a form without
    scripts sends it all the same. ``number`` tells questions of the form apart, and ``when`` names the number
    and the answer that open one, ``3=tests``; blank where it is open anyhow.
    """
    names = ("question", "answer", "number", "when")
    sent = [[str(one) for one in form.getlist(name)] for name in names]
    count = min(len(sent[0]), len(sent[1]))
    taken: set[str] = set()
    answers: dict[str, str] = {}
    for key, answer, number, when in zip_longest(*(one[:count] for one in sent), fillvalue=""):
        if answer.strip() and (not when or when in taken):
            answers[key] = answer
            taken.add(f"{number}={answer}")
    return answers
