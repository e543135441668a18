"""Passwords: hashed by Argon2id, checked alike whether or not there is such a person, and made up once."""

from __future__ import annotations

import secrets
import threading
import unicodedata
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from paryield.errors import InputError

SHORTEST, LONGEST = 12, 200
"""Characters of a password. NIST SP 800-63B-4, section 3.1.1.2, asks for 8 or more, 15 where it is the only
factor (from memory); 12 that are no common ones is our choice."""

EASIEST = 3
"""Score of zxcvbn, 0 to 4, that a new password needs: more than 10^8 guesses by its lists and patterns. NIST
SP 800-63B-4, section 3.1.1.2, asks to hold new passwords against lists of common, expected and leaked ones,
words of the context among them (from memory)."""
LOOKED_AT = 72
"""Characters that zxcvbn looks at: its own limit, because its time grows with the length."""
CONTEXT = ("paryield", "golf", "golfer", "golfclub", "handicap", "coach", "password")

ONE_TIME_SECONDS = 14 * 24 * 3600
"""How long a one-time password lets in; our choice."""

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""Letters of one-time passwords: none that looks like another."""

_AT_ONCE = threading.BoundedSemaphore(2)
"""Each hash takes 64 MiB for a moment; so many attempts at once share this much memory, no more."""


@cache
def hasher() -> PasswordHasher:
    """Return Argon2id with the library's defaults: the second recommended option of RFC 9106, section 4."""
    return PasswordHasher()


@cache
def nobody() -> bytes:
    """Return the hash of a password that nobody has, for names that nobody has."""
    return hashed(secrets.token_urlsafe(24))


def one_time() -> str:
    """Return a new random password: 4 groups of 5 letters, 99 bits."""
    return "-".join("".join(secrets.choice(LETTERS) for _ in range(5)) for _ in range(4))


def hashed(password: str) -> bytes:
    """Return what is stored of a password: salt and hash, as Argon2 writes them."""
    with _AT_ONCE:
        return hasher().hash(_plain(password)).encode("ascii")


def matches(stored: bytes | None, password: str) -> bool:
    """Tell whether a password is the one stored; without one stored, take as long and say no."""
    right = stored is not None and len(password) <= LONGEST
    try:
        with _AT_ONCE:
            hasher().verify((stored or nobody()).decode("ascii"), _plain(password[:LONGEST]))
    except (VerificationError, InvalidHashError):
        return False
    return right


def outdated(stored: bytes) -> bool:
    """Tell whether a hash was made with other settings than those of today."""
    return hasher().check_needs_rehash(stored.decode("ascii"))


def check_new(password: str, name: str, old: str = "") -> None:
    """Refuse a new password that is easy to guess.

    Parameters
    ----------
    password : str
        What is to be the password.
    name : str
        Whose it is.
    old : str
        The password before it.

    Raises
    ------
    InputError
        When it is too short or too long, holds few different letters or the name, or is the old one.
    """
    plain = _plain(password)
    wrong = ""
    if not SHORTEST <= len(plain) <= LONGEST:
        wrong = f"it has {len(plain)} characters, and needs {SHORTEST} to {LONGEST}"
    elif len(set(plain)) < 5:
        wrong = "it repeats too few different characters"
    elif any(len(word) > 3 and word in plain.casefold() for word in _plain(name).casefold().split()):
        wrong = "it holds the name"
    elif old and plain == _plain(old):
        wrong = "it is the present one"
    elif guessed(plain, name) < EASIEST:
        wrong = "it is made of words and patterns that are tried first"
    if wrong:
        raise InputError(
            f"this cannot be the new password: {wrong}",
            where="New password",
            remedy="take several words that nobody would guess",
        )


def guessed(password: str, name: str) -> int:
    """Return how hard a password is to guess, 0 to 4, by lists of common ones, words, dates and patterns."""
    from zxcvbn import zxcvbn

    context = [*CONTEXT, name, *name.split()]
    return int(zxcvbn(password[:LOOKED_AT], user_inputs=context)["score"])


def _plain(password: str) -> str:
    """Return a password in one spelling, however the keyboard composes its letters (RFC 8265)."""
    return unicodedata.normalize("NFC", password.encode("utf-8", "replace").decode())
