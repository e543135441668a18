"""Golfers' pages, every second one drawn in a second process where that is worth its start."""

from __future__ import annotations

import pickle
import subprocess
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from paryield.report.html import golfer_page
from paryield.report.reader import written_for
from paryield.report.second_process import second_process
from paryield.report.views import GolferView
from paryield.tables.settings import Settings

Tell = Callable[[int, int, str], None]
"""Is told how far a report is: done, of how many, and what is next."""
MOST_SECONDS = 600.0
FEWEST = 8
"""Pages below which the second process would take longer to start than to draw its part."""


def golfer_pages(views: Sequence[GolferView], settings: Settings, tell: Tell | None = None) -> dict[str, str]:
    """Return the page of each golfer by its file name, in the order of the views.

    The pages are the same wherever they are drawn; what the second process does not bring is drawn here.
    """
    done = {}
    if len(views) >= FEWEST:
        with ThreadPoolExecutor(1) as thread, second_process(__name__) as process:
            other = tuple(views[1::2])
            brought = None if process is None else thread.submit(_brought, process, settings, other)
            if brought is not None:
                done = _drawn(views[::2], settings, tell, 2)
                done |= brought.result()
    missing = [view for view in views if view.page not in done]
    done |= _drawn(missing, settings, tell, 1)
    return {view.page: done[view.page] for view in views}


def _drawn(
    views: Sequence[GolferView], settings: Settings, tell: Tell | None = None, step: int = 1
) -> dict[str, str]:
    """Draw pages, and tell how far it is, each standing for ``step``."""
    pages = {}
    with written_for(settings):
        for place, view in enumerate(views):
            if tell is not None:
                tell(step * place, step * len(views), f"drawing {view.name}")
            pages[view.page] = golfer_page(view)
    return pages


def _brought(
    process: subprocess.Popen[bytes], settings: Settings, views: tuple[GolferView, ...]
) -> dict[str, str]:
    """Return the pages that the second process draws; none where it fails."""
    try:
        said, _ = process.communicate(pickle.dumps((settings, views)), timeout=MOST_SECONDS)
        return dict(pickle.loads(said)) if process.returncode == 0 else {}
    except Exception:
        return {}


def main() -> None:
    """Draw the pages of the views on standard input, and put them on standard output."""
    out, sys.stdout = sys.stdout.buffer, sys.stderr
    asked: Any = pickle.load(sys.stdin.buffer)
    settings, views = asked
    out.write(pickle.dumps(_drawn(views, settings)))
    out.flush()


if __name__ == "__main__":
    main()
