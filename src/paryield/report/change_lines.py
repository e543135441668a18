"""Splits and blocks as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from paryield.report.columns import columns
from paryield.report.console import RANGE
from paryield.report.split_words import PART_NAMES, of_quantity, part_text, split_sentences
from paryield.report.words import category_text, chance_text, day, middle_span, number, one_line, weeks_text

Record = Mapping[str, Any]
SIGNS = "Negative: scores fell. The parts sum to the whole in every draw, so their middles sum to it nearly."
BITS = "In bits: 0 when the best area is known; each 1 halves the areas in question."
SAID = {
    "would settle it": "This would settle which practice area is best.",
    "would help": "This would help to tell which practice area is best, but not settle it.",
    "would tell too little": "No change of practice would tell much about which area is best.",
    "settled already": "Which area is best is known well enough: no block is needed.",
    "cannot tell": "A block cannot be weighed.",
}
"""What a block would do, by verdict."""
SHARED = "That without practice the categories' areas would have moved alike is assumed."


def split_lines(records: Sequence[Record], notes: Iterable[str] = ()) -> list[str]:
    """Return the sentence, then one line a part: of the average round and of the rounds themselves."""
    first = records[0]
    period = f"{day(first['from'])} to {day(first['to'])}"
    lines = [f"Golfer {one_line(first['golfer_id'])}, {period}", *map(one_line, split_sentences(records))]
    level = {_key(one): one for one in of_quantity(records, "mean_differential")}
    rounds = {_key(one): one for one in of_quantity(records, "observed_mean")}
    order = sorted(dict.fromkeys([*level, *rounds]), key=_place)
    rows = [
        [
            part_text(level.get(key) or rounds[key]),
            _cell(level.get(key)),
            *([_cell(rounds.get(key))] if rounds else []),
            (level.get(key) or rounds[key])["evidence"],
        ]
        for key in order
    ]
    head = ["part", "average round", *(["rounds played"] if rounds else []), "rests on"]
    return [*lines, *columns(head, rows), *map(one_line, notes), RANGE, SIGNS, SHARED]


def _key(record: Record) -> tuple[str, str]:
    return record["part"], record["category"] or ""


def _place(key: tuple[str, str]) -> int:
    return list(PART_NAMES).index(key[0])


def _cell(record: Record | None) -> str:
    if record is None:
        return ""
    change = record["change"]
    if record["quantity"] == "observed_mean" and record["part"] == "whole":
        return f"{number(change['q50'], 2)} (as played)"
    return middle_span(change, 2)


def block_lines(records: Sequence[Record]) -> list[str]:
    """Return what one golfer's block would tell and cost, then its weeks."""
    first = records[0]
    who = f"Golfer {one_line(first['golfer_id'])}"
    lines = [f"{who}, a block of {weeks_text(first['weeks'])}: {SAID[first['verdict']]}"]
    if not first["reportable"]:
        return [*lines, one_line(first["reason"]), *map(one_line, first["cautions"])]
    lines += [
        f"Block: {', then '.join(map(category_text, first['focus']))}.",
        f"Open now: {number(first['entropy_now'], 2)} bits. Expected to be told by about "
        f"{number(first['rounds'], 0)} rounds: {number(first['information'], 2)} (Monte Carlo error "
        f"{number(first['information_error'], 2)}); practising as now would tell "
        f"{number(first['information_present'], 2)}.",
        f"Cost at its end, strokes a round (negative: it pays): {_spread(first['cost'])}; "
        + (
            "it cannot be wrong."
            if first["cost_if_wrong"] is None
            else f"{number(first['cost_if_wrong'], 2)} on average if another area is the best."
        ),
    ]
    return [*lines, *_weeks(first), RANGE, BITS, *map(one_line, first["cautions"])]


def _spread(found: Mapping[str, float]) -> str:
    return middle_span(found, 2)


def _weeks(record: Record) -> list[str]:
    rows = [
        [
            f"{row['from_week']} to {row['to_week']}",
            category_text(row["category"]),
            number(row["hours_now"], 2),
            number(row["hours_block"], 2),
        ]
        for row in record["weeks_plan"]
    ]
    return columns(["weeks", "practice", "hours a week now", "in the block"], rows)


def learnt_lines(records: Sequence[Record]) -> list[str]:
    """Return how open the question of the best category was and is, then one line a category."""
    first = records[0]
    who = "the club" if first["golfer_id"] is None else f"golfer {one_line(first['golfer_id'])}"
    before, after = first["runs"]
    rows = [
        [
            category_text(one["category"]),
            chance_text(one["chance_best_before"]),
            chance_text(one["chance_best_after"]),
        ]
        for one in sorted(records, key=lambda record: -record["chance_best_after"])
    ]
    return [
        f"Which area is best for {who}: {number(first['entropy_before'], 2)} bits open in run {before}, "
        f"{number(first['entropy_after'], 2)} in run {after}.",
        *columns(["practice", f"chance best, run {before}", f"run {after}"], rows),
        BITS,
    ]
