"""A New Zealand and a Swiss coach's workbook, each of one invented truth, and the truth beside them."""

from __future__ import annotations

import random
from datetime import date, timedelta
from pathlib import Path

from own_sheets import save
from two_books import Rows, Truth

SQUAD = (
    ("Meredith Tainui", "Mere", "F"),
    ("Tama Horomia", "Tama", "M"),
    ("Rebecca Wynyard", "Bex", "F"),
    ("Hamish Pukeroa", "Hamish", "M"),
)
VENUES = {"Kowhai Flats": ("70.6/121", 70.6, 121), "Rimu Head": ("72.3/130", 72.3, 130)}
ACTIVITIES = (
    ("Putting - short", "short_putting"),
    ("Putting - lag", "lag_putting"),
    ("Chipping", "chipping"),
    ("Wedges 40-70m", "pitching"),
    ("Greenside bunkers", "bunker"),
    ("Range - irons", "irons"),
    ("Range - driver", "driver"),
    ("Gym", "strength"),
)
STATIONS = (
    ("6ft putts holed (x10)", "putting", 6.0, 10),
    ("Lag 30ft, inside 3ft (x10)", "lag", 30.0, 10),
    ("Chips 15m, inside 2m (x10)", "chip", 49.2, 10),
    ("Bunker 10m, inside 3m (x8)", "bunker", 32.8, 8),
    ("Driver club speed, mph", "speed", None, None),
)


def kiwi(folder: Path, weeks: int) -> Truth:
    """A season over New Year, call names, both nines, ratings in one cell, a column a golfer for tests."""
    rng, truth = random.Random(41), Truth()
    start = date(2025, 10, 4)
    last = start + timedelta(weeks=weeks)
    rounds: Rows = [["Rounds 2025/26 season"], ["Adj gross in Total. Stblfd for info only"], []]
    rounds.append(
        ["When", "Who", "Venue", "Tee", "CR/Slope", "F9", "B9", "Total", "Stblfd", "Putts", "Comp?"]
    )
    plays = sorted(
        (
            start + timedelta(days=day),
            place,
            rng.choice(list(VENUES)),
            rng.randint(37, 47),
            rng.randint(38, 48),
        )
        for place in range(len(SQUAD))
        for day in rng.sample(range(0, 240), 10)
    )
    for number, (on, place, venue, out, back) in enumerate(plays):
        if on > last:
            continue
        name, called, sex = SQUAD[place]
        shown, rating, slope = VENUES[venue]
        day: object = on if number % 3 else f"{on:%a} {on.day}/{on.month}/{on:%y}"
        tee = "White" if sex == "M" else "Yellow"
        if number % 11 == 10:
            rounds.append([day, called, venue, tee, shown, out, None, "w/d", None, None, "Y"])
            continue
        pair = [out, back, out + back, 30 + number % 9, 28 + number % 8]
        rounds.append([day, called, venue, tee, shown, *pair, "Y" if number % 2 else "N"])
        truth.rounds.append((name, on.isoformat(), out + back, rating, slope))
    log: Rows = [["Prac log"], [], ["Date", "Player", "AM/PM", "Activity", "How long", "Comments"]]
    for week in range(weeks):
        on = start + timedelta(weeks=week, days=2 + week % 4)
        told: object = on
        for place in rng.sample(range(len(SQUAD)), 3):
            word, category = rng.choice(ACTIVITIES)
            minutes = rng.choice([20, 30, 45, 60, 75, 90])
            length = {60: "1h", 75: "1h 15", 90: "1.5h"}.get(minutes, f"{minutes}m")
            comment = rng.choice([None, None, "windy", "good focus", "w/ Dad"])
            log.append([told, SQUAD[place][1], rng.choice(["AM", "PM"]), word, length, comment])
            told = None
            truth.practice.append((SQUAD[place][0], *on.isocalendar()[:2], category, minutes))
    testing = _test_days(truth, last)
    squad: Rows = [["Player", "Known as", "M/F", "HI"]]
    squad += [[name, called, sex, 5.4 + 3 * place] for place, (name, called, sex) in enumerate(SQUAD)]
    sheets = {"Squad": squad, "Rounds": rounds, "Prac log": log, "Testing": testing}
    save(folder / "Squad book 2025-26.xlsx", sheets)
    return truth


def _test_days(truth: Truth, last: date) -> Rows:
    """A block for each test day under a line with its date, a column a golfer."""
    rng = random.Random(42)
    rows: Rows = [["Skills testing - squad"], []]
    days = [date(2025, 10, 18), date(2025, 12, 6), date(2026, 2, 21), date(2026, 4, 25)]
    for number, on in enumerate(one for one in days if one <= last):
        rows.append([f"Test day {number + 1} - {on.day} {on:%b} {on.year}"])
        rows.append(["Station", *(called for _, called, _ in SQUAD)])
        for named, kind, feet, tried in STATIONS:
            results: list[object] = []
            for golfer, _, _ in SQUAD:
                value = rng.randint(2, tried) if tried else rng.randint(78, 104)
                results.append("inj" if rng.random() < 0.07 else value)
                if results[-1] == value:
                    truth.tests.append((golfer, on.isoformat(), kind, feet, tried, value))
            rows.append([named, *results])
        rows.append([])
    return rows


KADER = (("Aeschbacher", "Lucie"), ("Zgraggen", "Reto"), ("Perroud", "Anouk"), ("Inäbnit", "Beat"))
PLAETZE = {"Erlenmoos": (71.2, 127), "Les Roselières": (69.9, 124)}
WAS = (
    ("Putten kurz", "short_putting"),
    ("Putten lang", "lag_putting"),
    ("Chip", "chipping"),
    ("Pitch", "pitching"),
    ("sable", "bunker"),
    ("Eisen", "irons"),
    ("Drive", "driver"),
    ("Kraft", "strength"),
)
AUFGABEN = (
    ("Putt gelocht", "2 m", "putting", 6.6, 10),
    ("Lag-Putt, Kreis 1 m", "12 m", "lag", 39.4, 10),
    ("Chip, Kreis 2 m", "15 m", "chip", 49.2, 10),
    ("sable, cercle 3 m", "10 m", "bunker", 32.8, 8),
    ("Schlägerkopfgeschwindigkeit Driver (km/h)", None, "speed", None, None),
)


def swiss(folder: Path, weeks: int) -> Truth:
    """German and French in one book, days without a year, what and how long of each golfer side by side."""
    rng, truth = random.Random(53), Truth()
    start = date(2026, 1, 5)
    last = start + timedelta(weeks=weeks)
    turniere: Rows = [["Turniere / Concours 2026"], []]
    turniere.append(
        ["Datum", "Name", "Platz", "Abschlag", "CR", "Slope", "Brutto", "Netto", "Stbl.", "Bemerkung"]
    )
    plays = sorted(
        (start + timedelta(days=day), place, rng.choice(list(PLAETZE)), rng.randint(75, 96))
        for place in range(len(KADER))
        for day in rng.sample(range(10, 160), 10)
    )
    for number, (on, place, course, gross) in enumerate(plays):
        if on > last:
            continue
        surname, name = KADER[place]
        rating, slope = PLAETZE[course]
        head = [f"{on:%d.%m.}", f"{surname} {name[0]}.", course, "gelb", str(rating).replace(".", ","), slope]
        if number % 12 == 11:
            turniere.append([*head, "DQ", None, None, "disqualifiée" if place % 2 else "Score falsch"])
            continue
        turniere.append([*head, gross, gross - 8, 30 + number % 7, rng.choice([None, None, "Regen", "bise"])])
        truth.rounds.append((f"{name} {surname}", on.isoformat(), gross, rating, slope))
    training: Rows = [["Training 2026 (Minuten)"], []]
    training.append([None, *(cell for _, name in KADER for cell in (name, None))])
    training.append(["Datum", *(cell for _ in KADER for cell in ("was / quoi", "Min."))])
    for week in range(weeks):
        on = start + timedelta(weeks=week, days=week % 3)
        cells: list[object] = []
        for surname, name in KADER:
            word, category = rng.choice(WAS)
            minutes = rng.choice([20, 30, 45, 60, 75, 90])
            rest = rng.random() < 0.12
            cells += [None, None] if rest else [word, minutes]
            if not rest:
                truth.practice.append((f"{name} {surname}", *on.isocalendar()[:2], category, minutes))
        training.append([f"{on:%d.%m.}", *cells])
    rng = random.Random(54)
    tests: Rows = [["Tests 2026"], [], ["Datum", "Test", "Distanz", *(name for _, name in KADER)]]
    for on in (date(2026, 1, 17), date(2026, 3, 7), date(2026, 5, 2), date(2026, 5, 30)):
        if on > last:
            continue
        for named, far, kind, feet, tried in AUFGABEN:
            results: list[object] = []
            for surname, name in KADER:
                value = rng.randint(2, tried) if tried else rng.randint(125, 170)
                shown: object = f"{value}/{tried}" if tried else value
                results.append("abs." if rng.random() < 0.07 else shown)
                if results[-1] == shown:
                    truth.tests.append((f"{name} {surname}", on.isoformat(), kind, feet, tried, value))
            tests.append([f"{on:%d.%m.}", named, far, *results])
    kader: Rows = [["Name", "Vorname", "m/w", "HCP"]]
    kader += [[*one, "w" if place % 2 == 0 else "m", f"{8 + place},4"] for place, one in enumerate(KADER)]
    sheets = {"Kader": kader, "Turniere": turniere, "Training": training, "Tests": tests}
    save(folder / "Kaderbuch.xlsx", sheets)
    return truth
