"""The process behind long work: does one thing and says how far it is, one JSON line a step."""

from __future__ import annotations

import _thread
import json
import signal
import sys
import threading
import warnings
from typing import Any


def main(words: list[str]) -> int:
    """Do one piece of work on a club."""
    from paryield.errors import ParyieldError

    kind, where, who = words
    warnings.simplefilter("ignore")
    try:
        tell("running", "reading the club")
        tell(*_fit(where, who, quick=kind == "quick"))
    except KeyboardInterrupt:
        tell("stopped", "stopped; nothing was stored")
        return 0
    except ParyieldError as error:
        tell("failed", error.line())
        return error.exit_code
    except Exception as error:
        tell("failed", f"something went wrong that should not ({type(error).__name__}: {error})")
        return 1
    return 0


def _listen() -> None:
    """Interrupt the work when the desk says so: it says ``stop``, as signals do not reach every system."""
    for line in sys.stdin:
        if line.strip() == "stop":
            _thread.interrupt_main()
            return


def _fit(where: str, who: str, *, quick: bool) -> tuple[str, str, float | None]:
    """Fit the club; return the state, the outcome in one line, and the share done."""
    from paryield.club import Club

    with Club.open(where, who=who) as club:
        # Loading the model takes seconds: after the club is known to open.
        from paryield.model.command import fit

        receipt = fit(club, quick=quick, say=_stage, drawn=_drawn)
    if receipt.facts["stopped"]:
        return "stopped", f"stopped; run {receipt.run} keeps {receipt.facts['draws']:,} draws", None
    sound = "it passes its health checks" if receipt.ok else "it does not pass its health checks"
    why = f" ({receipt.facts['why']})" if receipt.facts["why"] and not quick else ""
    return "done", f"run {receipt.run} is stored; {sound}{why}", 1.0


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
    # A desk that was started in the background passes interrupts on turned off.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    threading.Thread(target=_listen, daemon=True).start()
    sys.exit(main(sys.argv[1:]))
