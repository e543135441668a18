"""Where the sliders of another week begin: hours on file, the usual split, the advised week."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from desk_reader import Reader, text_of

from paryield.desk.hours import STEP, spread_week, tops
from paryield.plan import plan_tables
from paryield.plan.advice import usual_hours
from paryield.plan.advised import told_apart
from paryield.plan.room import present_split
from paryield.report.plan_words import plan_sentence


@pytest.mark.parametrize("total", [0.5, 3.0, 8.5, 30.0])
def test_hours_on_file_go_where_somebody_keeps_them_up(shared_reader: Reader, total: float):
    """All of it in one practice that hardly anybody does so much of would be no week to begin with."""
    scene = shared_reader.desk.scene(shared_reader.desk.snapshot(), "G03")
    few = replace(scene, now=np.where(np.arange(len(scene.now)) == 1, 0.06, 0.0))
    for one in (scene, few):
        week = np.array(list(spread_week(one, total).hours.values()))
        seen, top = np.minimum(np.maximum(one.seen, one.now), tops(one)), np.array(tops(one))
        slack = STEP * len(week)
        assert week.sum() == pytest.approx(min(total, top.sum()), abs=slack)
        if total <= seen.sum():
            assert (week <= seen + STEP).all()
    kept = np.array(list(spread_week(scene, float(scene.now.sum())).hours.values()))
    assert kept == pytest.approx(scene.now, abs=STEP)


def test_hours_on_file_are_advised_as_on_the_golfers_page(reader: Reader):
    """The sliders only come near to the hours on file; the advice is that of those hours."""
    snapshot = reader.desk.snapshot()
    for golfer, shown in snapshot.ids.items():
        page = reader.get(f"/golfers/{shown}/what-if?hours=file").text
        usual = usual_hours(snapshot.tables, snapshot.posterior, golfer)
        scene = reader.desk.scene(snapshot, golfer)
        if not told_apart(usual, float(scene.now.sum())):
            continue
        record = plan_tables(snapshot.posterior, snapshot.tables, golfers=[golfer]).records[0]
        assert " ".join(plan_sentence(record).split())[1:] in text_of(page)
        return
    raise AssertionError("no golfer of the club has other hours on file")


def test_a_week_can_begin_at_the_advised_one_or_the_usual_split(shared_reader: Reader):
    """Read back from the fields of the page, beside the golfer's page and the split plans are held to."""
    desk, snapshot = shared_reader.desk, shared_reader.desk.snapshot()
    scene, record = desk.scene(snapshot, "G06"), desk.view(snapshot, "G06").plan
    address = shared_reader.page_of("G06").removesuffix(".html") + "/what-if"
    page = shared_reader.get(address).text
    assert f'href="{address}?hours=advised">Start from the advised week</a>' in page
    assert f'href="{address}?hours=usual">Start from the usual split</a>' in page
    assert "split as now" not in page

    def begun(asked: str) -> dict[str, float]:
        shown = shared_reader.get(f"{address}?hours={asked}").text
        found = re.findall(r'name="was\.([a-z_]+)" value="([0-9.]+)"', shown)
        return {name: float(value) for name, value in found}

    advised = {row["category"]: row["hours_advised"] for row in record["weeks_plan"]}
    assert begun("advised") == pytest.approx(
        {name: advised.get(name, 0.0) for name in scene.categories}, abs=STEP
    )
    usual, done = usual_hours(snapshot.tables, snapshot.posterior, "G06"), float(scene.now.sum())
    total = usual if told_apart(usual, done) else done
    split = present_split(snapshot.posterior, "G06", scene.categories, total)
    assert begun("usual") == pytest.approx(dict(zip(scene.categories, split.tolist(), strict=True)), abs=STEP)
