"""The process behind long work: does one thing and says how far it is, one JSON line a step."""

from __future__ import annotations

import json
import re
import sys
import warnings
from typing import Any

SHARE = re.compile(r"(\d{1,3}(?:\.\d+)?) ?%")
STAGES = {"building the model": 0.05, "sampling": 0.1, "drawing each golfer's own values": 0.9}
"""Share done when a stage begins, from fits of the demo club; a line with a percentage says it itself."""


def main(words: list[str]) -> int:
    """Do one piece of work on a club."""
    from paryield.errors import ParyieldError

    kind, where, who = words
    warnings.simplefilter("ignore")
    try:
        tell("running", "reading the club", 0.02)
        tell("done", _fit(where, who, quick=kind == "quick"), 1.0)
    except ParyieldError as error:
        tell("failed", error.line(), None)
        return error.exit_code
    except Exception as error:
        tell("failed", f"something went wrong that should not ({type(error).__name__}: {error})", None)
        return 1
    return 0


def _fit(where: str, who: str, *, quick: bool) -> str:
    from paryield.club import Club
    from paryield.model.command import fit

    with Club.open(where, who=who) as club:
        receipt = fit(club, quick=quick, say=_stage)
    sound = "it passes its health checks" if receipt.ok else "it does not pass its health checks"
    return f"run {receipt.run} is stored; {sound}"


def _stage(line: str) -> None:
    said = SHARE.search(line)
    tell("running", line, float(said.group(1)) / 100.0 if said else STAGES.get(line))


def tell(state: str, line: str, share: float | None) -> None:
    """Print one step."""
    report: dict[str, Any] = {"state": state, "line": line, "share": share}
    print(json.dumps(report), flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
