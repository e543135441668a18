"""What an answer would open: found before it is given, so that all of it can be asked at once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from paryield.adopt.found import LEAVE
from paryield.adopt.memory import Follow, Question
from paryield.adopt.names_together import together

MOST_OPTIONS = 4
"""Answers up to which each is tried; of a longer choice the likeliest is. [judgement]"""
MOST_READINGS = 16
"""Readings of the sheets up to which answers are tried: what is not found is asked later. [judgement]"""
DEEPEST = 2
"""How often an answer may open a question that opens another one, where that is looked for. [judgement]"""

Reread = Callable[[Mapping[str, str]], Sequence[Question]]
"""Returns what is still open where these answers, by the key of their question, hold too."""


@dataclass
class _Readings:
    """Reads the sheets with answers that nobody gave yet, as often as is reasonable."""

    reread: Reread
    left: int = MOST_READINGS

    def opened(self, said: Mapping[str, str], known: frozenset[str]) -> tuple[Question, ...]:
        """Return the questions that answers open beside those known by their keys."""
        if self.left <= 0:
            return ()
        self.left -= 1
        found = (part for one in self.reread(said) for part in one.each())
        return tuple(one for one in found if one.key not in known)


def looked_ahead(questions: Sequence[Question], reread: Reread) -> list[Question]:
    """Return questions with those that an answer to them would open, as far as they can be known beforehand.

    What opens whatever is answered stands behind them, as questions of their own.
    """
    return _with_follows(questions, {}, frozenset(), _Readings(reread), DEEPEST)


def _with_follows(
    questions: Sequence[Question],
    said: Mapping[str, str],
    before: frozenset[str],
    readings: _Readings,
    depth: int,
) -> list[Question]:
    each = [part for one in questions for part in one.each()]
    known = before | {one.key for one in each}
    opened: dict[str, dict[str, tuple[Question, ...]]] = {one.key: {} for one in each}
    for tried in _tried(each):
        for (key, answer), found in _opening(tried, said, known, readings):
            opened[key][answer] = found
    anyhow = {more.key: more for one in each for more in _anyhow(one, opened[one.key])}
    follows: dict[str, list[Follow]] = {}
    for key, by_answer in opened.items():
        for answer, found in by_answer.items():
            held = [one for one in found if one.key not in anyhow]
            if held and depth > 1:
                told = {**said, key: answer}
                held = _with_follows(held, told, known | frozenset(anyhow), readings, depth - 1)
            if held:
                follows.setdefault(key, []).append(Follow(answer, tuple(held)))
    return [*(_given(one, follows) for one in questions), *together([*anyhow.values()])]


def _anyhow(question: Question, opened: Mapping[str, Sequence[Question]]) -> list[Question]:
    """Return what opens whatever is answered: under each answer, or under the one tried of a long choice."""
    answers = _answers(question)
    if len(answers) < 2 and 0 < len(question.options) <= MOST_OPTIONS:
        return []
    under = [{one.key: one for one in opened.get(answer, ())} for answer in answers]
    first = under[0] if under else {}
    return [one for key, one in first.items() if all(key in other for other in under)]


def _given(question: Question, follows: Mapping[str, list[Follow]]) -> Question:
    parts = tuple(_given(part, follows) for part in question.parts)
    return replace(question, parts=parts, follows=tuple(follows.get(question.key, ())))


def _tried(questions: Sequence[Question]) -> list[dict[str, str]]:
    """Return the answers to try, by the key of their question: the first of each, the second, and so on."""
    answers = {one.key: _answers(one) for one in questions}
    most = max(map(len, answers.values()), default=0)
    return [{key: told[at] for key, told in answers.items() if at < len(told)} for at in range(most)]


def _answers(question: Question) -> Sequence[str]:
    """Return the answers to try: each of a short choice, else the likeliest, or the first where none is."""
    if question.options and len(question.options) <= MOST_OPTIONS:
        return [one for one in question.options if one != LEAVE]
    likely = question.proposal or next(iter(question.options), None)
    return [] if likely is None or not (question.options or question.form) else [likely]


def _opening(
    tried: Mapping[str, str], said: Mapping[str, str], known: frozenset[str], readings: _Readings
) -> list[tuple[tuple[str, str], tuple[Question, ...]]]:
    """Return which of several answers open a question, and which; all at once where none does."""
    opened = readings.opened({**said, **tried}, known)
    if not opened:
        return []
    if len(tried) == 1:
        return [(pair, opened) for pair in tried.items()]
    pairs = [*tried.items()]
    halves = dict(pairs[: len(pairs) // 2]), dict(pairs[len(pairs) // 2 :])
    return [found for half in halves for found in _opening(half, said, known, readings)]
