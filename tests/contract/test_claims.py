"""What the README says was measured is what the kept tables of the runs hold."""

from __future__ import annotations

import re

import pandas as pd
from docs import ROOT

EVIDENCE = ROOT / "notebooks" / "evidence"


def test_the_readme_gives_the_share_of_the_best_gain_that_each_week_gave_up() -> None:
    words = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    said = re.search(
        r"On (\w+) made-up clubs, weeks advised .* gave up (\d+) % .* split of the same hours (\d+) %, "
        r"going on as before (\d+) %",
        words,
    )
    assert said is not None
    years = pd.read_csv(EVIDENCE / "season_year.csv")
    season = years[years["way"] == "season and tests"]
    assert (said.group(1), len(season)) == ("ten", 10)
    lost = season[["lost_advised", "lost_even", "lost_present"]].mean()
    assert [int(one) for one in said.groups()[1:]] == [round(100 * one) for one in lost]
