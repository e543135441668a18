"""Practice in words: "50 chips, ladder 20 min, half an hour bunker" as entries."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field, replace

from paryield.adopt.values import exactly, halfway, plain_number, whole_hours
from paryield.adopt.words import (
    DASHES,
    HOURS,
    IDIOMS,
    MINUTES,
    NOTHING,
    UNKNOWN,
    is_vague,
    plain,
    practice_of,
)

NUMBERS: dict[str, int] = {
    **{"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "ten": 10, "fifteen": 15},
    **{"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "ninety": 90},
    **{"zehn": 10, "zwanzig": 20, "dreissig": 30, "dreißig": 30, "dix": 10, "vingt": 20, "trente": 30},
    **{"diez": 10, "veinte": 20, "treinta": 30, "dieci": 10, "venti": 20, "trenta": 30},
}
"""Numbers that are written as words in front of minutes or hours."""
SAID: tuple[tuple[str, str], ...] = (
    (
        r"an hour and a half|one and a half hours?|anderthalb stunden|eineinhalb stunden"
        r"|anderhalf uur|halvannen time|halvanden time|halvannan timme",
        "90 min",
    ),
    (r"an hour and a quarter|five quarters of an hour", "75 min"),
    (
        r"three[- ]quarters of an hour|3/4 (?:of an )?h(?:our)?|dreiviertelstunde|¾ ?h(?:our)?"
        r"|(?:drie|3) ?kwartier|driekwart uur|tre kvart(?:er)?",
        "45 min",
    ),
    (
        r"a quarter of an hour|quarter of an hour|quarter hour|viertelstunde|un quart d.heure"
        r"|(?:een |ett |et )?(?:kwartier|kvarter)",
        "15 min",
    ),
    (
        r"(?:a )?half[- ](?:an )?hour|1/2 (?:an )?h(?:our)?|½ ?h(?:our)?|(?:eine )?halbe stunde"
        r"|(?:une )?demi[- ]heure|media hora|mezz.ora|(?:een )?half ?uur(?:tje)?|(?:en )?halv ?tim(?:m)?e",
        "30 min",
    ),
    (r"an hour|eine stunde|une heure|una hora|un.ora|een uur(?:tje)?|en tim(?:m)?e", "60 min"),
)
"""What is said for a length, the longest first."""


JOINED = r"[+&]|\s(?:and|und|et|og|och|en|y|e)\s"
"""What joins things that may share what is said behind them; other signs set them apart."""
THEN = r"\s(?:then|followed by|danach|dann|anschlie(?:ß|ss)end|puis|ensuite|poi|luego|daarna|sedan)\s"
PIECES = re.compile(rf"\s*({JOINED}|{THEN}|[;\n•]|,(?!\d)|(?<!\d),|\.(?=\s+\S)|\s[-–]\s)\s*")
COUNTED = (
    r"(balls?|reps?|repetitions?|shots?|swings?|times|b[äa]e?lle[nr]?|balles?|bolas|palline|ballen|boll(?:ar|e)"
    r"|kugeln|schl[äa]e?ge|wiederholungen|wdh|st(?:ü|ue)ck|coups|r[ée]p[ée]titions|golpes|repeticiones|colpi"
    r"|ripetizioni|slag)"
)
"""Words that say that the number before them counts repetitions."""
RANGE = re.compile(rf"(?:driving\s+)?range\s+[-–]\s+(?=\w)(?!\d*\s*{COUNTED}\b)", re.IGNORECASE)
QUALIFIED = re.compile(r"([^\W\d_]+(?:\s[^\W\d_]+)?)\s+[-–]\s+([^\W\d_]+)\b")
STRUCK = ("irons", "driver", "half_swing", "pitching")
"""``Range - driver`` names the place and what is struck there, not two practices."""

TIME = (
    r"(?:(?P<times>\d{1,2})\s*(?:x|×|\*|times|mal)\s*)?"
    rf"(?:(?P<hours>\d+(?:\.\d+)?)\s*{HOURS}(?![^\W\d])\.?"
    rf"(?:\s*(?P<rest>\d{{1,2}})(?!\d|\s*{COUNTED}\b)\s*(?:{MINUTES}(?:\b|(?=\s|$)))?)?"
    r"|(?<![\d:])(?P<clock>[0-4]):(?P<past>[0-5]\d)(?![\d:]|\s*(?:am|pm|uhr)\b)(?:\s*h\b)?"
    rf"|(?P<minutes>\d+(?:\.\d+)?)\s*{MINUTES}(?:\b|(?=\s|$))\.?)"
)

"""A length of time; one such as 1:15 only up to five hours, since later ones are times of the day."""

BUCKETS = (
    r"(?:buckets?|baskets?|eimer[n]?|k(?:o|ö|oe)rbe?|seaux?|paniers?|cubos?|cestos?|cestas?|secchi[oe]?"
    r"|cestin[io]|emmers?|mand(?:en)?|hink(?:ar)?|korg(?:ar)?)"
)
"""Words for what balls are handed out in: how many are in one is not known."""
IN_EACH = re.compile(rf"(\d+)\s*{BUCKETS}\s*(?:of|à|a|zu|mit|with|de|di|of|van)\s*(\d+)\b")
OF_BUCKETS = re.compile(rf"(?:\b(\d+(?:\.\d+)?)\s*)?\b{BUCKETS}\b(?:\s*(?:of|de|di|van|med)\b)?")

HOLES_PLAYED = (9.0, 18.0, 27.0, 36.0)
"""Numbers that count holes where an h stands behind them and the course is named."""
BRACKETED = re.compile(
    rf"\s*\((\d+(?:[.,]\d+)?(?:\s*(?:{MINUTES}|{HOURS}|{COUNTED}))?)\)(?=\W*$)", re.IGNORECASE
)
"""An amount in brackets behind what it is of: ``putting (30)``."""
LENGTHS = r"(?:ft|feet|foot|m|met(?:re|er)s?|yds?|yards?|holes?|loch|trous?)"
"""Words that say that the number before them is a distance or holes played, and counts no repetitions."""


LEFT_OVER = re.compile(rf"(?<![\d.,/-])\d{{2,}}(?![\d.,/-])(?!\s*(?:(?:{LENGTHS}|{COUNTED})\b|[\"'’′]))")
"""Another number in words whose length was read, no distance, count or span: it may be a length too, so that
which of the two holds is not known (``1 h range: irons 40``)."""


UNIT = rf"(?:\s*(?:{MINUTES}|{HOURS}|{COUNTED}))?\b(?!\s*{LENGTHS}\b)\.?"
BEHIND = re.compile(rf"\s*(?P<words>[^\d]+?)\s*\d{{2,3}}{UNIT}(?=\s|$)", re.IGNORECASE)
AHEAD = re.compile(rf"\s*\d{{2,3}}{UNIT}\s+(?P<words>[^\d]+?)(?=\s+\d|\s*$)", re.IGNORECASE)
"""A practice and its number in words that name several, one behind the other: ``putting 30 chipping 30``."""
DOING = re.compile(
    r"\w+ing\b.*|irons?|driver|bunker|range|short game|long game|wedges?|lag|eisen|fers?|hierros?|ferri"
    r"|jarn|jern|course|on course|gym|strength|mobility|putten|chippen|pitchen|course"
)
"""Words for what is done, not for what is struck: a number before them counts time or repetitions."""


LOOSE = re.compile(
    rf"(?<![\w.,/])(?:\d+[.,])?\d{{2,}}(?:\s?[-–]\s?\d+)?(?![\d/°])(?!\s*(?:{LENGTHS}\b|[\"”]))|\b\d+o+\b",
    re.IGNORECASE,
)
"""A number that is no distance and of which nothing was made, or one with the letter o for a zero."""


WITHOUT = re.compile(r"(?:no|without|kein\w*|ohne|pas de|sans|sin|senza|geen|zonder|ingen?|uten|utan)\s")
"""Words before what was not practised."""


SHORT_WORD = re.compile(r"\d{0,2}[^\W\d_a-z][^\W\d_]{0,2}")
"""A word of a coach's own for a practice, with a capital: ``KS``, ``Pu``, ``9L``."""


def spoken(text: str) -> str:
    """Return a text with what it says of time in figures: ``half an hour putting`` is ``30 min putting``."""
    out = halfway(whole_hours(exactly(text)))
    for words, figures in SAID:
        out = re.sub(rf"\b(?:{words})\b|(?<!\w)(?:{words})\b", figures, out, flags=re.IGNORECASE)
    unit = rf"(?=\s*(?:{MINUTES}|{HOURS})\b)"
    out = re.sub(
        rf"\b({'|'.join(NUMBERS)}){unit}",
        lambda match: str(NUMBERS[match[1].casefold()]),
        out,
        flags=re.IGNORECASE,
    )
    joined = rf"(\d+)\s*{HOURS}\.?\s*(?:and|und|et|y|e)\s*(\d+)\s*(?={MINUTES}\b)"
    return re.sub(joined, r"\1 h \2 ", out, flags=re.IGNORECASE)


@dataclass(frozen=True)
class Entry:
    """One thing that a log says was practised.

    Parameters
    ----------
    phrase : str
        What, in the log's words; blank for a day without practice.
    minutes, reps : float or None
    made, tried : int or None
    bare : float or None
        A number without a unit behind the word: it may be minutes or repetitions.
    state : {"done", "none", "unknown", "dash"}
        A dash alone may be none or unknown: whoever wrote it is asked.
    joined : bool
        Whether a sign such as + or a word such as "and" joins it to the entry before it.
    ahead : bool
        Whether its time stands before its words.
    unit : str
        A letter behind the bare number, which may count balls.
    loose : str
        What was written where it holds numbers of which nobody can say what they count; else blank.
    buckets, holes : float or None
        Buckets of balls, whose number is not known; holes played for practice.
    """

    phrase: str
    minutes: float | None = None
    reps: float | None = None
    made: int | None = None
    tried: int | None = None
    bare: float | None = None
    state: str = "done"
    joined: bool = field(default=False, compare=False)
    ahead: bool = field(default=False, compare=False)
    unit: str = field(default="", compare=False)
    loose: str = field(default="", compare=False)
    buckets: float | None = field(default=None, compare=False)
    holes: float | None = field(default=None, compare=False)

    @property
    def counted(self) -> bool:
        """Whether it has a number of its own."""
        numbers = (self.minutes, self.reps, self.bare, self.buckets, self.holes)
        return any(number is not None for number in numbers)


def read_log(text: str) -> list[Entry]:
    """Return the entries of a log, in its order; what has no number is of unknown length."""
    whole = plain(text)
    if text.strip() in DASHES:
        return [Entry("", state="dash")]
    if whole in NOTHING or text.strip() == "0":
        return [Entry("", state="none")]
    if text.strip().casefold() in UNKNOWN:
        return [Entry("", state="unknown")]
    words = IDIOMS.sub(lambda match: match[0].replace("&", "and").replace(" ", "-"), spoken(text).strip())
    if (place := RANGE.match(words)) and practice_of(words[place.end() :]) in STRUCK:
        words = words[place.end() :]
    first, *rest = PIECES.split(_qualified(words))
    entries: list[Entry] = []
    joined = False
    for sign, piece in [("", first), *zip(rest[::2], rest[1::2], strict=True)]:
        joined = joined or re.fullmatch(JOINED, sign) is not None
        if any(map(str.isalnum, piece)) and not _said_to(entries, sign.strip(), piece):
            first_part, *others = _slashed(piece)
            entries += _entries(first_part, joined)
            entries += [one for part in others for one in _entries(part, True)]
            joined = False
    return _of_all_behind(_timed(entries))


def _said_to(entries: list[Entry], sign: str, piece: str) -> bool:
    """Whether a piece adds nothing to what is before it: ``no balls``, ``1 h putting - ladder drill``."""
    found = _entry(piece)
    if not entries or found.counted:
        return False
    before, kind = entries[-1], practice_of(found.phrase)
    same = before.counted and kind is not None and kind == practice_of(before.phrase)
    return WITHOUT.match(plain(piece)) is not None or (sign in DASHES and same)


def _entries(part: str, joined: bool) -> list[Entry]:
    """Return the entries of a part: one, or one a practice where each has its number and no sign between."""
    for pattern in (BEHIND, AHEAD):
        found = [*pattern.finditer(part)]
        whole = "".join(match[0] for match in found).strip() == part.strip()
        if len(found) > 1 and whole and all(practice_of(match["words"]) for match in found):
            first, *rest = (_entry(match[0]) for match in found)
            return [replace(first, joined=joined), *rest]
    return [replace(_entry(part), joined=joined)]


def _qualified(words: str) -> str:
    """Return words in which what stands behind a dash says which of a vague practice: ``Putting - short``."""
    match = QUALIFIED.match(words)
    if match is None or not is_vague(match[1]) or re.fullmatch(COUNTED, match[2], re.IGNORECASE):
        return words
    whole, kind = practice_of(match[1]), practice_of(f"{match[1]} {match[2]}")
    alone = practice_of(match[2])
    one = whole and kind and whole.rpartition("_")[2] == kind.rpartition("_")[2] and alone in (None, kind)
    return f"{match[1]} {match[2]}{words[match.end() :]}" if one else words


def _slashed(piece: str) -> list[str]:
    """Return the parts of ``chipping/putting 40 min`` or ``30 chips / 20 putts``, where each names a
    practice; else the whole."""
    parts = re.split(r"(?<=\w)\s*/\s*(?=[^\W\d])|(?<=\S)\s+/\s+(?=\S)", piece)
    return parts if all(_names_one(part) for part in parts) else [piece]


def _names_one(part: str) -> bool:
    """Whether a part names a practice, in a word for it or a short one of the coach's own: ``KS 60``."""
    phrase = _entry(part).phrase
    own = re.search(rf"(?<!\w){re.escape(phrase)}(?!\w)", part, re.IGNORECASE) if phrase else None
    return practice_of(phrase) is not None or (own is not None and SHORT_WORD.fullmatch(own[0]) is not None)


def _timed(entries: list[Entry]) -> list[Entry]:
    """Give a time without a word of its own to what stands before it: "short putts 100, 20 min".

    Behind several things without a number it is a time for all of them; at the start it is one for the next.
    """
    out: list[Entry] = []
    for one in entries:
        last = out[-1] if out else None
        if len(out) == 1 and last is not None and not last.phrase and last.minutes and not one.counted:
            out = [replace(one, minutes=last.minutes, state="done")]
        elif last is not None and one.reps and last.phrase and not last.counted and _counts_alone(one.phrase):
            out[-1] = replace(last, reps=one.reps, state="done")
        elif last is None or one.phrase or one.minutes is None or last.minutes is not None or not last.phrase:
            out.append(one)
        elif last.reps or last.bare:
            out[-1] = replace(last, minutes=one.minutes, reps=last.reps or last.bare, bare=None)
        else:
            place = len(out) - 1
            while place > 0 and not out[place - 1].counted:
                out[place], place = replace(out[place], joined=True), place - 1
            out[-1] = replace(out[-1], minutes=one.minutes, state="done")
    return out


def _counts_alone(phrase: str) -> bool:
    """Whether words say only what is counted: the balls of ``range - 75 balls``."""
    return re.fullmatch(COUNTED, phrase) is not None


def _of_all_behind(entries: list[Entry]) -> list[Entry]:
    """Give a time in front of joined things to all of them: "1.5 h range and putts"."""
    out = list(entries)
    for place, one in enumerate(entries):
        last = place
        while last + 1 < len(out) and out[last + 1].joined and not out[last + 1].counted:
            last += 1
        if one.ahead and last > place:
            out[place] = replace(one, minutes=None, state="unknown")
            out[last] = replace(out[last], minutes=one.minutes, state="done")
    return out


def counts_buckets(cell: object) -> bool:
    """Whether a cell counts buckets of balls, whose number is not known: ``2 Eimer``."""
    text = plain_number(cell) if isinstance(cell, str) else ""
    match = OF_BUCKETS.search(text)
    return match is not None and match[1] is not None and IN_EACH.search(text) is None


def _entry(piece: str) -> Entry:
    """Return what a piece says; numbers of which nobody can say what they count are kept as written."""
    found = _told(BRACKETED.sub(r" \1", piece))
    if found.state == "unknown" and not found.counted and LOOSE.search(found.phrase):
        return replace(found, loose=" ".join(piece.split()))
    return found


def _told(piece: str) -> Entry:
    text = IN_EACH.sub(r"\1 x \2", plain_number(unicodedata.normalize("NFC", piece))).strip(" .:")
    if counts_buckets(text):
        bare = " ".join(OF_BUCKETS.sub(" ", text).split())
        buckets = OF_BUCKETS.search(text)
        text = bare if any(map(str.isalpha, bare)) else text.lstrip("0123456789. ")
        if buckets is not None and not re.search(r"\d", text):
            return Entry(text, state="unknown", buckets=float(buckets[1]))
    if match := re.search(r"(\d+)\s*(?:/|of|out of|von|sur)\s*(\d+)", text):
        made, tried = int(match[1]), int(match[2])
        phrase = _rest(text, match)
        return (
            Entry(phrase, made=made, tried=tried, reps=float(tried))
            if made <= tried
            else Entry(phrase, state="unknown")
        )
    if match := re.search(r"(?<![a-z])" + TIME, text):
        hours, rest, minutes = match["hours"], match["rest"], match["minutes"]
        if match["clock"]:
            hours, rest = match["clock"], match["past"]
        spent = 60.0 * float(hours) + float(rest or 0) if hours else float(minutes)
        phrase = _rest(text, match)
        if hours and not rest and float(hours) in HOLES_PLAYED and practice_of(phrase) == "on_course":
            return Entry(phrase, state="unknown", holes=float(hours))
        if LEFT_OVER.search(phrase):
            return Entry(phrase, state="unknown")
        return Entry(
            phrase, minutes=spent * int(match["times"] or 1), ahead=not match.start() and bool(phrase)
        )
    if match := re.search(r"(\d+)\s*(?:x|×|\*)\s*(\d+)", text):
        number, phrase = float(match[1]) * float(match[2]), _rest(text, match)
        behind = match.end() == len(text) and bool(phrase) and not IN_EACH.search(plain_number(piece))
        return Entry(phrase, bare=number) if behind else Entry(phrase, reps=number)
    if match := re.search(rf"(\d+)\s*{COUNTED}\b", text):
        phrase = _rest(text, match)
        return (
            Entry(phrase, state="unknown")
            if LEFT_OVER.search(phrase)
            else Entry(phrase or match[2], reps=float(match[1]))
        )
    if match := re.search(r"(?<![\d.,])(\d+)\s?(b)(?![^\W\d])", text):
        return Entry(_rest(text, match), bare=float(match[1]), unit=match[2])
    if match := re.match(rf"(?:ca\.?\s*|about\s*|~)?(\d+)\s+(?!{LENGTHS}\b)(?=[^\d\s])", text):
        phrase = _rest(text, match)
        done = DOING.fullmatch(plain(phrase)) and not LEFT_OVER.search(phrase)
        return Entry(phrase, bare=float(match[1])) if done else Entry(phrase, reps=float(match[1]))
    if match := re.search(r"(?:^|[\s=]|(?<!\d):)(\d+(?:\.\d+)?)$", text):
        phrase = _rest(text, match)
        return (
            Entry(phrase, state="unknown")
            if LEFT_OVER.search(phrase)
            else Entry(phrase, bare=float(match[1]))
        )
    return Entry(text, state="unknown")


def _rest(text: str, match: re.Match[str]) -> str:
    return " ".join(f"{text[: match.start()]} {text[match.end() :]}".replace(":", " ").strip(" .-()").split())
