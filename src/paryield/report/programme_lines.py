"""Programme outcomes in plain sentences and lines: what happened, against what would have happened anyway."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from paryield.programme.board import CANNOT_TELL, HELPED, LITTLE, WORSE
from paryield.report.columns import columns
from paryield.report.words import NBSP, day, missing, number, one_line, sentence, span, strokes
from paryield.units import counted

Record = dict[str, Any]
FLATTERS = "Before and after flatters: members join when they play badly, and most come back by themselves."
HIDDEN = "Groups of fewer than 5 members are hidden, and others where a hidden one could be worked out."
ASSUMES = (
    "What would have happened anyway assumes practice as before joining, and that nothing else happened to "
    "the members alone while the programme ran."
)
SAID = {
    HELPED: "{name} helped: members play {size} a round better than without it ({range}).",
    WORSE: "{name} made it worse: members play {size} a round worse than without it ({range}).",
    LITTLE: "{name} made little difference: half a stroke a round at most, either way ({range}).",
    CANNOT_TELL: "We cannot tell yet whether {name} helped. {range_first}.",
}


def programme_sentence(record: Record) -> str:
    """The answer for one programme in one sentence or two, without statistics."""
    name = one_line(record["programme"], 60)
    if record["hidden"]:
        return f"{sentence(name)}: too few members to say anything without naming them."
    effect = record["effect"]
    span = better_to_worse(effect["q10"], effect["q90"])
    text = SAID[record["verdict"]].format(
        name=name,
        size=strokes(abs(effect["q50"])),
        range=f"8 in 10: {span}",
        range_first=sentence(f"8 chances in 10 that it made members play between {span}, in strokes a round"),
    )
    if record["beyond_hours"] is None:
        text = (
            f"We cannot tell yet whether {name} helped: this fit knows only what the extra practice hours "
            "did, not what the coaching did."
        )
    return sentence(text)


def better_to_worse(low: float, high: float) -> str:
    """A range of effects as strokes better or worse a round."""
    return f"{side(low)} and {side(high)}"


def side(value: float) -> str:
    """A change as strokes better or worse."""
    way = "better" if value < 0 else "worse"
    return "no change" if abs(value) < 0.05 else f"{number(abs(value))} {way}"


def members_sentence(record: Record) -> str:
    """How many came, stayed and left, and who fell silent."""
    parts = [
        f"{counted(record['golfers'], 'member')} joined: {record['finished']} finished, {record['left']} left"
    ]
    if record["running"]:
        parts.append(f"{record['running']} are still in it")
    text = ", ".join(parts) + "."
    if record["stopped_posting"]:
        silent = record["stopped_posting"]
        verb = "has" if silent == 1 else "have"
        text += f" {silent} {verb} posted no round since; that is not the same as no change."
    return text


def flatters_sentence(record: Record) -> str:
    """Before and after, with the reason why it flatters."""
    plain, effect = record["plain_change"], record["effect"]
    if plain is None:
        return "Too few members have rounds on both sides for a before/after."
    said = f"From before to after their scores have {moved(plain)}"
    if record["beyond_hours"] is not None:
        said += f"; without the programme they would have {moved(plain - effect['q50'])}"
    return f"{said}. {FLATTERS}"


def moved(change: float) -> str:
    """A change of scores in words that serve as past tense and after "would have"."""
    if abs(change) < 0.05:
        return "stayed the same"
    return f"{'gone up' if change > 0 else 'come down'} by {strokes(abs(change))}"


def dropouts_sentence(record: Record) -> str:
    """What the members who were not seen to the end could change."""
    bounds, middle = record["bounds"], side(record["effect"]["q50"])
    if not bounds["unseen"]:
        return "Nobody left or fell silent, so the answer does not hang on those who were not seen."
    return (
        f"{bounds['unseen']} left or fell silent. Had they all done as badly as 1 golfer in 20 does by "
        f"himself, the answer would be {side(bounds['worst'])} instead of {middle}; had they all done as "
        f"well, {side(bounds['best'])}."
    )


def promise_sentence(record: Record) -> str:
    """What next year's intake may expect."""
    ahead = record["promise"]
    low, high = round(ahead["better"]["q10"]), round(ahead["better"]["q90"])
    count = f"{low}" if low == high else f"{low} to {high}"
    return (
        f"Next year, of {counted(ahead['golfers'], 'member')} like these, {count} would play a stroke or "
        "more better than on joining (8 in 10), season left out and whatever the cause."
    )


def sentences_beside(record: Record) -> list[str]:
    """What stands below the answer; what rests on the whole effect only where the fit knows it."""
    said = [members_sentence(record), flatters_sentence(record)]
    if record["beyond_hours"] is not None:
        said += [dropouts_sentence(record), promise_sentence(record)]
    return said


ADVISED = {"go on": "Go on", "change": "Change it", "stop": "Stop it", "cannot tell": "It cannot be told yet"}
"""A recommendation as a sentence begins."""


def board_sentences(record: Record) -> list[str]:
    """What a board reads: one recommendation, what was offered, kept, paid, and what the lot says."""
    offer = record["offered"]
    kept = record["hours_kept"]
    lines = [
        f"{ADVISED[record['recommendation']]}: {record['why']}.",
        f"Offered from {day(offer['starts_on'])} to {day(offer['ends_on'])}, "
        f"{number(offer['weeks'], 0)} weeks a member"
        + ("." if kept is None else f"; {100 * kept:.0f} % of the planned hours were kept."),
    ]
    if record["cost"] is not None:
        stroke = record["cost"]["stroke"]
        each = "what a stroke cost cannot be told"
        if stroke is not None:
            each = f"{number(stroke, 0)} for a stroke a round"
        lines.append(f"Cost: {number(record['cost']['member'], 0)} a member, {each}.")
    if record["by_lot"] is not None:
        lot = record["by_lot"]
        lines.append(
            f"By lot: the {lot['places']} who got a place play {better_to_worse(lot['low'], lot['high'])} "
            f"(9 in 10) against the {lot['waiting']} who wait; {100 * lot['chance']:.0f} % of the lots "
            "that could have been drawn set them as far apart."
        )
    elif record["recommendation"] == "cannot tell":
        lines.append(LOT)
    return lines


LOT = (
    "Where places are short, draw them by lot: it is fair, and those who wait tell what would have come "
    "anyway (--places)."
)


def places_lines(record: Record) -> list[str]:
    """Return who got a place and who waits."""
    return [
        f"Places of {one_line(record['programme'], 60)} from {day(record['on'])}, by lot with seed "
        f"{record['seed']}:",
        f"  a place: {', '.join(map(one_line, record['places']))}",
        f"  waiting: {', '.join(map(one_line, record['waiting']))}",
        "Enter those who come in the table of programmes under this name; both lists are then compared.",
    ]


def programme_lines(records: Sequence[Record], notes: Sequence[str] = ()) -> list[str]:
    """Return the answer in sentences, then the numbers."""
    lines: list[str] = []
    for record in records:
        lines.append(programme_sentence(record))
        if record["hidden"]:
            continue
        lines += [*board_sentences(record), *sentences_beside(record)]
        rows = [*number_rows(record), *group_rows(record)]
        lines += columns(["strokes a round; less is better", "middle", "8 in 10", "members"], rows)
        lines += [f"Mind: {one_line(text)}." for text in record["warnings"]]
    return [*lines, *map(one_line, notes), ASSUMES, HIDDEN]


def number_rows(record: Record) -> list[list[str]]:
    """The numbers of one programme, a row each."""
    rows = [
        ["effect against what would have come anyway", *spread(record["effect"]), str(record["golfers"])],
        ["  of it: practice hours", *spread(record["from_hours"]), ""],
        ["  of it: the programme beyond its hours", *spread(record["beyond_hours"]), ""],
        ["Handicap Index", *spread(record["index_effect"]), ""],
    ]
    second, placebo = record["second_route"], record["placebo"]
    if second is not None:
        rows.append(["a plainer reckoning (9 in 10)", number(second["effect"]), between(second), ""])
    if placebo is not None:
        name = f"the same, dates moved back {placebo['weeks_back']} weeks (9 in 10)"
        rows.append([name, number(placebo["effect"]), between(placebo), ""])
    plain = record["plain_range"]
    name = "before/after, for comparison only (9 in 10)"
    rows.append([name, number(record["plain_change"]), between(plain) if plain else "", ""])
    for name, key in (
        ("before/after of golfers outside who were alike (9 in 10)", "outside"),
        ("before/after of all who never joined (9 in 10)", "never_joined"),
    ):
        if record[key] is not None:
            found = record[key]
            rows.append([name, number(found["plain_change"]), between(found), str(found["golfers"])])
    return rows


def group_rows(record: Record) -> list[list[str]]:
    """Groups of one programme that may be shown, a row each; of the others nothing, not even their number."""
    rows = [
        [f"{one['by']}: {one_line(one['value'], 40)}", *spread(one["effect"]), str(one["golfers"])]
        for one in record["groups"]
        if not one["hidden"]
    ]
    return rows


def spread(effect: Record | None) -> tuple[str, str]:
    """Middle and range of an effect."""
    if effect is None or missing(effect["q50"]):
        return "not known", ""
    return number(effect["q50"]), span(effect["q10"], effect["q90"])


def between(found: Record) -> str:
    """Range of a second-route answer."""
    return span(found["low"], found["high"])


def design_lines(rows: Sequence[Record]) -> list[str]:
    """How many members and months it takes to see an effect."""
    size = number(rows[0]["strokes"])
    head = ["members", "months of rounds after it", "chance to see it", "smallest effect seen 8 times in 10"]
    cells = [
        [
            row["members"],
            row["months"],
            f"{row['chance_seen'] * 100:.0f}{NBSP}%",
            number(row["smallest_seen"]),
        ]
        for row in rows
    ]
    return [
        f"Chance to see an effect of {size} stroke a round, with as many golfers outside as members",
        *columns(head, cells),
        "Worked out by simulation with this club's spreads and pace: half a year of rounds before, a "
        "programme of three months, a plainer reckoning. Seen: the 95 in 100 range leaves out no effect.",
    ]
