"""What a refresh changed, as lines for a terminal and as a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from paryield.report.columns import columns
from paryield.report.console import NAMES
from paryield.report.plain import Section, plain_page
from paryield.report.words import category_text, missing, number, one_line

if TYPE_CHECKING:
    from paryield.evaluate.refresh import Refresh

HEAD = ("golfer", "what", "before", "now", "from data", "from settings", "sampling ±", "mainly")
MOST_LINES = 20
READING = (
    "Both runs are asked about the same day, 12 weeks after the newest row: the middle value of the average "
    "round, of the Handicap Index, and of strokes saved by one more weekly hour. Sampling is one Monte Carlo "
    "standard error of the difference; a change within two of them says nothing."
)
HELD = (
    "A verdict once given is kept until it clearly fails (chance 0.7 instead of 0.8; 0.05 instead of 0.1 "
    "strokes for a category, 0.1 instead of 0.2 for a week), so that two noisy weeks do not turn the advice."
)


def change_lines(found: Refresh) -> list[str]:
    """Return verdicts that turned and the largest changes beyond sampling."""
    beyond = _beyond(found)
    lines = [f"Run {found.run} replaces run {found.run_before}."]
    lines += [f"Settings that differ: {', '.join(found.settings)}."] if found.settings else []
    lines += columns(HEAD, [_row(one) for one in beyond[:MOST_LINES]]) if beyond else []
    more = len(beyond) - MOST_LINES
    rest = len(found.records) - len(beyond)
    lines += [f"{more} more beyond sampling; see --json."] if more > 0 else []
    lines.append(f"{rest} of {len(found.records)} figures changed by no more than sampling.")
    turned = [
        f"{one_line(one['golfer_id'])}, {category_text(one['category'])}: now {one['after']}"
        for one in found.turned
    ]
    lines.append(f"Verdicts that turned: {'; '.join(turned) or 'none'}.")
    return [*lines, *(f"Note: {note}." for note in found.notes), READING, HELD]


def change_page(found: Refresh, club: str) -> str:
    """Return the change page as an HTML document."""
    turned = [
        (one["golfer_id"], category_text(one["category"]), one["before"], one["after"])
        for one in found.turned
    ]
    beyond = _beyond(found)
    count = len(found.records)
    rest = f"{count - len(beyond)} of {count} figures changed by no more than sampling."
    sections = [
        Section(
            "Verdicts that turned",
            [HELD] if turned else ["None.", HELD],
            ("golfer", "practice", "before", "now"),
            turned,
        ),
        Section("Figures that changed", [READING, rest], HEAD, [_row(one) for one in beyond]),
    ]
    lead = [f"{one_line(club)}: run {found.run} beside run {found.run_before}."]
    lead.append(
        f"Settings that differ: {', '.join(found.settings)}."
        if found.settings
        else "The settings are the same."
    )
    lead += [] if found.ok else ["The new run does not pass the health gate: its figures are not to be used."]
    return plain_page("What changed", [*lead, *(f"Note: {note}." for note in found.notes)], sections)


def _beyond(found: Refresh) -> list[dict[str, Any]]:
    beyond = [one for one in found.records if one["from"] != "sampling"]
    return sorted(beyond, key=lambda one: -abs(one["change"]))


def _row(one: dict[str, Any]) -> Sequence[str]:
    what = NAMES.get(one["quantity"]) or f"one hour of {category_text(one['category'])}"
    parts = [one["before"], one["after"], one["by_new_data"], one["by_settings"], one["monte_carlo_error"]]
    shown = ["not told apart" if missing(part) else number(part, 2) for part in parts]
    return [one["golfer_id"], what, *shown, one["from"]]
