"""A Dutch teacher's book with a sheet a month and a US college squad's with a tab a player, and their truth.

Both were written before anybody looked at how they are read; seeds 67, 68, 71 and 72.
"""

from __future__ import annotations

import random
import re
import zipfile
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from two_books import Rows, Truth


@dataclass(frozen=True)
class Formula:
    """A cell that holds a formula and the result that a spreadsheet keeps beside it."""

    text: str
    value: float


@dataclass
class Page:
    """A sheet with cells in rows, ranges that are merged, and columns that are hidden."""

    rows: Rows
    merged: tuple[str, ...] = ()
    hidden: tuple[str, ...] = ()


def save_pages(path: Path, pages: dict[str, Page]) -> None:
    """Write a workbook with formulas as a spreadsheet saves them, their results included."""
    book = Workbook()
    book.remove(book.active)
    formulas: dict[str, dict[str, str]] = {}
    for number, (title, page) in enumerate(pages.items(), 1):
        sheet = book.create_sheet(title)
        texts = formulas.setdefault(f"xl/worksheets/sheet{number}.xml", {})
        for place, row in enumerate(page.rows, 1):
            sheet.append([cell.value if isinstance(cell, Formula) else cell for cell in row])
            for column, cell in enumerate(row, 1):
                if isinstance(cell, Formula):
                    texts[f"{get_column_letter(column)}{place}"] = cell.text
        for one in page.merged:
            sheet.merge_cells(one)
        for one in page.hidden:
            sheet.column_dimensions[one].hidden = True
    path.parent.mkdir(parents=True, exist_ok=True)
    plain = path.with_suffix(".plain")
    book.save(plain)
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name).decode("utf-8") if name in formulas else old.read(name)
            for cell, text in formulas.get(name, {}).items():
                content = re.sub(rf'(<c r="{cell}"[^>]*>)<v>', rf"\1<f>{text}</f><v>", str(content))
            new.writestr(name, content)
    plain.unlink()


LEERLINGEN = (
    ("Sanne van der Velde", "Sanne", "v"),
    ("Joris Kuipers", "Joris", "m"),
    ("Wilhelmina Bosgraaf", "Willemijn", "v"),
    ("Pieter-Bas de Waard", "PB", "m"),
)
BANEN = {"De Reigerpolder": (71.4, 126), "Hoge Heide": (69.8, 120)}
OEFENINGEN = (
    ("korte putts", "short_putting"),
    ("lange putts", "lag_putting"),
    ("chippen", "chipping"),
    ("pitchen", "pitching"),
    ("bunker", "bunker"),
    ("ijzers", "irons"),
    ("driver", "driver"),
    ("krachttraining", "strength"),
)
TOETSEN = (
    ("Putt 1,5 m (10)", "putting", 4.9, 10),
    ("Putt 3 m (10)", "putting", 9.8, 10),
    ("Chip 10 m binnen 1 m (10)", "chip", 32.8, 10),
    ("Bunker 8 m binnen 2 m (8)", "bunker", 26.2, 8),
    ("Clubkopsnelheid driver (km/u)", "speed", None, None),
)
DAGEN = ("ma", "di", "wo", "do", "vr", "za", "zo")
MAANDEN = ("Januari", "Februari", "Maart", "April", "Mei", "Juni")
DUUR = {30: "half uur", 45: "3 kwartier", 60: "1 uur", 90: "1,5 uur"}


def dutch(folder: Path, weeks: int) -> Truth:
    """A sheet a month with lessons' practice above and rounds below it, call names, days such as 'ma 5'."""
    rng, truth = random.Random(67), Truth()
    start = date(2026, 1, 5)
    last = start + timedelta(weeks=weeks)
    drills: dict[int, Rows] = {}
    for week in range(25):
        for offset in sorted(rng.sample(range(7), 3)):
            on = start + timedelta(weeks=week, days=offset)
            told: str | None = f"{DAGEN[on.weekday()]} {on.day}"
            for name, called, _ in rng.sample(LEERLINGEN, 2):
                word, category = rng.choice(OEFENINGEN)
                minutes = rng.choice([20, 30, 45, 60, 90])
                remark = rng.choice([None, None, "veel wind", "goed", "tempo!"])
                if on > last:
                    continue
                row = [told, called, word, DUUR.get(minutes, f"{minutes} min"), remark]
                drills.setdefault(on.month, []).append(row)
                told = None
                truth.practice.append((name, *on.isocalendar()[:2], category, minutes))
    played: dict[int, Rows] = {}
    plays = sorted(
        (start + timedelta(days=day), place, rng.choice(list(BANEN)), rng.randint(76, 99))
        for place in range(len(LEERLINGEN))
        for day in rng.sample(range(5, 170), 10)
    )
    for number, (on, place, course, gross) in enumerate(plays):
        if on > last:
            continue
        name, called, sex = LEERLINGEN[place]
        rating, slope = BANEN[course]
        head = [f"{on.day}-{on.month}", called, course, "geel" if sex == "m" else "rood"]
        tail = [str(rating).replace(".", ","), slope]
        if number % 13 == 12:
            played.setdefault(on.month, []).append([*head, None, "NR", *tail, None])
            continue
        row = [*head, gross, 28 + number % 9, *tail, 29 + number % 7]
        played.setdefault(on.month, []).append(row)
        truth.rounds.append((name, on.isoformat(), gross, rating, slope))
    people: Rows = [["Naam", "Roepnaam", "m/v", "HCP", "Telefoon"]]
    people += [[*one, f"{9 + 4 * place},6", "-"] for place, one in enumerate(LEERLINGEN)]
    pages = {"Leerlingen": Page(people)}
    for month in sorted({*drills, *played}):
        rows: Rows = [[f"{MAANDEN[month - 1]} 2026"], [], ["Oefenen"]]
        rows += [["Dag", "Wie", "Wat", "Hoe lang", "Opm."], *drills.get(month, []), []]
        rows += [["Gespeelde rondes"]]
        rows.append(["Datum", "Wie", "Baan", "Tee", "Bruto", "Stbf", "CR", "Slope", "Putts"])
        games = played.get(month, [])
        first, end = len(rows) + 1, len(rows) + len(games)
        rows += games
        scores = [float(row[4]) for row in games if isinstance(row[4], int)]
        if scores:
            mean = Formula(f"AVERAGE(E{first}:E{end})", sum(scores) / len(scores))
            rows.append(["Gemiddeld", None, None, None, mean])
        pages[MAANDEN[month - 1][:3].lower()] = Page(rows, ("A1:E1",))
    pages["Testen"] = Page(_toetsen(truth, last))
    save_pages(folder / "Lesboek 2026.xlsx", pages)
    return truth


def _toetsen(truth: Truth, last: date) -> Rows:
    """A row a golfer and day, a column a test; the day stands once."""
    rng = random.Random(68)
    rows: Rows = [["Testen 2026"], [], ["Datum", "Wie", *(named for named, *_ in TOETSEN)]]
    for on in (date(2026, 1, 24), date(2026, 3, 14), date(2026, 5, 9), date(2026, 6, 13)):
        if on > last:
            continue
        told: date | None = on
        for name, called, _ in LEERLINGEN:
            results: list[object] = []
            for _, kind, feet, tried in TOETSEN:
                value = rng.randint(2, tried) if tried else rng.randint(120, 175)
                results.append("afw." if rng.random() < 0.06 else value)
                if results[-1] == value:
                    truth.tests.append((name, on.isoformat(), kind, feet, tried, value))
            rows.append([told, called, *results])
            told = None
    return rows


PLAYERS = (
    ("Theodora Vance", "Teddy", "Jr."),
    ("Marisol Quillen", "Mari", "Sr."),
    ("Josephine Ostrander", "Jo", "Fr."),
    ("Harper Delacy", "Harper", "So."),
)
SITES = {"Cedar Bluff": (73.1, 133, 72), "Old Quarry": (72.2, 128, 71), "Three Forks": (74.0, 137, 72)}
WORKED = (
    ("Putting", ("short_putting", "lag_putting")),
    ("Chipping", ("chipping",)),
    ("Wedges", ("pitching",)),
    ("Bunker", ("bunker",)),
    ("Irons", ("irons",)),
    ("Driver", ("driver",)),
    ("Lift", ("strength",)),
)
COMBINE = (
    ("4 ft putts /20", "putting", 4.0, 20),
    ("8 ft putts /20", "putting", 8.0, 20),
    ("30 yd pitch inside 10 ft /10", "pitch", 90.0, 10),
    ("Driver clubhead speed (mph)", "speed", None, None),
)


def college(folder: Path, weeks: int) -> Truth:
    """A tab a player: rounds by event with totals, minutes a week beside them; formulas, hidden columns."""
    truth = Truth()
    start = date(2025, 8, 25)
    last = start + timedelta(weeks=weeks)
    roster: Rows = [["Women's golf 2025-26"], ["Name", "Nickname", "Class", "H.I.", "Hometown"]]
    roster += [
        [name, called, year, 1.4 + 2 * place, "n/a"] for place, (name, called, year) in enumerate(PLAYERS)
    ]
    pages = {"Roster": Page(roster, ("A1:E1",))}
    for name, called, year in PLAYERS:
        left = _events(random.Random(f"71 {name}"), truth, name, start, last)
        right = _weeks(random.Random(f"72 {name}"), truth, name, start, last)
        rows: Rows = [[f"{name.upper()} ({year})"], []]
        for number in range(max(len(left), len(right))):
            one = left[number] if number < len(left) else []
            other = right[number] if number < len(right) else []
            rows.append([*one, *[None] * (11 - len(one)), None, *other])
        pages[f"{name.split()[1]}, {called}"] = Page(rows, ("A1:K1",), ("J", "K"))
    pages["Combine"] = Page(_combine(truth, last))
    save_pages(folder / "WGOLF 2025-26.xlsx", pages)
    return truth


def _events(rng: random.Random, truth: Truth, name: str, start: date, last: date) -> Rows:
    """Rounds of events of two or three days each; under each event its total, at the end the average."""
    top = ["Date", "Event", "Course", "Rd", "CR / Slope", "Par", "Score", "+/-", "Putts", "Diff", "Notes"]
    rows: Rows = [top]
    scores = []
    for event in range(9):
        first = start + timedelta(weeks=4 * event + 1, days=rng.randint(0, 3))
        site, days = rng.choice(list(SITES)), rng.choice([2, 3])
        rating, slope, par = SITES[site]
        total, since = 0, len(rows) + 3
        for day in range(days):
            on, gross = first + timedelta(days=day), rng.randint(70, 84)
            withdrew, putts = rng.random() < 0.05, rng.randint(27, 35)
            if on > last:
                continue
            row = len(rows) + 3
            head = [
                on,
                f"Invitational {event + 1}" if not day else None,
                site,
                day + 1,
                f"{rating} / {slope}",
            ]
            if withdrew:
                rows.append([*head, par, "WD", None, None, None, "wrist"])
                continue
            over = Formula(f"G{row}-F{row}", gross - par)
            diff = Formula(
                f"ROUND(113/{slope}*(G{row}-{rating}),1)", round(113 / slope * (gross - rating), 1)
            )
            rows.append([*head, par, gross, over, putts, diff, None])
            total += gross
            scores.append(gross)
            truth.rounds.append((name, on.isoformat(), gross, rating, slope))
        if total:
            row = len(rows) + 2
            rows.append([None, None, None, "Total", None, None, Formula(f"SUM(G{since}:G{row})", total)])
            rows.append([])
    mean = Formula("AVERAGE(G4:G99)", sum(scores) / len(scores))
    rows.append(["Season avg", None, None, None, None, None, mean])
    return rows


def _weeks(rng: random.Random, truth: Truth, name: str, start: date, last: date) -> Rows:
    """Minutes a week by kind of work, with the total as a formula; the week by its Monday, no year."""
    rows: Rows = [["Wk of", *(head for head, _ in WORKED), "Total"]]
    monday = start
    while monday <= last:
        minutes = [rng.choice([0, 0, 20, 30, 40, 60, 90, 120]) for _ in WORKED]
        for (_, categories), each in zip(WORKED, minutes, strict=True):
            if each:
                part = each // len(categories)
                week = monday.isocalendar()[:2]
                truth.practice += [(name, *week, category, part) for category in categories]
        row = len(rows) + 3
        total = Formula(f"SUM(N{row}:T{row})", sum(minutes))
        rows.append([f"{monday.month}/{monday.day}", *(each or None for each in minutes), total])
        monday += timedelta(weeks=1)
    return rows


def _combine(truth: Truth, last: date) -> Rows:
    """A row a player and test day, players by their nicknames, days in words."""
    rng = random.Random(72)
    rows: Rows = [["Player", "Date", *(named for named, *_ in COMBINE)]]
    for on in (date(2025, 9, 6), date(2025, 11, 15), date(2026, 1, 24), date(2026, 4, 18)):
        if on > last:
            continue
        for name, called, _ in PLAYERS:
            results: list[object] = []
            for _, kind, feet, tried in COMBINE:
                value = rng.randint(2, tried) if tried else rng.randint(88, 104)
                results.append("DNP" if rng.random() < 0.06 else value)
                if results[-1] == value:
                    truth.tests.append((name, on.isoformat(), kind, feet, tried, value))
            rows.append([called, f"{on:%b} {on.day}, {on.year}", *results])
        rows.append([])
    return rows
