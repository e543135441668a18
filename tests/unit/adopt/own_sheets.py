"""Spreadsheets as coaches keep them, each in a way of its own, from one invented truth."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from openpyxl import Workbook

TODAY = date(2026, 7, 5)
COURSES = {"Heron Marsh": (71.2, 128), "Low Barrow": (69.8, 119), "Sandholt": (72.4, 134)}
NAMES = ("Ruth Ambleside", "Maud Ferrin", "Olle Brandvik", "Ines Castelar", "Jory Penhale")


@dataclass(frozen=True)
class Played:
    """A round of the truth."""

    name: str
    on: date
    course: str
    gross: int
    putts: int

    @property
    def told(self) -> tuple[str, str, int]:
        """What any of the spreadsheets must give back."""
        return self.name, self.on.isoformat(), self.gross


def rounds(seed: int, each: int = 12) -> list[Played]:
    """Rounds of five golfers over half a year."""
    rng = random.Random(seed)
    out = []
    for place, name in enumerate(NAMES):
        days = sorted(rng.sample(range(170), each))
        for day in days:
            on = date(2026, 1, 10) + timedelta(days=day)
            course = rng.choice(list(COURSES))
            out.append(Played(name, on, course, 78 + 5 * place + rng.randint(-5, 9), rng.randint(28, 38)))
    return out


def save(path: Path, sheets: dict[str, list[list[object]]]) -> None:
    """Write a workbook."""
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    path.parent.mkdir(parents=True, exist_ok=True)
    book.save(path)


def _text(path: Path, rows: list[list[object]], separator: str = ",", encoding: str = "utf-8") -> None:
    lines = [separator.join("" if cell is None else str(cell) for cell in row) for row in rows]
    path.write_bytes("\r\n".join(lines).encode(encoding))


def titled(folder: Path, played: list[Played]) -> None:
    """Title rows above the header, English day-first dates as text, a row of averages at the end."""
    rows: list[list[object]] = [["Winter and spring rounds 2026"], ["kept by the desk"], []]
    rows.append(["Player", "Date", "Course", "Gross", "CR", "Slope", "Putts", "Weather"])
    for one in played:
        rating, slope = COURSES[one.course]
        rows.append(
            [one.name, one.on.strftime("%d/%m/%Y"), one.course, one.gross, rating, slope, one.putts, "dry"]
        )
    rows.append(["Average", None, None, sum(one.gross for one in played) / len(played)])
    save(folder / "Scores spring.xlsx", {"Sheet1": rows})


def german(folder: Path, played: list[Played]) -> None:
    """Semicolons, decimal commas, full stops in dates, Latin-1, a date without its year's century."""
    rows: list[list[object]] = [
        ["Spieler", "Datum", "Platz", "Brutto", "Course Rating", "Slope", "Bemerkung"]
    ]
    for one in played:
        rating, slope = COURSES[one.course]
        rows.append(
            [
                one.name,
                one.on.strftime("%d.%m.%y"),
                one.course,
                one.gross,
                str(rating).replace(".", ","),
                slope,
                "schön",
            ]
        )
    _text(folder / "Runden.csv", rows, ";", "latin-1")


def sheet_each(folder: Path, played: list[Played]) -> None:
    """One sheet a golfer, real dates, no name anywhere but on the sheet."""
    sheets: dict[str, list[list[object]]] = {}
    for name in NAMES:
        rows: list[list[object]] = [["Date", "Where", "Score", "Rating", "Slope", "Total putts"]]
        for one in played:
            if one.name == name:
                rating, slope = COURSES[one.course]
                rows.append([one.on, one.course, one.gross, rating, slope, one.putts])
        sheets[name] = rows
    save(folder / "members.xlsx", sheets)


def wide(folder: Path, played: list[Played]) -> None:
    """One row a golfer, one column a date, one course whose ratings stand in the title."""
    days = sorted({one.on for one in played})
    rows: list[list[object]] = [["Monthly medal, Heron Marsh, CR 71.2 Slope 128"], ["Name", *days]]
    for name in NAMES:
        by_day = {one.on: one.gross for one in played if one.name == name}
        rows.append([name, *(by_day.get(day) for day in days)])
    save(folder / "medal.xlsx", {"2026": rows})


def two_names(folder: Path, played: list[Played]) -> None:
    """First and last name apart, month-first dates, courses with their ratings on a sheet of their own."""
    rows: list[list[object]] = [["Last name", "First name", "Played on", "Golf course", "Total score", "GIR"]]
    for one in played:
        first, last = one.name.split()
        rows.append([last, first, one.on.strftime("%m/%d/%Y"), one.course, one.gross, 7])
    courses: list[list[object]] = [["Course", "Course rating", "Slope rating", "Par"]]
    courses += [[name, rating, slope, 72] for name, (rating, slope) in COURSES.items()]
    people: list[list[object]] = [["Surname", "Forename", "Hcp", "Target", "Date of birth"]]
    for place, name in enumerate(NAMES):
        first, last = name.split()
        people.append([last, first, "+1.2" if place == 0 else 8.0 + 4 * place, 6.5 + 3 * place, "3 May 1988"])
    save(folder / "club.xlsx", {"Rounds": rows, "Courses": courses, "People": people})


def tabbed(folder: Path, played: list[Played]) -> None:
    """Tabs, UTF-16, weekday before the date, differentials beside scores."""
    rows: list[list[object]] = [
        ["golfer", "when", "score differential", "net", "score", "cr", "slope rating"]
    ]
    for one in played:
        rating, slope = COURSES[one.course]
        differential = round((one.gross - rating) * 113 / slope, 1)
        rows.append(
            [one.name, one.on.strftime("%a %d %b %Y"), differential, one.gross - 15, one.gross, rating, slope]
        )
    _text(folder / "export.tsv", rows, "\t", "utf-16")


def french(folder: Path, played: list[Played]) -> None:
    """French, a name once over its rows, months as words, a blank row between golfers, a sum below each."""
    rows: list[list[object]] = [
        ["Saison 2026"],
        [],
        ["Joueur", "Jour", "Parcours", "Score brut", "Valeur du parcours", "Pente"],
    ]
    months = ["janv.", "février", "mars", "avril", "mai", "juin", "juillet"]
    for name in NAMES:
        first = True
        for one in played:
            if one.name == name:
                rating, slope = COURSES[one.course]
                day = f"{one.on.day} {months[one.on.month - 1]} {one.on.year}"
                rows.append(
                    [
                        name if first else None,
                        day,
                        one.course,
                        one.gross,
                        str(rating).replace(".", ","),
                        slope,
                    ]
                )
                first = False
        rows += [["Moyenne", None, None, 88.3], []]
    save(folder / "cartes.xlsx", {"Feuil1": rows})


def blocks(folder: Path, played: list[Played]) -> None:
    """A text file with a line of a name above each golfer's rows, the header repeated, two-digit years."""
    rows: list[list[object]] = [["Members' cards"], ["Date", "Club", "Tees", "Total", "CR", "SR", "Pen"]]
    for name in NAMES:
        rows += [[name], ["Date", "Club", "Tees", "Total", "CR", "SR", "Pen"]]
        for one in played:
            if one.name == name:
                rating, slope = COURSES[one.course]
                rows.append(
                    [one.on.strftime("%d-%m-%y"), one.course, "yellow", f"{one.gross}*", rating, slope, 1]
                )
    _text(folder / "cards.txt", rows, "|")


def roll_up(folder: Path, played: list[Played]) -> None:
    """A row a day, a column a golfer by first name and initial; NR where no card was handed in, a dash where
    nobody played; the full names stand on a sheet of their own."""
    short = {name: f"{name.split()[0]} {name.split()[1][0]}." for name in NAMES}
    rows: list[list[object]] = [["Thursday roll-up, season 2026"], []]
    rows.append(["Date", "Course", "CR", "Slope", *(short[name] for name in NAMES), "Weather"])
    for on, course in sorted({(one.on, one.course) for one in played}):
        gross = {one.name: one.gross for one in played if (one.on, one.course) == (on, course)}
        cells = [
            gross.get(name, "NR" if place % 4 == on.day % 4 else "-") for place, name in enumerate(NAMES)
        ]
        rows.append([on.strftime("%d %b %Y"), course, *COURSES[course], *cells, "wind"])
    people: list[list[object]] = [["Members 2026"], ["Full name", "Hcp index", "Joined"]]
    people += [[name, 9.5 + 3 * place, date(2024, 3, 1 + place)] for place, name in enumerate(NAMES)]
    save(folder / "rollup 2026.xlsx", {"Scores": rows, "Members": people})


def cards_across(folder: Path, played: list[Played]) -> None:
    """A row a round with every hole across, out, in and total beside them, surname first, a heading of two
    rows; the ratings of the courses stand on the next sheet."""
    rng = random.Random(5)
    top: list[object] = [None, None, None, "Front nine", *[None] * 9, "Back nine", *[None] * 9]
    head: list[object] = ["Player", "Played", "Course", *range(1, 10), "Out", *range(10, 19), "In", "Total"]
    rows: list[list[object]] = [["Cards of the academy"], top, head]
    for one in played:
        holes = [one.gross // 18] * 18
        for hole in rng.sample(range(18), one.gross % 18):
            holes[hole] += 1
        first, last = one.name.split()
        out, back = holes[:9], holes[9:]
        rows.append([f"{last}, {first}", one.on, one.course, *out, sum(out), *back, sum(back), one.gross])
    courses: list[list[object]] = [["Name of course", "Course Rating", "Slope", "Par"]]
    courses += [[name, rating, slope, 72] for name, (rating, slope) in COURSES.items()]
    save(folder / "academy cards.xlsx", {"Cards": rows, "Courses": courses})


def day_lists(folder: Path, played: list[Played]) -> None:
    """One list below the other, each with its day, course and ratings in a line above its own header; places
    in front, the best first, and who did not finish at the end without a score."""
    rows: list[list[object]] = [["Order of merit, season 2026"]]
    for on, course in sorted({(one.on, one.course) for one in played}):
        rating, slope = COURSES[course]
        rows += [[], [f"{on.strftime('%A %d %B %Y')}, {course} (CR {rating}, Slope {slope})"]]
        rows.append(["Pos", "Name", "Gross", "Putts"])
        there = sorted(
            (one for one in played if (one.on, one.course) == (on, course)), key=lambda one: one.gross
        )
        rows += [[place, one.name, one.gross, one.putts] for place, one in enumerate(there, 1)]
        if on.day % 5 == 0:
            rows.append(["-", NAMES[on.day % len(NAMES)], "DNF", None])
    save(folder / "order of merit.xlsx", {"Lists": rows})


def month_sheets(folder: Path, played: list[Played]) -> None:
    """A sheet a month with the number of the day only, last names in capitals, the two nines without their
    sum; the full names and the ratings stand on sheets of their own."""
    sheets: dict[str, list[list[object]]] = {}
    for month in sorted({one.on.replace(day=1) for one in played}):
        rows: list[list[object]] = [["Day", "Player", "Course", "Front 9", "Back 9", "Putts"]]
        for one in sorted(played, key=lambda one: (one.on, one.name)):
            if one.on.replace(day=1) == month:
                first, last = one.name.split()
                out = one.gross // 2 + one.on.day % 3
                rows.append(
                    [one.on.day, f"{last.upper()} {first}", one.course, out, one.gross - out, one.putts]
                )
        sheets[month.strftime("%B %Y")] = rows
    sheets["Courses"] = [["Course", "Course rating", "Slope rating"]]
    sheets["Courses"] += [[name, rating, slope] for name, (rating, slope) in COURSES.items()]
    sheets["Members"] = [["Name", "Hcp"], *([name, 12.5 + place] for place, name in enumerate(NAMES))]
    save(folder / "score book.xlsx", sheets)


STYLES: dict[str, Callable[[Path, list[Played]], None]] = {
    one.__name__: one for one in (titled, german, sheet_each, wide, two_names, tabbed)
}
WRITTEN_LAST: dict[str, Callable[[Path, list[Played]], None]] = {
    one.__name__: one for one in (french, blocks, cards_across, day_lists, month_sheets)
}
"""Ways of keeping rounds that were written down when the reading was done."""
WITH_SHORT_NAMES = {roll_up.__name__: roll_up}
"""Ways in which names are shortened: whose they are is asked once."""
