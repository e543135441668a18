"""Words and letters for men and women, as golfers' sheets and lists of ratings have them."""

from __future__ import annotations

from collections.abc import Iterable

from paryield.adopt.sheets import Cell
from paryield.adopt.words import plain

MAN, WOMAN = "M", "F"
MEN = frozenset(
    (
        *("male", "man", "men", "mens", "men s", "boy", "boys", "gents", "gentlemen", "mannlich", "mann"),
        *("manner", "herr", "herre", "herren", "herrer", "herrar", "junge", "jungen", "homme", "hommes"),
        *("masculin", "messieurs", "garcon", "garcons", "hombre", "hombres", "caballero", "caballeros"),
        *("masculino", "chico", "chicos", "nino", "ninos", "uomo", "uomini", "maschio", "maschi", "ragazzi"),
        *("heren", "jongen", "jongens", "pojke", "pojkar", "gutt", "gutter", "dreng", "drenge", "homem"),
        *("homens", "rapaz", "rapazes", "cavalheiros", "miehet", "pojat"),
    )
)
WOMEN = frozenset(
    (
        *("female", "woman", "women", "womens", "women s", "girl", "girls", "lady", "ladies", "ladys"),
        *("weiblich", "frau", "frauen", "dame", "damen", "madchen", "maedchen", "femme", "femmes", "feminin"),
        *("dames", "fille", "filles", "mujer", "mujeres", "dama", "damas", "senora", "senoras", "femenino"),
        *("chica", "chicas", "nina", "ninas", "donna", "donne", "femmina", "femmine", "signore", "ragazze"),
        *("vrouw", "vrouwen", "meisje", "meisjes", "dam", "damer", "flicka", "flickor", "kvinna", "kvinnor"),
        *("kvinne", "kvinner", "jente", "jenter", "kvinde", "kvinder", "pige", "piger", "feminino"),
        *("mulher", "mulheres", "senhora", "senhoras", "rapariga", "raparigas", "naiset", "tytot"),
    )
)
LETTERS: tuple[tuple[str, str], ...] = (
    *(("m", "f"), ("m", "w"), ("m", "v"), ("m", "k"), ("h", "f"), ("h", "d"), ("h", "m"), ("b", "g")),
    *(("g", "f"), ("c", "d"), ("p", "f"), ("u", "d")),
)
"""Letters for a man and a woman that stand beside one another; ``m`` is either, by what stands beside it."""


def sex_of(word: Cell) -> str | None:
    """Return :data:`MAN` or :data:`WOMAN` for a word that says so, else None."""
    bare = plain(word) if isinstance(word, str) else ""
    return MAN if bare in MEN else WOMAN if bare in WOMEN else None


def sexes_in(cells: Iterable[Cell], heading: Cell = None) -> dict[str, str]:
    """Return what each of some cells, plain, says, where all say whether somebody is a man or a woman.

    Letters alone say it where both stand there, or in the heading: ``M/F``. Empty where it is open.
    """
    told = {plain(cell) for cell in cells if cell is not None}
    if not told:
        return {}
    words = {word: sex for word in told if (sex := sex_of(word)) is not None}
    if len(words) == len(told):
        return words
    beside = set(plain(heading).split()) if isinstance(heading, str) else set()
    for man, woman in LETTERS:
        pair = {man, woman}
        if told == pair or (told <= pair and beside == pair):
            return {one: MAN if one == man else WOMAN for one in told}
    return {}
