"""Words for some golfers in a column of names, such as "all juniors": a group's line, and nobody's name."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from paryield.adopt.words import plain

if TYPE_CHECKING:
    import pandas as pd


def _words(text: str) -> frozenset[str]:
    return frozenset(plain(word) for word in text.split())


EVERY = _words(
    "all every everyone everybody whole full entire complete both alle aller allen ganze ganzes gesamte "
    "gesamtes sämtliche komplette tous toutes tout toute todos todas todo toda tutti tutte tutto tutta "
    "allemaal iedereen hele hela alla samtliga samtlige"
)
"""Words for all of something."""
BETWEEN = _words(
    "the of our my de der die das den dem le la les l du des el los las del il lo i gli het van os as unsere"
)
MEMBERS = _words(
    "juniors kids children players golfers girls boys ladies seniors pupils students members squad squads "
    "team teams group groups junioren kinder jugend spieler spielerinnen mädchen jungen senioren schüler "
    "mitglieder gruppe gruppen mannschaft mannschaften joueurs joueuses enfants jeunes garçons filles équipe "
    "équipes groupe groupes juveniles niños niñas jugadores jugadoras chicos chicas equipo equipos grupo "
    "grupos giocatori giocatrici ragazzi ragazze bambini squadra squadre gruppo gruppi spelers kinderen "
    "meisjes jongens jeugd ploeg groep groepen spelare juniorer juniorerne juniorene ungdomar ungdommer "
    "flickor pojkar jenter gutter piger drenge spillere grupp laget holdet jogadores jogadoras juniores "
    "meninos meninas equipa"
)
"""Words for golfers or a group of them, alone too."""
SOME = _words(
    "women men dames damen herren heren hommes femmes damas caballeros signore uomini damer herrer herrar "
    "club academy class classe clase verein akademie schule kurs kader lag hold trupp truppen beginners "
    "adults elite performance development junior senior youth girl boy lady"
)
"""Words for some golfers that may be a name where they stand alone."""
WHICH = re.compile(r"u ?\d{1,2}|\d{1,2}|[a-d]")
"""What tells one group from another: U16, 2, B."""


def names_a_group(whole: str) -> bool:
    """Whether plain words stand for some golfers: each is such a word, and one of them says whom."""
    words = [word for word in whole.split() if word not in BETWEEN]
    every, members, some = (any(word in kind for word in words) for kind in (EVERY, MEMBERS, SOME))
    known = all(word in EVERY | MEMBERS | SOME or WHICH.fullmatch(word) for word in words)
    return bool(words) and known and (members or (every and some))


def groups_on_record(golfers: pd.DataFrame) -> dict[str, str]:
    """Return the group of each golfer of the table who has one, by id."""
    inside = golfers.dropna(subset=["group"])
    pairs = zip(inside["golfer_id"], inside["group"], strict=True)
    return {str(golfer): str(group) for golfer, group in pairs}


def likeliest(whole: str, groups: list[str]) -> str | None:
    """Return the one of some groups that plain words name: ``all juniors`` the group Juniors; or None.

    Words are the same but for an s at their end.
    """
    said = {word.rstrip("s") for word in whole.split() if word not in EVERY | BETWEEN}
    fits = [name for name in groups if {word.rstrip("s") for word in plain(name).split()} == said]
    return fits[0] if len(fits) == 1 else None
