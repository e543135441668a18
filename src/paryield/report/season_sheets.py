"""A sheet of the season for every member: what he is on, when, and the hours of each kind of practice."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pandas as pd

from paryield import private
from paryield.club import Club
from paryield.plan.cautions import STANDING_CAUTIONS
from paryield.plan.season.record import Running, Taking, read
from paryield.report.plain import Section, plain_page
from paryield.report.season_lines import tests_text
from paryield.report.words import category_text, day, number, one_line, sentence
from paryield.report.write import page_names
from paryield.tables import Tables
from paryield.units import MINUTES_PER_HOUR

WHY = (
    "Everybody in the club gets each of these emphases. Only the order is by lot, so that season and weather "
    "speak for none of them. What pays for the club, and for you, shows at the end."
)
KEEP = "Write down every session, kept or not, and post every round: both count."


def write_sheets(club: Club, folder: Path) -> list[Path]:
    """Write one page a member of the newest season on record, and return the files.

    Raises
    ------
    InputError
        When no season is on record.
    """
    running, tables = read(club.design()), club.tables()
    names = dict(zip(tables.golfers["golfer_id"], tables.golfers["display_name"], strict=True))
    files = page_names([one.entrant.golfer_id for one in running.members])
    place = folder.expanduser()
    private.make_folder(place)
    written = []
    for one in running.members:
        golfer = one.entrant.golfer_id
        name = names.get(golfer)
        shown = golfer if name is None or pd.isna(name) else str(name)
        file = place / files[golfer].replace("golfer-", "season-")
        private.write(file, sheet(running, one, tables, shown))
        written.append(file)
        club.note_copy("report", file, golfer)
    return written


def sheet(running: Running, one: Taking, tables: Tables, name: str) -> str:
    """One member's sheet as an HTML document."""
    plans = tables.plans
    own = plans[(plans["plan"] == running.plan) & (plans["golfer_id"] == one.entrant.golfer_id)]
    lead = [WHY, sentence(f"{tests_text(running.tests_every)}."), KEEP]
    sections = []
    for number_, (block, emphasis) in enumerate(zip(running.blocks, one.order, strict=True), start=1):
        words = category_text(emphasis) if emphasis else "as before"
        rows = _rows(own, block.starts_on, block.ends_on)
        heading = f"{number_}. {sentence(words)}: {day(block.starts_on)} to {day(block.ends_on)}"
        sections.append(Section(heading, head=("practice", "from", "to", "hours a week"), rows=rows))
    return plain_page(f"{one_line(name)}: the season", lead, sections, STANDING_CAUTIONS)


def _rows(own: pd.DataFrame, first: date, last: date) -> list[list[str]]:
    inside = own[(own["starts_on"] <= pd.Timestamp(last)) & (own["ends_on"] >= pd.Timestamp(first))]
    inside = inside.sort_values(["starts_on", "minutes_per_week"], ascending=[True, False], kind="stable")
    return [
        [
            category_text(str(row["category"])),
            day(max(row["starts_on"].date(), first)),
            day(min(row["ends_on"].date(), last)),
            number(float(row["minutes_per_week"]) / MINUTES_PER_HOUR, 2),
        ]
        for row in inside.to_dict("records")
    ]
