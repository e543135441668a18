"""Two books cut down from ones by somebody who had not seen the reader, with their truth.

A squad's workbook: a list of golfers with call names, ratings below it with nine holes of their own, and a
sheet a month whose days stand once over several rows. An academy's: words of Spanish, days once over several
rows, balls among lengths, everybody but one, and tests with a column a golfer.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from own_sheets import save
from two_books import Rows, Truth

SQUAD = (
    ("Orla Fennimore", "Orla", "Red"), ("Cathal Brisk", "Cass", "White"),
    ("Dermot Hollins", "Derry", "White"),
    ("Tadhg Quillan", "T Q", "White"),
)  # fmt: skip
RATINGS = {
    ("Carrowmoor (home)", "White"): (71.2, 128), ("Carrowmoor (home)", "Red"): (72.9, 126),
    ("Carrowmoor (home) - 9 hole", "White"): (35.4, 127), ("Carrowmoor (home) - 9 hole", "Red"): (36.6, 125),
    ("Slieve Point", "White"): (70.4, 124), ("Slieve Point", "Red"): (71.8, 121),
}  # fmt: skip
MONTHS = ("April", "May", "June")
NO_DAY, MEANT = "31/06/26", date(2026, 6, 1)


def squad(folder: Path, week: int) -> Truth:
    """Write the squad's workbook up to a week of the year; return the rounds that it holds."""
    truth = Truth()
    roster: Rows = [["Performance squad 2026"], [], ["Name", "Known as", "HI 1/4", "Tees", "Goal"]]
    roster += [[name, called, 4.0 + place, tee, None] for place, (name, called, tee) in enumerate(SQUAD)]
    roster += [[], [], ["COURSE RATINGS"], ["Course", "Tees", "Par", "CR", "Slope"]]
    for (course, tee), (rating, slope) in RATINGS.items():
        roster.append([course, tee, 36 if "9 hole" in course else 72, rating, slope])
    sheets: dict[str, Rows] = {"Squad": roster}
    last = date.fromisocalendar(2026, week, 7)
    for month, title in enumerate(MONTHS, 4):
        rows: Rows = [[f"CARROWMOOR - SQUAD - {title.upper()} 2026"], []]
        rows.append(["Date", "Player", "Comp", "Course", "Tees", "Adj gross", "Diff", "Notes"])
        days = [date(2026, month, 1) + timedelta(days=day) for day in (0, 9, 15, 23)]
        for number, day in enumerate(one for one in days if one <= last):
            kind = ("Gen play", "9 hole", "Away day", "Medal")[number]
            written: object = NO_DAY if (month, number) == (6, 0) else day
            for place, (name, called, tee) in enumerate(SQUAD):
                course = {1: "Carrowmoor (home) - 9 hole", 2: "Slieve Point"}.get(number, "Carrowmoor (home)")
                rating, slope = RATINGS[course, tee]
                score = (39 if number == 1 else 78) + place + month
                worked_out = (
                    None if number == 1 or (month, place) == (6, 1) else 113 / slope * (score - rating)
                )
                shown = "Slieve Point" if number == 2 else "Home"
                if (number, place) == (3, 2):
                    rows.append([None, called, kind, shown, tee, "NR"])
                    continue
                rows.append([None if place else written, called, kind, shown, tee, score,
                             None if worked_out is None else round(worked_out, 1)])  # fmt: skip
                on = MEANT if written == NO_DAY else day
                truth.rounds.append((name, on.isoformat(), score, rating, slope))
        sheets[title] = rows
    save(folder / "Squad 2026.xlsx", sheets)
    return truth


ACADEMY = (("Rosa Belmar Ochoa", "Rosa"), ("Anselmo Tejedor", "Selmo"), ("Julia Quiroga Sanz", "Julia"))
DAYS_OF_WEEK = ("lun", "mar", "mié", "jue", "vie", "sáb", "dom")
WORK = (
    ("approach", "1 h", "pitching", 60), ("putt corto", "45 min", "short_putting", 45),
    ("estiramientos", "20 min", "mobility", 20), ("wedges 40-80 m", "45 min", "half_swing", 45),
    ("drive", "50 bolas", "driver", 0), ("juego corto", "30 min", "chipping", 30),
    ("gimnasio", "1h15", "strength", 75),
)  # fmt: skip
TESTS = (
    ("Putt 1 m", "putting", 3.3),
    ("Putt 2 m", "putting", 6.6),
    ("Bunker, dentro de 3 m", "bunker", None),
)


def academy(folder: Path, week: int) -> Truth:
    """Write the academy's workbook up to a week of the year; return the practice and tests that it holds."""
    truth = Truth()
    roster: Rows = [["Nombre y apellidos", "Apodo", "Hcp exacto", "Barras"]]
    roster += [[name, called, f"{7 + place},6", "Rojas"] for place, (name, called) in enumerate(ACADEMY)]
    log: Rows = [
        ["DIARIO DE ENTRENAMIENTO 2026"],
        [],
        ["Día", "Jugador", "Trabajo", "Tiempo / bolas", "Obs."],
    ]
    for number in range(week - 2, week + 1):
        for weekday in range(6):
            day = date.fromisocalendar(2026, number, weekday + 1)
            told = f"{DAYS_OF_WEEK[weekday]} {day.day}/{day.month}"
            for place, (name, called) in enumerate(ACADEMY):
                work, amount, category, minutes = WORK[(weekday + 2 * place + number) % len(WORK)]
                log.append([None if place else told, called, work, amount])
                truth.practice.append((name, 2026, number, category, minutes))
        day = date.fromisocalendar(2026, number, 7)
        log.append([f"dom {day.day}/{day.month}", "todos menos Selmo", "putt largo", "45 min"])
        truth.practice += [
            (name, 2026, number, "lag_putting", 45) for name, called in ACADEMY if called != "Selmo"
        ]
        log.append([None, "Selmo", "lesión de muñeca, sin drive", None])
        truth.practice.append(("Anselmo Tejedor", 2026, number, "", 0))
    tested: Rows = [
        ["PRUEBAS - metidas/tiradas"],
        [],
        ["Fecha", "Prueba", *(called for _, called in ACADEMY)],
    ]
    for number in (week - 1, week):
        day = date.fromisocalendar(2026, number, 6)
        for row, (test, kind, feet) in enumerate(TESTS):
            made = [9 - row - place for place in range(len(ACADEMY))]
            cells: list[object] = [f"{count}/10" if count != 8 else "-" for count in made]
            tested.append([None if row else day, test, *cells])
            for (name, _), count in zip(ACADEMY, made, strict=True):
                if count != 8:
                    truth.tests.append((name, day.isoformat(), kind, feet, 10, count))
    save(folder / "Academia 2026.xlsx", {"Jugadores": roster, "Entrenos": log, "Pruebas": tested})
    return truth
