"""The outcome of a calibration, as lines for a terminal and as a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from paryield.report.columns import columns
from paryield.report.figures.ranks import rank_figure
from paryield.report.plain import Section, plain_page
from paryield.report.svg import inline_svg
from paryield.report.words import category_text, missing, number, span

if TYPE_CHECKING:
    from paryield.evaluate.verify import Check, Verification

READ = (
    "Each panel: how the ranks of the truth differ from even ranks. Inside the grey band is what an engine "
    "that is right gives, all panels together, 19 times in 20."
)
MADE = (
    "All clubs here are made up by this package. They show that the engine does what it says, not that golf "
    "does."
)
HEAD = ("kind of club", "practice", "truth", "ours", "8 in 10", "held", "raw association")


def verify_lines(found: Verification) -> list[str]:
    """Return one line a check."""
    rows = [(one["check"], _word(one), one["found"], one["wanted"]) for one in found.checks]
    verdict = "All checks passed" if found.ok else "Not all checks passed"
    took = f"{verdict}, in {found.seconds / 60:.0f} min."
    return [took, *columns(("check", "", "found", "wanted"), rows), MADE]


def verify_page(found: Verification) -> str:
    """Return the outcome as an HTML document."""
    checks = [(one["check"], _word(one), one["found"], one["wanted"]) for one in found.checks]
    sections = [Section("Checks", (), ("check", "outcome", "found", "wanted"), checks)]
    for heading, records in (
        ("Ranks of the truth", found.calibration),
        ("With a planted fault", found.faulty),
    ):
        if records:
            name = "ranks" if heading.startswith("Ranks") else "fault"
            alt = f"{heading}: {sum(one['outside'] for one in records)} of {len(records)} outside their bands"
            figure = inline_svg(rank_figure(records), name=name, alt=alt, css_class="figure")
            sections.append(Section(heading, [READ, f"{alt}."], figure=figure))
    rows = [_recovery_row(one) for one in found.recovery.to_dict("records")]
    line = "Strokes that 20 hours over ten weeks give a golfer of the club on average."
    sections.append(Section("Known truth", [line], HEAD, rows))
    from paryield.evaluate.verify import machine

    here = machine()
    versions = ", ".join(f"{name} {version}" for name, version in here["versions"].items())
    foot = [f"{here['system']}, Python {here['python']}; {versions}.", f"{found.seconds / 60:.0f} minutes."]
    verdict = "All checks passed." if found.ok else "Not all checks passed."
    return plain_page("Calibration and recovery", [verdict, MADE], sections, foot)


def _word(one: Check) -> str:
    return "holds" if one["ok"] else "does not hold"


def _recovery_row(one: dict[Any, Any]) -> Sequence[str]:
    kind = f"{one['case']}, effect {one['effect']:g}, seed {one['seed']}"
    held = "yes" if one["covered"] else "no"
    spread = span(one["low"], one["high"], 2)
    raw = "" if missing(one["raw"]) else number(one["raw"], 2)
    return [
        kind,
        category_text(one["category"]),
        number(one["truth"], 2),
        number(one["ours"], 2),
        spread,
        held,
        raw,
    ]
