"""The parts of a golfer's page: week, record, last review, goals, areas, practice, tests, evidence."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from markupsafe import Markup
from matplotlib.figure import Figure

from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.measured import Measured
from paryield.report import area_words, figures, review_words, sentences, split_words, verdicts, words
from paryield.report.figures.style import Width
from paryield.report.figures.tests import MOST_PANELS, panels_of_tests
from paryield.report.first_screen import went_well
from paryield.report.frames import noise_row, practice_rows, records
from paryield.report.goal_words import goal_hours_sentence
from paryield.report.index_words import ringed
from paryield.report.plan_words import PHASES, moved, regret_sentence, rule_sentence, tell_sentence
from paryield.report.rendering import part
from paryield.report.sections.drawing import both_widths
from paryield.report.sums import minutes_adding_up
from paryield.report.testing_words import (
    ASSUMED,
    SHORTLY,
    change_sentence,
    clear_change,
    measured_sentence,
    next_sentence,
    not_added,
    practised_sentence,
    unclear_sentence,
)
from paryield.report.views import GolferView, PageView
from paryield.report.words import missing


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
    if view.plan is None or not view.plan["weeks_plan"]:
        return Markup("")
    record = view.plan | {"weeks_plan": _in_minutes(view.plan["weeks_plan"])}
    running = None if view.kept is None else view.kept.hours
    title = _plan_title(record)
    if view.kept is not None:
        title = f"The plan {words.one_line(view.kept.plan, 30)!r} beside the advised week"
    figure = both_widths(
        "week",
        _plan_alt(record, running),
        lambda width: figures.week_dots(record, running=running, title=title, width=width),
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
        tell=tell_sentence(view.plan),
        regret=regret_sentence(view.plan),
        rule=rule_sentence(),
        figure=figure,
        days={on: held for on, held in days.items() if view.long or on < second},
        phases=[row | {"named": PHASES[row["phase"]]} for row in record["phases"]],
        cautions=cautions,
        changed=record["verdict"] != "keep",
        kept=view.kept,
        long=view.long,
    )


def _in_minutes(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the rows of a week with hours in whole minutes that add up to those of the whole week."""
    names = ("hours_now", "hours_advised", "hours_best")
    shown = [minutes_adding_up({place: row[name] for place, row in enumerate(rows)}) for name in names]
    return [
        row | {name: hours[place] for name, hours in zip(names, shown, strict=True)}
        for place, row in enumerate(rows)
    ]


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


def _plan_title(record: dict[str, Any]) -> str:
    if record["verdict"] == "keep":
        return (
            "Keep what is allowed of the present week" if record.get("limited") else "Keep the present week"
        )
    start = "Try: " if record["verdict"] == "try" else ""
    return words.sentence(f"{start}{moved(record)}")


def _plan_alt(record: dict[str, Any], running: Mapping[str, float] | None) -> str:
    rows = []
    for row in record["weeks_plan"]:
        planned = 0.0 if running is None else running.get(row["category"], 0.0)
        kept = "" if running is None else f"{words.time_text(planned)} in the plan, "
        rows.append(
            f"{words.category_text(row['category'])} {words.time_text(row['hours_now'])} now, {kept}"
            f"{words.time_text(row['hours_advised'])} advised"
        )
    return f"Time a week by category: {'; '.join(rows)}."


def record_section(view: GolferView) -> Markup:
    """Return the rounds so far, the fan of the index to come, and its table."""
    title, said = sentences.forecast_title(view), " ".join(sentences.forecast_sentences(view))
    goal = None if view.goal is None else (view.goal.by, view.goal.goal)

    def draw(width: Width) -> Figure:
        return figures.forecast_fan(view.rounds, view.forecast, goal=goal, title=title, width=width)

    figure = both_widths("fan", said, draw)
    return part(
        "record.html",
        figure=figure,
        steps=_steps(view),
        goal=goal,
        why=_why(view),
        counting=_counting(view),
        long=view.long,
    )


def _counting(view: GolferView) -> str:
    """Return which of the rounds are ringed in the picture, empty where none counts yet."""
    return ringed(view.counting) if view.counting else ""


def _why(view: GolferView) -> list[str]:
    row = view.ahead("handicap_index")
    return [] if row is None or not row["reportable"] else sentences.because_sentences(row)


def _steps(view: GolferView) -> list[dict[str, Any]]:
    """Forecast rows of the printed table: index and level side by side, today left out."""
    given = view.forecast[view.forecast["reportable"] & (view.forecast["weeks"] > 0)]
    weeks = sorted({int(week) for week in given["weeks"]})
    shown = [week for week in weeks if week % 4 == 0 or week == view.weeks] or weeks
    found = []
    for week in shown:
        index, level = view.ahead("handicap_index", week), view.ahead("mean_differential", week)
        on = next(row["on"] for row in (index, level, view.ahead("score_differential", week)) if row)
        found.append({"weeks": week, "on": on, "index": index, "level": level})
    return found


def review_section(view: GolferView) -> Markup:
    """Return the review: planned and done, what the change came from, tests, goal, next date."""
    review = view.review
    if review is None:
        return Markup("")
    said = split_words.split_sentences(review.split, dated=False)
    unseen = review_words.unseen_sentence(view.rounds, review.since, review.until)
    praise = went_well(view)
    figure = both_widths(
        "split",
        " ".join(said),
        lambda width: figures.split_dots(review.split, title=_review_title(review.split), width=width),
    )
    tests = [
        {
            "name": review_words.test_name(row),
            "before": review_words.test_value(row, "before"),
            "before_on": row["before_on"],
            "after": review_words.test_value(row, "after"),
            "after_on": row["after_on"],
            "change": review_words.test_change(row),
            "shown": _shown(row, praise),
            "verdict": review_words.test_verdict(row),
            "said": review_words.TEST_CELLS[review_words.test_verdict(row)],
        }
        for row in review.tests
    ]
    days = (review.until - review.since).days
    return part(
        "review.html",
        review=review,
        practice=_planned_and_done(review.practice),
        index=review_words.index_sentence(view.rounds, review.since, review.until),
        said=[*unseen, *(said if view.long else said[:2])],
        figure=figure,
        tests=tests,
        practised=review_words.practice_sentence(
            review.practice, days, review.days_unknown, review.days_planned
        ),
        praise=praise,
        decide="" if view.left else review_words.to_decide(view.goal, view.plan),
        long=view.long,
        coming="" if view.left else review_words.next_sentence(review.next_from, review.next_to),
    )


def _planned_and_done(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return time planned and done by practice in minutes that add up; None where no plan held any."""
    done = minutes_adding_up({row["category"]: row["hours_done"] for row in rows})
    named = {row["category"]: row["hours_planned"] for row in rows if row["hours_planned"] is not None}
    planned = minutes_adding_up(named)
    return [
        row | {"hours_done": done[row["category"]], "hours_planned": planned.get(row["category"])}
        for row in rows
    ]


def _shown(row: dict[str, Any], praise: str) -> bool:
    """Whether a test changed clearly and is not what is praised already."""
    clear = review_words.test_verdict(row) in ("better", "worse")
    return clear and review_words.test_praise(row) != praise


def _review_title(split: list[dict[str, object]]) -> str:
    level = split_words.of_quantity(split, "mean_differential")
    whole = split_words.whole_of(level)
    if whole is None or split_words.direction(whole["change"]) == "cannot tell":
        return "Whether scores changed cannot be told yet"
    cause = split_words.clearest_cause(level)
    went = split_words.direction(whole["change"])
    if cause == "none":
        return f"Scores {went}; no single cause stands out"
    return f"Scores {went}; clearest cause: {split_words.PART_NAMES[cause]}"


def areas_section(view: GolferView) -> Markup:
    """Return strokes lost by area against golfers of the same index and of the goal index."""
    rows = records(view.areas)
    if not rows:
        return Markup("")
    findings = [area_words.area_sentence(row) for row in rows]
    title = area_words.areas_title(view.areas)
    figure = both_widths(
        "areas",
        " ".join(findings),
        lambda width: figures.area_dots(view.areas, title=title, width=width),
    )
    rests = area_words.evidence_sentence(rows[0])
    goal = None if missing(rows[0]["goal"]) else float(rows[0]["goal"])
    return part("areas.html", figure=figure, rows=rows, goal=goal, rests=rests, long=view.long)


def returns_section(view: GolferView) -> Markup:
    """Return strokes saved by one more weekly hour, the noise floor, and the hours of the present week."""
    rows = [row | {"rank": _rank(row)} for row in records(practice_rows(view.returns))]
    findings = [verdicts.verdict_sentence(row) for row in rows]
    returns = both_widths(
        "returns",
        " ".join(findings) or "No practice category has a return.",
        lambda width: figures.returns_dots(view.returns, title=_returns_title(rows), width=width),
    )
    noise = noise_row(view.returns)
    return part(
        "returns.html",
        rows=rows,
        noise=noise,
        figure=returns,
        ranks=verdicts.rankings_sentence(rows),
        long=view.long,
    )


def _rank(row: dict[str, Any]) -> str:
    rank = row.get("rank_before_record")
    return "" if words.missing(rank) else words.number(rank, 0)


def _returns_title(rows: list[dict[str, Any]]) -> str:
    leading = [words.category_text(row["category"]) for row in rows if row["verdict"] == "stands out"]
    if not leading:
        return "No practice area stands out yet"
    if len(leading) == 1:
        return f"{words.sentence(leading[0])} stands out"
    return f"{words.sentence(', '.join(leading[:-1]))} and {leading[-1]} stand out"


def tests_section(view: GolferView) -> Markup:
    """Return results by test, in their own unit and in strokes, with the practice done between them."""
    if not view.tests and not view.due:
        return Markup("")
    said = [(measured_sentence(one), practised_sentence(one)) for one in view.tests]
    alt = " ".join(sentence for sentence, _ in said)
    figure, shortly = None, ""
    if any(len(one.results) > 1 for one in view.tests):
        figure = both_widths("tests", alt, lambda width: panels_of_tests(view.tests, width=width))
        if not view.long:
            said, shortly = _in_short(view.tests), SHORTLY
    return part(
        "tests.html",
        said=said,
        figure=figure,
        next=next_sentence(view.due),
        assumed=ASSUMED,
        apart=not_added(view.tests, view.counting if view.long else None),
        shortly=shortly,
    )


def _in_short(tests: tuple[Measured, ...]) -> list[tuple[str, str]]:
    """Say clear changes and what the picture leaves out, and name the others: it shows their results."""
    drawn = [one for one in tests if len(one.results) > 1][:MOST_PANELS]
    said, unclear = [], []
    for one in tests:
        if clear_change(one):
            said.append(change_sentence(one))
        elif one not in drawn or one.change is None:
            said.append(measured_sentence(one))
        else:
            unclear.append(one)
    return [(line, "") for line in [*said, unclear_sentence(unclear)] if line]


def evidence_section(view: PageView) -> Markup:
    """Return the counts behind the numbers of a page of many golfers, empty where there are none."""
    if not (view.notes or view.health.lines):
        return Markup("")
    return part("evidence.html", lines=[*view.notes, *view.health.lines])


def measured_section(view: GolferView) -> Markup:
    """Return the counts behind one golfer's numbers, and what the three evidence words mean.

    The numbers of the health gate are for the coach: a golfer's first screen says whether it was passed.
    """
    return part("measured.html", notes=view.notes, lines=view.health.lines if view.long else ())
