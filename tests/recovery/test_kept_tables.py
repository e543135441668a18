"""Tables of long runs are kept with the run that they are of."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pandas as pd
from evidence import INDEX, commit, keep


def test_a_table_takes_the_place_of_that_of_an_earlier_run(tmp_path: Path) -> None:
    head = "table,date,commit,seeds,command,conditions\n"
    old = "other,2026-01-02,abcdef0,1 to 3,uv run other,quietly\n"
    (tmp_path / INDEX).write_text(f"{head}gains,2026-01-01,0123456,0,uv run x,\n{old}", encoding="utf-8")
    table = pd.DataFrame({"seed": [4, 5], "mean": [0.25, -0.5]}, index=[7, 7])
    keep("gains", table, seeds="4 and 5", command="uv run y", conditions="beside other work", place=tmp_path)
    keep("new", table, seeds="4 and 5", command="uv run z", place=tmp_path)
    now = f"{date.today().isoformat()},{commit()},4 and 5"
    assert (tmp_path / "gains.csv").read_text(encoding="utf-8") == "seed,mean\n4,0.25\n5,-0.5\n"
    assert (tmp_path / INDEX).read_text(encoding="utf-8") == (
        f"{head}gains,{now},uv run y,beside other work\n{old}new,{now},uv run z,\n"
    )


def test_nothing_is_kept_without_a_place() -> None:
    keep("gains", pd.DataFrame(), seeds="none", command="none", place=None)
