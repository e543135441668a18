"""What can be reached, and the advised week beside the present one."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from markupsafe import Markup

from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.report import figures, words
from paryield.report.goal_words import goal_hours_sentence
from paryield.report.plan_words import PHASES, moved, regret_sentence, tell_sentence
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.views import GolferView


def goals_section(view: GolferView) -> Markup:
    """Return the likely, even and stretch index by date, and what the goal takes."""
    given = [row for row in view.goals if row["reportable"]]
    if not given:
        return Markup("")
    said = [
        goal_hours_sentence(row, chance_told=not view.long)
        for row in view.goals
        if row.get("goal") is not None
    ]
    return part("goals.html", rows=given, said=said)


def plan_section(view: GolferView) -> Markup:
    """Return the advised week: finding, figure, hours and reps, sessions, phases and cautions."""
    record = view.plan
    if record is None or not record["weeks_plan"]:
        return Markup("")
    figure = both_widths(
        "week",
        _alt(record),
        lambda width: figures.week_dots(record, title=_title(record), width=width),
    )
    days: dict[str, list[dict[str, Any]]] = {}
    sessions = record["sessions"] if view.kept is None else view.kept.sessions
    for one in [] if view.card_apart else sessions:
        days.setdefault(one["on"], []).append(one)
    second = _second_week(record["phases"], sessions)
    cautions = _once([line for line in record["cautions"] if line not in STANDING_CAUTIONS])
    return part(
        "plan.html",
        record=record,
        tell=tell_sentence(record),
        regret=regret_sentence(record),
        figure=figure,
        days={on: held for on, held in days.items() if view.long or on < second},
        phases=[row | {"named": PHASES[row["phase"]]} for row in record["phases"]],
        cautions=cautions,
        changed=record["verdict"] != "keep",
        kept=view.kept,
        long=view.long,
    )


def _once(lines: list[str]) -> list[str]:
    """Return cautions with a closing clause that several share said with the last of them alone."""
    tails = [line.partition("; ")[2] for line in lines]
    return [
        f"{line.partition('; ')[0]}." if tail and tail in tails[place + 1 :] else line
        for place, (line, tail) in enumerate(zip(lines, tails, strict=True))
    ]


def _second_week(phases: list[dict[str, Any]], sessions: list[dict[str, Any]]) -> str:
    """Return the ISO day on which the second week of the plan begins, empty without sessions."""
    if not sessions:
        return ""
    first = words.as_date(phases[0]["starts_on"] if phases else sessions[0]["on"])
    return (first + timedelta(weeks=1)).isoformat()


def _title(record: dict[str, Any]) -> str:
    if record["verdict"] == "keep":
        return (
            "Keep what is allowed of the present week" if record.get("limited") else "Keep the present week"
        )
    start = "Try: " if record["verdict"] == "try" else ""
    return words.sentence(f"{start}{moved(record)}")


def _alt(record: dict[str, Any]) -> str:
    rows = [
        f"{words.category_text(row['category'])} {words.time_text(row['hours_now'])} now, "
        f"{words.time_text(row['hours_advised'])} advised"
        for row in record["weeks_plan"]
    ]
    return f"Time a week by category: {'; '.join(rows)}."
