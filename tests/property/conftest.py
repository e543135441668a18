"""A document of the programme command with its groups and what is behind them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from paryield.club import Club


@pytest.fixture
def programme_records(
    tiny_club: Path, tmp_path: Path, add_programme: Callable[..., None]
) -> tuple[dict[Any, Any], dict[Any, set[str]], dict[str, float]]:
    """Return records by key, members by key, and each member's mean effect."""
    from paryield.dose.exposure import enrolments
    from paryield.forecast.current import current_fit
    from paryield.programme import programme_fit
    from paryield.programme.members import labels, outcomes
    from paryield.programme.plain import club_rounds
    from paryield.programme.practice import club_diaries

    add_programme(tiny_club, tmp_path / "joined", {"spring": ("G01", "G02", "G03", "G04", "G05", "G06")})
    with Club.open(tiny_club) as club:
        tables, posterior = club.tables(), current_fit(club)[1]
    answer = programme_fit(tables, posterior)
    document, groups = {}, {("spring", "", ""): set(posterior.golfers)}
    for record in answer.records:
        document[record["programme"], "", ""] = record
        document |= {(record["programme"], one["by"], one["value"]): one for one in record["groups"]}
    members = enrolments(tables.programmes, posterior.as_of)
    found = outcomes(
        tables, posterior, members, club_diaries(tables, posterior), club_rounds(tables, posterior.as_of)
    )
    for one in found:
        for by, value in labels(one, tables, posterior.categories).items():
            groups.setdefault(("spring", by, value), set()).add(one.member.golfer_id)
    return document, groups, {one.member.golfer_id: float(one.effect.mean()) for one in found}
