"""How long a club takes to a sound fit, in processor seconds: to be run in two states of the project.

``uv run python tests/bench/fit_times.py make FOLDER SEED GOLFERS`` writes the tables of a made-up club;
``uv run python tests/bench/fit_times.py FOLDER ...`` fits clubs as the command does by default and prints a
line for each. Where a state has no stretches of its own, the next seeds are tried until a fit is sound, as it
told its users to do; their seconds count. Sound is what the gate of each state calls so.
"""

from __future__ import annotations

import inspect
import sys
import time
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

from paryield.model.fit import fit_tables
from paryield.model.spec import ModelSpec
from paryield.synth import ClubSpec, make_club
from paryield.tables.load import read_folder
from paryield.tables.write import write_folder

SEEDS = 4
"""Seeds that are tried at the most."""
STRETCHES = 8
"""As ``MOST_STRETCHES`` of the model, which not every state has."""


def make(folder: Path, seed: int, golfers: int) -> None:
    """Write the tables of a year of an ordinary club."""
    made = make_club(ClubSpec(golfers=golfers, weeks=52, seed=seed, stats_share=0.5))
    write_folder(made.tables, folder)


def timed(folder: Path) -> str:
    """Fit one club until it is sound; one line of what that took."""
    tables = read_folder(folder).tables
    spec, begun = ModelSpec(), time.process_time()
    if "most_stretches" in {one.name for one in fields(ModelSpec)}:
        spec = replace(spec, most_stretches=STRETCHES)
    heard: Any = {"say": print} if "say" in inspect.signature(fit_tables).parameters else {}
    first = spec.seed
    facts = fit_tables(tables, spec, cores=1, **heard).facts
    while not facts["health"]["ok"] and spec.seed < first + SEEDS - 1:
        spec = replace(spec, seed=spec.seed + 1)
        facts = fit_tables(tables, spec, cores=1, **heard).facts
    least = min(min(line["ess_bulk"], line["ess_tail"]) for line in facts["health"]["lines"])
    return (
        f"{folder.name}: {time.process_time() - begun:.0f} s, {spec.seed - first + 1} seed(s), "
        f"{facts.get('stretches', 1)} stretch(es), sound {facts['health']['ok']}, least ESS {least:.0f}"
    )


if __name__ == "__main__":
    if sys.argv[1] == "make":
        make(Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
    else:
        for name in sys.argv[1:]:
            print(timed(Path(name)), flush=True)
