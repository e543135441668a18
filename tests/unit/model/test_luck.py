"""How the luck of a round is shared between its measurements, against the equations written out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from paryield.model.design import Observations
from paryield.model.likelihood import Measure, measures, path, total_noise
from paryield.model.sheet import Sheet, sheet_of
from paryield.model.terms.stats import BY_NAME
from paryield.model.terms.term import Values
from paryield.tables.categories import AREAS


def by_kind(p: Values, sheet: Sheet, place: int, kinds: tuple[str, ...]) -> dict[str, Measure]:
    """Return the measurements of a group as if it had these kinds alone."""
    groups = list(sheet.groups)
    groups[place] = replace(groups[place], kinds=kinds)
    fewer = replace(sheet, groups=tuple(groups))
    whole = path(p, fewer, fewer.occasions, np)
    return {one.kind: one for one in measures(p, fewer, fewer.occasions, whole, place, np)}


def documented_with(sheet: Sheet, *kinds: str) -> int:
    found = (
        at for at, group in enumerate(sheet.groups) if group.documented and set(kinds) <= set(group.kinds)
    )
    place = next(found, None)
    assert place is not None, kinds
    return place


@pytest.mark.parametrize("stat", ["greens", "fairways", "penalties"])
def test_a_stat_knows_the_luck_of_its_areas_or_is_wider_by_it(
    values: Values, drawn: Observations, stat: str
) -> None:
    """Of an area that was measured its luck is taken out; of one that was not it stays as variance."""
    sheet = sheet_of(drawn)
    areas = [area for area in AREAS if area in BY_NAME[stat].areas]
    place = documented_with(sheet, stat, *areas)
    seen = by_kind(values, sheet, place, (*areas, stat))
    unseen = by_kind(values, sheet, place, (stat,))[stat]
    group = sheet.groups[place]
    noise = values["noise_scale"] * sheet.occasions.noise[group.first : group.last]
    load, own = BY_NAME[stat].load(values), sheet.occasions.error[place][stat]
    plain = (values[f"{stat}_sd"] * values["stat_spread"] * own) ** 2
    first = BY_NAME[stat].leans_on
    if first is not None and first[0] in sheet.typical:
        plain = plain + (values[first[1]] * values[f"{first[0]}_sd"] * sheet.typical[first[0]]) ** 2
    reach = {area: values["stat_share"] * np.asarray(load[area]) for area in areas}
    luck = {area: (values["area_day"][AREAS.index(area)] * noise) ** 2 for area in areas}
    np.testing.assert_allclose(seen[stat].variance, plain, rtol=1e-12)
    open_ = plain + sum(reach[area] ** 2 * luck[area] for area in areas)
    np.testing.assert_allclose(unseen.variance, open_, rtol=1e-12)
    told = sum(reach[area] * seen[area].residual for area in areas)
    np.testing.assert_allclose(seen[stat].residual, unseen.residual - told, rtol=1e-9, atol=1e-12)
    for area in areas:
        one = by_kind(values, sheet, place, (area, stat))[stat]
        np.testing.assert_allclose(one.variance, open_ - reach[area] ** 2 * luck[area], rtol=1e-12)


def test_a_whole_round_is_as_wide_as_a_score_without_stats(values: Values, drawn: Observations) -> None:
    """Where nothing but the score is known all luck stays open, whatever the stats could have told."""
    sheet = sheet_of(drawn)
    place = next(
        at for at, group in enumerate(sheet.groups) if not group.documented and "differential" in group.kinds
    )
    group = sheet.groups[place]
    alone = by_kind(values, sheet, place, ("differential",))["differential"]
    expected = total_noise(values, drawn)[sheet.owner[group.first : group.last]]
    np.testing.assert_allclose(np.broadcast_to(alone.variance, expected.shape) ** 0.5, expected, rtol=1e-12)
    scale = values["noise_scale"] * drawn.noise_guess
    days = [stat for stat in BY_NAME.values() if stat.day is not None and stat.name in drawn.typical]
    assert len(days) >= 3
    luck = sum(
        (values[f"{stat.name}_day"] * values[f"{stat.name}_sd"] * drawn.typical[stat.name]) ** 2
        for stat in days
    )
    np.testing.assert_allclose(total_noise(values, drawn), np.sqrt(scale**2 + luck), rtol=1e-12)
