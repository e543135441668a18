"""An Italian and a Scottish coach's workbook, each of one invented truth, and the truth beside them."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from own_sheets import save

Rows = list[list[object]]


@dataclass
class Truth:
    """What a workbook must give: rounds, practice by ISO week, and tests by kind.

    Rounds are (name, day, gross, rating, slope); practice (name, year, week, category, minutes); tests
    (name, day, kind, feet, tried, made or value).
    """

    rounds: list[tuple[object, ...]] = field(default_factory=list)
    practice: list[tuple[object, ...]] = field(default_factory=list)
    tests: list[tuple[object, ...]] = field(default_factory=list)


ITALIANS = (("Bellandi", "Chiara"), ("Corsetti", "Davide"), ("Marchesan", "Piera"), ("Rovatti", "Sandro"))
COURSES = {"Colle Airone": (71.3, 129), "Le Betulle Basse": (69.4, 121)}
KINDS = (
    ("Putt corti", "short_putting"),
    ("Putt lunghi", "lag_putting"),
    ("Approcci", "chipping"),
    ("Pitch", "pitching"),
    ("Bunker", "bunker"),
    ("Ferri", "irons"),
    ("Legni e driver", "driver"),
    ("Palestra", "strength"),
)
MONTHS = ("Gennaio", "Febbraio", "Marzo", "Aprile", "Maggio", "Giugno")
PROVE = (
    ("Putt da 2 m - 10 palle", "putting", 6.6, 10),
    ("Approccio da 20 m, cerchio di 2 m - 10 palle", "chip", 65.6, 10),
    ("Uscite dal bunker da 10 m - 8 palle", "bunker", 32.8, 8),
    ("Velocità bastone driver (km/h)", "speed", None, None),
)


def italian(folder: Path, weeks: int) -> Truth:
    """Months over rounds, a block of numbered weeks a golfer, tests under titles, names in three ways."""
    rng, truth = random.Random(11), Truth()
    last = date(2026, 1, 1) + timedelta(weeks=weeks)
    giri: Rows = [["Giri di gara - stagione 2026"], []]
    giri.append(["Data", "Giocatore", "Campo", "CR", "SR", "Buche", "Lordo", "Netto", "Putt", "FIR", "Gara"])
    plays = sorted(
        (date(2026, 1, 1) + timedelta(days=day), place, rng.choice(list(COURSES)), rng.randint(76, 98))
        for place in range(len(ITALIANS))
        for day in rng.sample(range(20, 160), 6)
    )
    month = 0
    for on, place, course, gross in plays:
        if on > last:
            continue
        if on.month != month:
            month = on.month
            giri.append([MONTHS[month - 1].upper()])
        surname, name = ITALIANS[place]
        rating, slope = COURSES[course]
        told = [
            on.strftime("%d/%m/%y"),
            f"{surname} {name[0]}.",
            course,
            str(rating).replace(".", ","),
            slope,
        ]
        giri.append([*told, 18, gross, gross - 9, 33, "7/14", "no"])
        truth.rounds.append((f"{name} {surname}", on.isoformat(), gross, rating, slope))
    giri += [[], ["Media", None, None, None, None, None, 88.4]]
    pratica: Rows = [["Minuti di pratica per settimana"], []]
    for surname, name in ITALIANS:
        pratica += [[f"{surname} {name}".upper()], ["Settimana", *(head for head, _ in KINDS), "Totale"]]
        for week in range(3, weeks - 10):
            cells: list[object] = []
            for _, category in KINDS:
                minutes = rng.choice([0, 0, 15, 40, 45, 60, 75, 90])
                cells.append({0: rng.choice([None, "-"]), 60: "1h", 75: "1h15"}.get(minutes, minutes))
                if minutes:
                    truth.practice.append((f"{name} {surname}", 2026, week, category, minutes))
            pratica.append([f"Sett. {week}", *cells, 300])
        pratica.append([])
    days = [date(2026, 1, 15), date(2026, 2, 12), *([date(2026, 4, 9)] if weeks > 23 else [])]
    names = [(f"{surname} {name}", f"{name} {surname}") for surname, name in ITALIANS]
    prove = _tests(rng, truth, ("Prove tecniche 2026", "Allievo", "ass."), PROVE, days, names, "%d/%m")
    soci: Rows = [["Cognome", "Nome", "HCP"], *([*one, "12,3"] for one in ITALIANS)]
    sheets = {"Soci": soci, "Giri": giri, "Allenamento": pratica, "Prove": prove}
    save(folder / "Registro allievi.xlsx", sheets)
    return truth


SCOTS = ("Anna Carrick", "Isla Mowat", "Isla Rennie", "Fergus Doig")
CALLED = ("Anna", "Isla M", "Isla R", "Fergus")
LINKS = {"Skerrow Links": (70.1, 124), "The Braes of Orrin": (72.2, 131)}
WORK = (
    ("holing out", "short_putting"),
    ("long putts", "lag_putting"),
    ("chip and run", "chipping"),
    ("sand", "bunker"),
    ("irons, range", "irons"),
    ("driver", "driver"),
    ("gym", "strength"),
)
NIGHTS = (
    ("Putts holed from 5 feet, out of 10", "putting", 5.0, 10),
    ("Chips to the 6 ft ring from 15 yards (10 balls)", "chip", 45.0, 10),
    ("Up and down from the bunker, of 5", "bunker", None, 5),
    ("Clubhead speed, mph", "speed", None, None),
)


def scottish(folder: Path, weeks: int) -> Truth:
    """First names, days without a year, courses on a sheet of their own, weeks counted from 12 January."""
    rng, truth = random.Random(23), Truth()
    cards: Rows = [["Cards handed in, 2026"], []]
    cards.append(["Date", "Player", "Where", "Out", "In", "Gross", "Hcp", "Nett", "Putts", "Day was"])
    plays = sorted(
        (date(2026, 1, 1) + timedelta(days=day), place, rng.choice(list(LINKS)), rng.randint(38, 48))
        for place in range(len(SCOTS))
        for day in rng.sample(range(12, 170), 6)
    )
    for number, (on, place, course, out) in enumerate(plays):
        if on > date(2026, 1, 1) + timedelta(weeks=weeks):
            continue
        day = f"{on:%a} {on.day} {on:%b}"
        if number % 9 == 8:
            cards.append([day, CALLED[place], course, out, None, "NR", 12, None, None, "dreich"])
            continue
        cards.append([day, CALLED[place], course, out, 41, out + 41, 12, out + 29, 33, "fair"])
        truth.rounds.append((SCOTS[place], on.isoformat(), out + 41, *LINKS[course]))
    work: Rows = [["Winter work. Weeks count from Monday 12 January."], [], ["Wk", "Who", "What", "How long"]]
    for week in range(1, weeks - 10):
        monday = date(2026, 1, 12) + timedelta(weeks=week - 1)
        told: object = f"Wk {week}"
        for place, golfer in enumerate(SCOTS):
            for word, category in rng.sample(WORK, 2):
                minutes = rng.choice([20, 30, 45, 60, 90])
                length = {30: "half an hour", 60: "1 hr", 90: "1 1/2 hrs"}.get(minutes, f"{minutes} min")
                work.append([told, CALLED[place], word, length])
                told = None
                truth.practice.append((golfer, *monday.isocalendar()[:2], category, minutes))
    days = [date(2026, 1, 18), date(2026, 2, 15), *([date(2026, 4, 12)] if weeks > 23 else [])]
    named = list(zip(CALLED, SCOTS, strict=True))
    nights = _tests(rng, truth, ("Test nights, 2026", "Who", None), NIGHTS, days, named, "%d %b")
    members: Rows = [["Name", "H.I."], *([name, 6.3 + place] for place, name in enumerate(SCOTS))]
    courses: Rows = [["Where", "Rating", "Slope"], *([name, *pair] for name, pair in LINKS.items())]
    sheets = {"Members": members, "Cards": cards, "Courses": courses, "Work": work, "Tests": nights}
    save(folder / "Winter book.xlsx", sheets)
    return truth


def _tests(
    rng: random.Random,
    truth: Truth,
    words: tuple[str, str, str | None],
    tests: tuple[tuple[str, str, float | None, int | None], ...],
    days: list[date],
    names: list[tuple[str, str]],
    form: str,
) -> Rows:
    """Return tests one below the other, each under its title with a column a day."""
    title, who, absent = words
    rows: Rows = [[title], []]
    for named, kind, feet, tried in tests:
        rows += [[named], [who, *(day.strftime(form) for day in days)]]
        for written, golfer in names:
            results: list[object] = []
            for day in days:
                value = rng.randint(2, tried) if tried else rng.randint(85, 110)
                results.append(absent if rng.random() < 0.1 else value)
                if results[-1] == value:
                    truth.tests.append((golfer, day.isoformat(), kind, feet, tried, value))
            rows.append([written, *results])
        rows.append([])
    return rows
