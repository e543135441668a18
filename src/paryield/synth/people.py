"""Invented people and places."""

from __future__ import annotations

import numpy as np

FIRST_TEXT = (
    "Aino Amara Anselm Beata Bram Celeste Chidi Dagny Davor Eamon Elodie Farid Fenna Gaspar Greta Halima "
    "Hector Ines Ivo Jonna Kaito Katja Leandro Linnea Malik Marit Nadia Nils Oluchi Oskar Paloma Pavel "
    "Quentin Rahel Rafi Saoirse Sanjay Tamsin Teodor Ulla Viggo Wanda Xenia Yusuf Zofia"
)

LAST_TEXT = (
    "Ackroyd-Lund Adeyinka Almgren Bellweather Brambeck Castellane Dovrak Eastmere Eklöv Ferreño Garrowby "
    "Halvorsen Ishibara Juvonen Kettlewick Kowalczek Lindqvest Marchetti-Roe Mbanefo Nakashiro Nethercott "
    "Okonjor Oyelade Pellgrove Quillan Ravenholt Rosenquist Sanderling Sørvik Tarrowby Thistlewood "
    "Ueno-Brandt Vandermoor Vasquelle Wexcombe Winterbourne Yarrowdale Zelenkar"
)
FIRST, LAST = FIRST_TEXT.split(), LAST_TEXT.split()

ODD_NAMES = ('Ñandú, Zoë "Chip"', "Áine O'Brannock", "Łukasz Świerczek", "João d'Alvarenga")
"""Names with a comma, quotes, an apostrophe and accents: as real lists have them."""

COURSES = ["Heron Marsh", "Old Quarry", "Lark Hill", "Saltgrass", "Three Alders"]
COACHES = ("R. Tolland", "M. Ferrigo")
GROUPS = ("Tuesday evening", "juniors", "seniors", "weekend")


def make_ids(golfers: int) -> list[str]:
    """Return G01, G02 and so on, all of one width."""
    width = max(2, len(str(golfers)))
    return [f"G{number:0{width}d}" for number in range(1, golfers + 1)]


def make_names(golfers: int, rng: np.random.Generator) -> list[str]:
    """Return invented names, no two the same while pairs last."""
    pairs = rng.permutation(len(FIRST) * len(LAST))
    chosen = [pairs[index % len(pairs)] for index in range(golfers)]
    names = [f"{FIRST[pair % len(FIRST)]} {LAST[pair // len(FIRST)]}" for pair in chosen]
    if golfers >= 12:
        names[3], names[6], names[8], names[11] = ODD_NAMES
    return names
