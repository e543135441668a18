"""All clubs of a chain for its board: lines for a terminal, one page, and one workbook."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from paryield import private
from paryield.evaluate.chain import FAILED, Chain, ClubDone
from paryield.report.columns import columns
from paryield.report.plain import Section, plain_page
from paryield.report.words import category_text, chance_text, number, one_line, span
from paryield.tables.workbooks import write_workbook
from paryield.units import counted

PAGE, BOOK = "chain.html", "chain.xlsx"
GAINS = (
    "Gains: strokes a round per 20 hours of practice, for a golfer of index about 15; 8 in 10 lie between."
)
SMALL = "Programmes of few members, and whatever could be worked out from them, are left out."


def club_line(one: ClubDone) -> str:
    """One club in a line, as it is done."""
    if one.did == FAILED:
        return f"{one_line(one.name)}: {one.did} ({one_line(one.reason)})"
    return f"{one_line(one.name)}: {one.did}, {counted(one.golfers, 'golfer')}, {one.seconds:.0f} s"


def chain_lines(found: Chain) -> list[str]:
    """Return the clubs, a line each, and how fast it went."""
    head = ["club", "what was done", "golfers", "run", "sound", "started from", "best practice, chance"]
    rows = [_club_cells(one) for one in found.clubs]
    lines = columns(head, rows)
    lines += [club_line(one) for one in found.clubs if one.did == FAILED]
    return [*lines, rate_sentence(found), GAINS]


def rate_sentence(found: Chain) -> str:
    """How many golfers a second and core, and how long 100,000 would take on 16 cores."""
    if found.rate is None:
        return f"{counted(len(found.clubs), 'club')} in {found.seconds:.0f} seconds."
    hours = 100_000 / (found.rate * 16) / 3600
    return (
        f"{counted(found.fitted, 'golfer')} fitted in {found.seconds:.0f} seconds: {found.rate:.2f} golfers "
        f"a second and core; at this rate 100,000 golfers take {hours:.1f} hours on 16 cores."
    )


def _club_cells(one: ClubDone) -> list[str]:
    best = one.gains[0] if one.gains else None
    others = "1 other" if one.learnt_from == 1 else f"{one.learnt_from} others"
    return [
        one_line(one.name),
        one.did,
        str(one.golfers),
        "-" if one.run is None else str(one.run),
        "yes" if one.sound else "no",
        ("the usual" if not one.learnt_from else others) + (", and disagrees" if one.conflict else ""),
        "-" if best is None else f"{category_text(best.category)}, {chance_text(best.chance_best)}",
    ]


def write_board(found: Chain, out: Path) -> list[Path]:
    """Write the page and the workbook, and return both files."""
    private.make_folder(out)
    private.write(out / PAGE, board_page(found))
    write_workbook(out / BOOK, sheets(found))
    return [out / PAGE, out / BOOK]


def board_page(found: Chain) -> str:
    """Return the page for the board as an HTML document."""
    head = ("club", "what was done", "golfers", "run", "sound", "started from", "best practice, chance")
    clubs = Section("Clubs", head=head, rows=[_club_cells(one) for one in found.clubs])
    gains = Section(
        "What practice pays",
        lines=[GAINS],
        head=("club", "practice", "chance best", "gain", "8 in 10"),
        rows=[
            [
                one_line(one.name),
                category_text(gain.category),
                chance_text(gain.chance_best),
                number(gain.q50, 2),
                span(gain.q10, gain.q90, 2),
            ]
            for one in found.clubs
            for gain in one.gains[:3]
        ],
    )
    programmes = Section(
        "Programmes",
        lines=[SMALL],
        head=("club", "programme", "members", "answer", "strokes a round", "8 in 10"),
        rows=[
            [
                one_line(one.name),
                one_line(row.programme, 60),
                str(row.golfers),
                row.verdict,
                number(row.q50, 1),
                span(row.q10, row.q90, 1),
            ]
            for one in found.clubs
            for row in one.programmes
        ],
    )
    failed = [club_line(one) for one in found.clubs if one.did == FAILED]
    return plain_page("The clubs", [rate_sentence(found), *failed], [clubs, gains, programmes])


def sheets(found: Chain) -> dict[str, Sequence[Sequence[object]]]:
    """Rows of the workbook: clubs, gains and programmes."""
    clubs: list[list[object]] = [
        ["club", "did", "reason", "golfers", "sampled", "run", "sound", "seconds", "learnt_from", "conflict"]
    ]
    gains: list[list[object]] = [["club", "category", "chance_best", "q10", "q50", "q90"]]
    programmes: list[list[object]] = [["club", "programme", "golfers", "verdict", "q10", "q50", "q90"]]
    for one in found.clubs:
        spent = round(one.seconds, 1)
        made = [one.name, one.did, one.reason, one.golfers, one.sampled, one.run, one.sound]
        clubs.append([*made, spent, one.learnt_from, one.conflict])
        gains += [[one.name, g.category, g.chance_best, g.q10, g.q50, g.q90] for g in one.gains]
        programmes += [
            [one.name, p.programme, p.golfers, p.verdict, p.q10, p.q50, p.q90] for p in one.programmes
        ]
    return {"clubs": clubs, "gains": gains, "programmes": programmes}
