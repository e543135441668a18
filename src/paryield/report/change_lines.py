"""Splits and blocks as lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from paryield.report.console import RANGE, columns
from paryield.report.split_words import PART_NAMES, of_quantity, part_text, split_sentences
from paryield.report.words import day, number, one_line

Record = Mapping[str, Any]
SIGNS = "Negative: scores fell. The parts sum to the whole in every draw, so their middles sum to it nearly."
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
    return f"{number(change['q50'], 2)} ({number(change['q10'], 2)} to {number(change['q90'], 2)})"
