"""Invented people and places."""

from __future__ import annotations

import numpy as np

WOMEN_TEXT = (
    "Aino Amara Beata Celeste Dagny Elodie Fenna Greta Halima Ines Jonna Katja Linnea Marit Nadia "
    "Oluchi Paloma Rahel Saoirse Tamsin Ulla Wanda Xenia Zofia"
)
MEN_TEXT = (
    "Anselm Bram Chidi Davor Eamon Farid Gaspar Hector Ivo Kaito Leandro Malik Nils Oskar Pavel "
    "Quentin Rafi Sanjay Teodor Viggo Yusuf Emeric Joaquim Lorcan"
)
LAST_TEXT = (
    "Ackroyd-Lund Adeyinka Almgren Bellweather Brambeck Castellane Dovrak Eastmere Eklöv Ferreño Garrowby "
    "Halvorsen Ishibara Juvonen Kettlewick Kowalczek Lindqvest Marchetti-Roe Mbanefo Nakashiro Nethercott "
    "Okonjor Oyelade Pellgrove Quillan Ravenholt Rosenquist Sanderling Sørvik Tarrowby Thistlewood "
    "Ueno-Brandt Vandermoor Vasquelle Wexcombe Winterbourne Yarrowdale Zelenkar"
)
FIRST = {"woman": WOMEN_TEXT.split(), "man": MEN_TEXT.split()}
LAST = LAST_TEXT.split()

ODD_NAMES = {
    3: ("woman", 'Ñandú, Zoë "Chip"'),
    6: ("woman", "Áine O'Brannock"),
    8: ("man", "Łukasz Świerczek"),
    11: ("man", "João d'Alvarenga"),
}
"""Names with a comma, quotes, an apostrophe and accents, as real lists have them, by position."""

COURSES = ["Heron Marsh", "Old Quarry", "Lark Hill", "Saltgrass", "Three Alders"]
COACHES = ("R. Tolland", "M. Ferrigo")

JUNIOR_FROM, SENIOR_TO = 2008, 1966
"""Years of birth that put a golfer in the juniors or seniors."""


def make_ids(golfers: int) -> list[str]:
    """Return G01, G02 and so on, all of one width."""
    width = max(2, len(str(golfers)))
    return [f"G{number:0{width}d}" for number in range(1, golfers + 1)]


def make_people(golfers: int, rng: np.random.Generator) -> tuple[list[str], list[str]]:
    """Return invented names and the sex of each; no two names are the same while pairs last."""
    sexes = [str(sex) for sex in rng.choice(["woman", "man"], golfers, p=[0.35, 0.65])]
    pairs = rng.permutation(len(FIRST["man"]) * len(LAST))
    names = []
    for number, sex in enumerate(sexes):
        pair = pairs[number % len(pairs)]
        names.append(f"{FIRST[sex][pair % len(FIRST[sex])]} {LAST[pair // len(FIRST['man'])]}")
    for number, (sex, name) in ODD_NAMES.items():
        if golfers > number:
            sexes[number], names[number] = sex, name
    return names, sexes


def make_groups(birth_years: np.ndarray, rng: np.random.Generator) -> list[str]:
    """Return the group of each golfer, by age where that decides it."""
    evening = rng.random(len(birth_years)) < 0.5
    by_habit = np.where(evening, "Tuesday evening", "weekend")
    by_age = np.where(
        birth_years >= JUNIOR_FROM, "juniors", np.where(birth_years <= SENIOR_TO, "seniors", "")
    )
    return [str(group) for group in np.where(by_age == "", by_habit, by_age)]
