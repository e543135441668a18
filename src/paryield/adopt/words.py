"""What column headers, practice and days of the week are called, in several languages.

Only plain words of the trade and of the languages: no file format of any program is known here. A header is
compared without accents, signs and capitals.
"""

from __future__ import annotations

import re
import tomllib
import unicodedata
from importlib import resources

HEADERS: dict[str, str] = tomllib.loads(
    resources.files("paryield.adopt").joinpath("data/headers.toml").read_text(encoding="utf-8")
)
"""What a column may be called, by what it holds; see :mod:`paryield.adopt.layout`."""

PRACTICE: tuple[tuple[str, str], ...] = (
    (
        r"putting ladder|ladder|leitern?|short putt|kurze[nr]? putt|petits putt|korte? putt|korta putt"
        r"|putts? (?:cort[oai]s?|courts?|curt[oa]s?|brevi)"
        r"|putts? (?:from )?[1-9]\b|gate",
        "short_putting",
    ),
    (
        r"lag|long putt|lange[nr]? putt|longs putt|pace putt|speed putt|distance putt|langa putt"
        r"|putt(?:s|en|ing|ar)? (?:lange?|lung[oh]i?|larg[oa]s?|long[oa]?s?|compridos?)",
        "lag_putting",
    ),
    (r"pitch|wedge", "pitching"),
    (r"bunker|sand|splash|sable|sabbia|arena", "bunker"),
    (
        r"chip|bump|landing|around the green|short game|kurzes spiel|petit jeu|juego corto|gioco corto"
        r"|jogo curto|kort spel|narspel|naerspill|naerspil",
        "chipping",
    ),
    (
        r"half swing|halbe[rn]? schw(?:ung|unge|ungen|uenge)?|demi swing|medio swing|mezzo swing|9 (?:to )?3",
        "half_swing",
    ),
    (r"driver|driv(?=ing)|drive|tee shot|off the tee|wood|holz|holzer|bois|maderas|legni", "driver"),
    (
        r"iron|eisen|fer|hierro|ferri(?!s)|ijzer|jarn|jern(?:spill?)?|mid iron|range|approach|full swing"
        r"|long game|langes spiel|grand jeu|long jeu|juego largo|gioco lungo|jogo comprido|jogo longo"
        r"|lange spel|langt spel|langspel|langspill|langspil"
        r"|balls|balle|balles|bolas|palline|ballen|buckets|eimer",
        "irons",
    ),
    (
        r"gym|strength|weight|kraft|fitness|muscu(?:lation)?|fuerza|forza|kracht|styrka|styrke|s&c|lift"
        r"|gimnasio|palestra|fisico|preparacion fisica|physique|condition physique|fysisk|fysik|fys|ginasio",
        "strength",
    ),
    (
        r"mobility|mob|estiramientos?|estirar|etirements?|stretch|yoga|beweglich(?:keit)?|dehn|mobilit(?:e|at|aet|a)|movilidad|rorlighet"
        r"|flexib(?:ility|ilitat|ilite|el)",
        "mobility",
    ),
    (r"on ?course|course|holes|platz|parcours|campo|played|runde|runden|banan?", "on_course"),
    (r"putt(?:er)?|putning(?:er)?|put(?= \d)", "short_putting"),
)
"""Patterns of what is practised, the first that fits as a word, with an ending or in a compound."""
ENDINGS = r"(?:[pt]?(?:ing|ings|en|t|ning|ningar|ar)|e?s|ung|ungen)"
COMPOUNDS = (
    r"(?:s?(?:training|trainings|trening|treningen|shots?|play|work|game|drills?|practice|session|putts?|wedges?"
    r"|schlage?|schlaege?|spiel|spielen|ubung|ubungen|uebung|uebungen|balle?|baelle|arbeit|einheit|einheiten"
    r"|studio|runde|runden|stunde|swings?|schwung|schwunge|slag|spel|trap|lage|lagen|bunker))"
)
"""What may follow a word for practice in one word: a plural, a gerund, what it is a part of."""

VAGUE = (
    "putt",
    "putts",
    "putting",
    "putning",
    "short game",
    "juego corto",
    "petit jeu",
    "gioco corto",
    "approach",
    "range",
    "balls",
    "long game",
    "full swing",
    "practice",
    "wedges",
    "wedge",
    "balle",
    "buckets",
    "eimer",
    *("balles", "bolas", "palline", "ballen", "bollar", "baller", "bolde"),
)
"""Words that may mean more than one category: the likeliest is proposed, and asked about once."""

WEDGES_OF = re.compile(r"wedges? \d+(?: \d+)?(?: ?(?:m|y|yds?|yards?|met(?:re|er)s?|metros?|metri))?")
"""Wedges to a distance may be pitches or half swings."""

PLACES = frozenset((*VAGUE, "driving", "sand", "sandwedge", "pitch", "bump", "landing")) - {
    *("putt", "putts", "putting", "putning"),
}
"""Words that stand beside another one for the place, the club or the way of the same practice."""

PUTTING = ("putt", "putts", "putting", "putning")
"""Words for putting of any length."""

LESSONS = frozenset(
    (
        *(
            "lesson",
            "lessons",
            "coaching",
            "unterricht",
            "trainerstunde",
            "lektion",
            "lektionen",
            "cours",
            "lecon",
        ),
        *("lecon", "lecons", "clase", "clases", "leccion", "lezione", "lezioni", "lessen", "lektioner"),
    )
)
"""Words for a lesson, which is no practice unless somebody says so."""
NOTHING = (
    "none",
    "nothing",
    "no practice",
    "rest",
    "nix",
    "nichts",
    "kein",
    "keine",
    "rien",
    "nada",
    "niente",
    "niets",
    "inget",
    "off",
    *("kein training", "trainingsfrei", "osterferien", "pas d entrainement", "sin entrenamiento"),
    *("nessun allenamento", "geen training", "ingen traning", "ingen trening"),
    *(
        "rest day",
        "day off",
        "ruhetag",
        "pause",
        "frei",
        "descanso",
        "repos",
        "riposo",
        "rust",
        "vila",
        "hvile",
    ),
    *("hvile", "exams", "exam", "prufung", "prufungen", "klausur", "klausuren", "examens", "examenes"),
    *("esami", "tentamens", "tentamen", "tenta", "eksamen", "lesion", "lesionado", "lesionada"),
    *(
        "infortunato",
        "infortunata",
        "geblesseerd",
        "skadad",
        "skadet",
        "viaje",
        "de viaje",
        "voyage",
        "reise",
    ),
    *("de viaje", "voyage", "reise", "viaggio", "op reis", "bortrest", "bortreist", "bortrejst"),
    *("travel", "travelling", "verreist"),
    *(
        "sick",
        "ill",
        "injured",
        "away",
        "holiday",
        "krank",
        "verletzt",
        "urlaub",
        "ferien",
        "malade",
        "blesse",
    ),
    *(
        "vacances",
        "enfermo",
        "enferma",
        "vacaciones",
        "malato",
        "malata",
        "vacanza",
        "ziek",
        "vakantie",
        "sjuk",
    ),
)
"""What stands for a week or day without practice."""
INJURIES = frozenset(
    (
        *("injury", "injured", "verletzung", "verletzt", "blessure", "blesse", "lesion", "lesionado"),
        *("lesionada", "infortunio", "infortunato", "geblesseerd", "skada", "skadad", "skade", "skadet"),
    )
)
"""Words at the start of a note on an injury, which may name what could not be practised."""
DASHES = ("-", "–", "—")
"""A cell of nothing else may be a day without practice, or one that nobody noted."""
UNKNOWN = ("?", "unknown", "unbekannt", "inconnu", "n/a", "na", "k.a.")

SUMS = (
    *("total", "totals", "sum", "average", "avg", "mean", "best", "worst", "count", "summe", "gesamt"),
    *("schnitt", "durchschnitt", "mittelwert", "moyenne", "somme", "media", "promedio", "totale"),
    *(
        "gemiddeld",
        "gemiddelde",
        "snitt",
        "o",
        "rounds",
        "runden",
        "rondas",
        "vueltas",
        "tours",
        "giri",
        "rondes",
        "rundor",
    ),
    *("runder", "median", "medel", "medelvarde", "middel", "gjennomsnitt", "gennemsnit"),
)
"""What stands first in a row that sums up others, as :func:`plain` has it: ``o`` is the sign of a mean."""

TOTALS = frozenset(
    ("total", "totals", "totale", "totaux", "sum", "summe", "somme", "suma", "gesamt", "totaal")
)
"""Words of sums, wherever they stand in a heading: ``Putts total /40``."""

REST = re.compile(
    r"^(?:the |der |die |das |le |el |il |then )?"
    r"(?:rest|remainder|remaining time|restliche zeit|reste|resto)\b"
    r"(?: of (?:the |it)?(?:time|hour|session|evening|lesson)?)?(?: was| went)?(?: in| for| auf)?[ :,]*(.*)$"
)
"""The rest of a length of time, and what it was for."""
IDIOMS = re.compile(
    r"\b(?:(?:bump|chip|pitch|hit|stop) (?:and|&) (?:run|roll|drop|pop|go)|up (?:and|&) downs?)\b",
    re.IGNORECASE,
)
"""One thing that is said with an "and"."""

MINUTES = r"(?:min(?:s|utes?|uten|uti|utos|uter)?|['’′])"
HOURS = r"(?:h(?:rs?|ours?)?|std|stunden?|heures?|horas?|ore|ora|uur|uren|tim(?:mar)?)"

WEEKDAYS: dict[str, int] = {
    name: number
    for number, names in enumerate(
        (
            "mon monday mo montag lun lundi lunes lunedi maandag ma man mandag mandag",
            "tue tues tuesday di dienstag mar mardi martes martedi dinsdag tis tisdag tir tirsdag",
            "wed wednesday mi mittwoch mer mercredi mie miercoles mercoledi woensdag wo ons onsdag",
            "thu thur thurs thursday do donnerstag jeu jeudi jue jueves gio giovedi donderdag tor torsdag",
            "fri friday fr freitag ven vendredi vie viernes venerdi vrijdag vr fre fredag",
            "sat saturday sa samstag sam samedi sab sabado sabato zaterdag za lor lordag",
            "sun sunday so sonntag dim dimanche dom domingo domenica zondag zo son sondag",
        )
    )
    for name in names.split()
}
"""Monday is 0."""

MONTHS: dict[str, int] = {
    name: number
    for number, names in enumerate(
        (
            "jan january januar janvier janv enero ene gennaio gen januari tammikuu",
            "feb february februar fevrier fev fevr febrero febbraio februari helmikuu",
            "mar march marz maerz mrz mars marzo maart mrt maaliskuu",
            "apr april avril avr abril abr aprile huhtikuu",
            "may mai mayo maggio mag mei maj toukokuu",
            "jun june juni juin junio giugno giu kesakuu",
            "jul july juli juillet juil julio luglio lug heinakuu",
            "aug august aout agosto ago augustus augusti elokuu",
            "sep sept september septembre septiembre settembre set syyskuu",
            "oct october oktober okt octobre octubre ottobre ott lokakuu",
            "nov november novembre noviembre marraskuu",
            "dec december dezember dez decembre diciembre dic dicembre desember joulukuu",
        ),
        1,
    )
    for name in names.split()
}


UNDIVIDED = str.maketrans(
    {"ß": "ss", "ø": "o", "Ø": "O", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ł": "l", "Ł": "L"}
    | {"đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "ı": "i"}
)
"""Letters that Unicode does not take apart into a plain one and its sign."""


def plain(text: object) -> str:
    """Return text without accents, signs and capitals, words apart by one blank."""
    bare = unicodedata.normalize("NFKD", str(text).translate(UNDIVIDED))
    bare = "".join(letter for letter in bare if not unicodedata.combining(letter)).casefold()
    return " ".join(re.sub(r"[^\w&]+|_", " ", bare).split())


def begins_sum(cell: object) -> bool:
    """Whether a heading, or the first cell of a row, begins with a word or the sign of a sum or a mean."""
    words = plain(cell).split() if isinstance(cell, str) else []
    return isinstance(cell, str) and (cell.strip() == "∅" or (bool(words) and words[0] in SUMS))


MEANINGS: dict[str, str] = {
    plain(word): meaning for meaning, words in HEADERS.items() for word in words.split(",")
}
"""Header without accents and signs to what the column holds."""


ADJUSTED = re.compile(
    r"\b(?:adj\w*|ags|bereinigt\w*|gbe|gewertet\w*|ajust\w+|rettificat\w+|gecorr\w*|juster\w+|just|corr\w*"
    r"|correg\w+|corrig\w+|korr\w*)\b"
)
"""Words for a score adjusted for its worst holes, which is the one that counts (Rules of Handicapping 3)."""


DAY_BEHIND = re.compile(r"\s+(?:\d{1,2}[./-]\d{1,2}\.?(?:[./-]?\d{2,4})?|20\d\d)\s*$")
"""A day or a year behind a heading, as of which its numbers are."""


def meaning_of(header: object) -> str | None:
    """Return what a column with this header holds, or None; a unit in brackets is left aside if need be."""
    text = str(header)
    for one in (text, re.sub(r"[(\[].*?[)\]]", " ", text), re.sub(r"\s*[/:].*$", "", text)):
        if (found := MEANINGS.get(plain(one))) is not None:
            return found
    dated = DAY_BEHIND.sub("", str(header))
    if dated != str(header) and (found := MEANINGS.get(plain(dated))) in ("start_index", "goal_index"):
        return found
    rest = ADJUSTED.sub(" ", plain(header))
    if rest != plain(header) and MEANINGS.get(" ".join(rest.split())) == "adjusted_gross_score":
        return "adjusted_gross_score"
    return None


def is_adjusted(header: object) -> bool:
    """Whether a header says that its scores are adjusted, where the gross score may stand beside them."""
    return ADJUSTED.search(plain(header)) is not None


def practice_of(phrase: str) -> str | None:
    """Return the practice category that a phrase speaks of, or None."""
    bare = plain(phrase)
    for pattern, category in PRACTICE:
        if re.search(rf"\b(?:{pattern})(?:{ENDINGS}|{COMPOUNDS})?\b", bare):
            return category
    return None


def names_several(phrase: str) -> bool:
    """Whether a phrase joins two kinds of practice: ``Pitch & chip``, ``putting/bunker``."""
    if _runs_together(plain(phrase).split()):
        return True
    parts = re.split(r"[&+/]|\b(?:and|und|et|y|e|en|och|og)\b", phrase.casefold())
    named = [practice_of(part) for part in parts if plain(part)]
    return len(named) > 1 and None not in named and len(set(named)) > 1


def _runs_together(words: list[str]) -> bool:
    """Whether each of several words names a practice of its own: ``bunker chipping``; not ``lag putting``."""
    kinds = [practice_of(word) for word in words]
    if len(kinds) < 2 or None in kinds or not PLACES.isdisjoint(words):
        return False
    named = {kind.rpartition("_")[2] if kind.endswith("putting") else kind for kind in kinds if kind}
    return len(named) > 1


def is_vague(phrase: str) -> bool:
    """Whether a phrase may mean more than one category, or is a lesson, which says not what was done."""
    bare = plain(phrase)
    return bare in VAGUE or WEDGES_OF.fullmatch(bare) is not None or is_lesson(phrase)


def is_lesson(phrase: str) -> bool:
    """Whether a phrase speaks of a lesson."""
    return not LESSONS.isdisjoint(plain(phrase).split())
