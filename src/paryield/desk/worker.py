"""The process behind long work: does one thing and says how far it is, one JSON line a step."""

from __future__ import annotations

import json
import sys
import warnings
from typing import Any


def main(words: list[str]) -> int:
    """Do one piece of work on a club."""
    from paryield.errors import ParyieldError

    kind, where, who = words
    warnings.simplefilter("ignore")
    try:
        tell("running", "reading the club")
        tell("done", _fit(where, who, quick=kind == "quick"), 1.0)
    except ParyieldError as error:
        tell("failed", error.line())
        return error.exit_code
    except Exception as error:
        tell("failed", f"something went wrong that should not ({type(error).__name__}: {error})")
        return 1
    return 0


def _fit(where: str, who: str, *, quick: bool) -> str:
    from paryield.club import Club

    with Club.open(where, who=who) as club:
        # Loading the model takes seconds: after the club is known to open.
        from paryield.model.command import fit

        receipt = fit(club, quick=quick, say=_stage, drawn=_drawn)
    sound = "it passes its health checks" if receipt.ok else "it does not pass its health checks"
    return f"run {receipt.run} is stored; {sound}"


def _stage(line: str) -> None:
    """Tell a stage, whose length nobody knows."""
    tell("running", line)


def _drawn(done: int, total: int) -> None:
    """Tell the draws done of those to do, as the sampler counts them."""
    tell("running", f"{done:,} of {total:,} draws, warm-up included", done / total if total else None)


def tell(state: str, line: str, share: float | None = None) -> None:
    """Print one step; ``share`` between 0 and 1 only where it was counted."""
    report: dict[str, Any] = {"state": state, "line": line, "share": share}
    print(json.dumps(report), flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
