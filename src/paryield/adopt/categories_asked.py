"""Which practice a phrase or a heading is: taken where it is plain, else asked once; an answer changes it."""

from __future__ import annotations

import re
from difflib import get_close_matches

from paryield.adopt.found import BOTH_PUTTING, LEAVE, NO_PRACTICE
from paryield.adopt.log import BUCKETS
from paryield.adopt.memory import Ask, Memory, Question
from paryield.adopt.words import NOTHING, PUTTING, is_lesson, is_vague, names_several, plain, practice_of


def category_of(phrase: str, heading: str, memory: Memory, ask: Ask) -> str | None:
    """Return the category of a practice phrase, "none" where it says that there was none, None while open.

    A vague or unknown one is asked about once. A plain one is not, but it is held as a question with its
    category for an answer, so that another one can be given.

    Parameters
    ----------
    phrase : str
    heading : str
        What stands over the column, where that said the phrase; else blank.
    """
    bucket = re.fullmatch(BUCKETS, plain(phrase)) is not None
    guess = "irons" if bucket else LEAVE if is_lesson(phrase) else practice_of(phrase)
    if plain(phrase) in NOTHING:
        return "none"
    sure = guess is not None and not (bucket or is_vague(phrase) or names_several(phrase))
    from paryield.tables.categories import BY_NAME

    told = heading if sure and plain(heading) and practice_of(heading) == guess else phrase
    both = (BOTH_PUTTING,) if plain(told) in PUTTING or (sure and guess in HALVES) else ()
    options = (*BY_NAME, *both, NO_PRACTICE, LEAVE)
    near = get_close_matches(plain(phrase).replace(" ", "_"), BY_NAME, n=1, cutoff=0.7)
    if near and guess is None:
        guess = near[0]
    question = Question(practice_key(told), f"Which practice is {told!r}?", "practice", options, guess)
    if sure:
        answer = memory.answer(question) or memory.hold(question)
    else:
        answer = ask(question) or (None if guess == LEAVE else guess)
    return "none" if answer == NO_PRACTICE else answer


HALVES = ("short_putting", "lag_putting")


def practice_key(phrase: str) -> str:
    """Return the key of the question which practice a phrase is."""
    bare = plain(phrase)
    return f"practice: {'buckets' if re.fullmatch(BUCKETS, bare) else bare}"


def known_category(phrase: str, memory: Memory) -> str | None:
    """Return what a practice phrase is, as far as nobody need be asked; "" where it is nothing."""
    told = memory.answers.get(practice_key(phrase))
    if told is not None or plain(phrase) in NOTHING:
        return "" if told in (None, LEAVE, NO_PRACTICE) else told
    return practice_of(phrase)
