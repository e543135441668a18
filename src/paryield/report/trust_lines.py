"""Lines for a terminal of what speaks for or against the tool: backtest, refresh, calibration."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from paryield.report.columns import columns
from paryield.report.console import NAMES, RANGE, Record
from paryield.report.misfit_words import misfit_sentences
from paryield.report.words import category_text, index_text, middle_span, missing, number, span
from paryield.units import counted

if TYPE_CHECKING:
    from paryield.evaluate.scores import Skill

READY = ("cautious", "usual", "open")
FELT = 0.05
"""Power-scaling sensitivity above which a prior is felt; see plan/checks.py."""
METHODS = {"paryield": "paryield", "no_change": "no change", "mean_of_last_20": "mean of last 20"}
SCORED = (
    "Scored on rounds within two weeks of the day, and on the index in force that day. CRPS is the average "
    "miss in strokes, spread and all: lower is better. Behind ±: one standard error, golfers taken as units. "
    "Where forecast and index agree to the tenth at the end of a range, it counts in part as held."
)


def backtest_lines(records: Sequence[Skill], notes: Iterable[str]) -> list[str]:
    """Return a table a horizon and quantity, and where a plain rule does as well."""
    lines: list[str] = []
    for key in dict.fromkeys((one["quantity"], one["weeks"]) for one in records):
        part = [one for one in records if (one["quantity"], one["weeks"]) == key]
        first = part[0]
        lines.append(
            f"{NAMES[key[0]][0].upper()}{NAMES[key[0]][1:]}, {key[1]} weeks ahead: {first['n']} forecasts of "
            f"{counted(first['golfers'], 'golfer')} from {first['origins']} days"
        )
        head = ["method", "CRPS", "50 % held", "80 % held", "95 % held", "bias", "rmse", "against ours"]
        lines += columns(head, [_row(one) for one in part])
    plain = [f"Note: {note}." for note in notes]
    return [*lines, SCORED, *plain]


def _row(one: Skill) -> list[Any]:
    return [
        METHODS.get(one["method"], one["method"].replace("_", " ")),
        f"{number(one['crps'], 2)} ± {_error(one['crps_se'], 2)}",
        share(one["cover50"]),
        f"{share(one['cover80'])} ± {share(one['cover80_se'])}",
        share(one["cover95"]),
        number(one["bias"], 2),
        number(one["rmse"], 2),
        one.get("verdict", ""),
    ]


def _error(value: float, digits: int) -> str:
    return "?" if missing(value) else number(value, digits)


def share(value: float) -> str:
    """Return a share as whole per cent."""
    return "?" if missing(value) else f"{100 * value:.0f} %"


def expectation_lines(records: Sequence[Record]) -> list[str]:
    """Return one line a category: what was said, what is used, and what it means at each index."""
    indexes = list(dict.fromkeys(one["index"] for one in records))
    rows = []
    for name in dict.fromkeys(one["category"] for one in records):
        own = [one for one in records if one["category"] == name]
        said, used = own[0]["said"], own[0]["used"]
        shown = [_saved(one["strokes_saved"]) for one in own]
        rows.append([category_text(name), _figures(said) if said else "nothing", _figures(used), *shown])
    first = records[0]
    head = ["category", "said", "used", *(f"at index {index_text(one)}" for one in indexes)]
    return [
        f"Before any data: strokes saved a round by {number(first['hours'])} hours a week of one category, "
        f"kept up for {first['weeks']} weeks.",
        *columns(head, rows),
        "Said and used: low, likely, high per 20 hours for a golfer of index 15; 1 in 10 beyond each end.",
        RANGE,
        "All of this is assumed, nothing is measured yet.",
    ]


def _saved(spread: Record) -> str:
    return middle_span(spread, 2)


def _figures(found: Record) -> str:
    return ", ".join(number(found[key], 2) for key in ("low", "likely", "high"))


def check_lines(found: Record) -> list[str]:
    """Return what moves together, what moved practice earned, and what the advice hangs on."""
    lines = [*_record_lines(found["record"]), *_before_lines(found["before_fit"]), *_sensitivity_lines(found)]
    return [*lines, *_learnt_lines(found.get("learnt")), *misfit_sentences(found["misfit"])]


def _record_lines(record: Record) -> list[str]:
    """Say how old the fit is, and whether a new one is due."""
    if not record["golfers_moved"] and record["fitted_to"] == record["as_of"]:
        return ["The fit has seen every row on record."]
    said = (
        f"Answers are of the record up to {record['as_of']}; what the club has in common was fitted up to "
        f"{record['fitted_to']}, and {counted(record['new_rounds'], 'new round')} came since."
    )
    if record["fit_due"]:
        return [said, f"A new fit is due: {' and '.join(record['reasons'])}; run paryield refresh."]
    return [said, "A new fit is not due yet."]


ALIKE = (
    "That holds for clubs that are alike: where a club has few records, nothing in them can tell that others "
    "are unlike it, and its plans would be misled. A season of its own with tests can."
)
"""On made-up clubs .13 of the best gain is lost from like clubs, .22 alone, .33 from unlike ones (notebook
04)."""


def _learnt_lines(learnt: Record | None) -> list[str]:
    """Say how the club's records agree with what other clubs learnt."""
    if learnt is None:
        return []
    clubs = "1 other club" if learnt["clubs"] == 1 else f"{learnt['clubs']} other clubs"
    said = "disagree with it" if learnt["conflict"] else "do not contradict it"
    return [
        f"Started from what {clubs} ({counted(learnt['golfers'], 'golfer')}) learnt; the records {said}: "
        f"weight on the usual start {number(learnt['usual_before'], 2)} "
        f"before, {number(learnt['usual_after'], 2)} after.",
        *([] if learnt["conflict"] else [ALIKE]),
    ]


def _before_lines(before: Record | None) -> list[str]:
    if before is None:
        return ["Looks before the fit: not stored with this run; fit again."]
    tied = [" and ".join(category_text(name) for name in group) for group in before["co_movement"]["tied"]]
    lines = [f"Always practised together, answered as one: {'; '.join(tied) or 'none'}."]
    shifted = before["time_shift"]
    if not shifted:
        return [*lines, "Practice moved by 26 weeks: too few rounds or no diary, not checked."]
    count = {word: sum(one["verdict"] == word for one in shifted) for word in dict.fromkeys(SHIFT_WORDS)}
    said = ", ".join(f"{number} {word}" for word, number in count.items() if number)
    lines.append(f"Practice moved by 26 weeks, earlier and later, should earn nothing: {said}.")
    for one in shifted:
        if one["verdict"] == "earns something":
            lines.append(
                f"  {category_text(one['category'])}, moved {one['moved']}: {_plus(one)} strokes per 20 "
                "hours; a season, a trend or practising what is weak may stand behind this practice"
            )
    return lines


SHIFT_WORDS = ("earns nothing", "cannot tell", "earns something")


def _plus(one: Record) -> str:
    return f"{number(one['strokes_per_20_hours'], 2)} ({span(one['low'], one['high'], 2)})"


def _sensitivity_lines(found: Record) -> list[str]:
    advice = found["sensitivity"]
    if advice is None:
        return ["Expectations of practice play no part: there is no diary."]
    lines = [f"Expectations of practice: {found['expectations']}. Under other sets the advice would change:"]
    for one in advice["sets"]:
        if not one["told"]:
            told = "the draws do not reach that far"
            if one["name"] in READY:
                told += f"; paryield fit --expectations {one['name']} would tell"
        else:
            told = (
                f"the likeliest best area for {one['best_changes']} of {counted(one['golfers'], 'golfer')}, "
                f"a verdict for {one['verdict_changes']}"
            )
        lines.append(f"  {one['name']}: {told}")
    felt = [category_text(name) for name, value in advice["power"].items() if value > FELT]
    lines.append(f"Gains in which the expectation is clearly felt: {', '.join(felt) or 'none'}.")
    return lines
