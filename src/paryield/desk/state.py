"""What the pages show from: the club's tables and fit as they stand, kept until one of them changes."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from paryield.club import Club
from paryield.club.scratch import SWEPT_SECONDS, Scratch
from paryield.desk.carry import carry
from paryield.desk.guard import Seen
from paryield.desk.renewed import Before, renewed_glance, renewed_view
from paryield.desk.security import opaque
from paryield.desk.uploads import Uploads
from paryield.desk.work import Work
from paryield.errors import ParyieldError
from paryield.forecast import Scene, gate, make_scene
from paryield.forecast.current import Standing, standing
from paryield.forecast.gate import BANNER
from paryield.forecast.refreshed import refreshed
from paryield.posterior import Posterior
from paryield.posterior.current import newer_run, stored_fit
from paryield.report.glance import Glance, glance
from paryield.report.reader import write_for
from paryield.report.views import GolferView
from paryield.report.words import one_line
from paryield.report.write import views_of
from paryield.tables import Tables

KEPT_SCENES = 24
LISTING = 2
"""Golfers of the list worked out at a time: half of the work lets go of the interpreter."""

OLD_WEEKS = 3
"""Weeks without any record of the club from which it is said that answers begin then. [judgement]"""


@dataclass
class Snapshot:
    """One state of the club; what is worked out from it is kept here."""

    revision: tuple[int, ...]
    tables: Tables
    number: int
    run: Posterior | None
    posterior: Posterior | None
    banner: str
    withheld: str
    missing: str
    passed_over: str
    names: dict[str, str]
    ids: dict[str, str]
    glances: dict[str, Glance] = field(default_factory=dict)
    views: dict[str, GolferView] = field(default_factory=dict)
    cards: dict[str, GolferView] = field(default_factory=dict)
    renew: dict[str, Before] = field(default_factory=dict)
    parts: dict[str | tuple[str, ...], Any] = field(default_factory=dict)
    scenes: OrderedDict[tuple[Any, ...], Any] = field(default_factory=OrderedDict)
    locks: dict[str, threading.Lock] = field(default_factory=dict)
    failed: set[str] = field(default_factory=set)

    def name_of(self, golfer_id: str) -> str:
        """The golfer's name, or the id where there is none."""
        return self.names[golfer_id]

    def page_of(self, golfer_id: str) -> str:
        """Name of the golfer's page."""
        return f"{self.ids[golfer_id]}.html"

    @property
    def standing(self) -> Standing | None:
        """How old the fit is beside the record; None without one."""
        return None if self.posterior is None else standing(self.number, self.posterior)

    @property
    def fitted(self) -> list[str]:
        """Golfers of the tables whom the fit knows, in the order of the fit, when answers are given."""
        if self.posterior is None or self.withheld:
            return []
        return [golfer for golfer in self.posterior.golfers if golfer in self.names]

    def by_goal(self) -> list[str]:
        """The fitted golfers, those with a goal on file first: a goal at risk is the first to look at."""
        golfers = self.tables.golfers
        aims = set(golfers.loc[golfers["goal_index"].notna(), "golfer_id"].astype(str))
        return sorted(self.fitted, key=lambda golfer: golfer not in aims)

    def today(self) -> date:
        """Last day on record, or the computer's day without a fit."""
        if self.posterior is None:
            return date.today()
        return date.fromordinal(self.posterior.as_of + date(1970, 1, 1).toordinal())

    def weeks_old(self) -> int:
        """How many weeks ago the newest record is of, 0 where that is no news."""
        weeks = (date.today() - self.today()).days // 7
        return weeks if weeks >= OLD_WEEKS else 0


class Desk:
    """The open club; threads of the server share it. ``door`` is kept open to ask who is signed in."""

    def __init__(self, where: str, *, anyway: bool = False, warm: bool = True) -> None:
        self.where = where
        self.anyway = anyway
        self.work = Work(where)
        self.warms = warm
        self._lock = threading.Lock()
        self._snapshot: Snapshot | None = None
        self._closed = threading.Event()
        self.seen = Seen()
        self.door = Club.open(where)
        self.called = Path(self.door.name).stem
        self.scratch = Scratch(str(self.door.path or self.door.name))
        self.uploads = Uploads(self.scratch)
        self.key = self.door.page_key()
        threading.Thread(target=self._tidy, daemon=True).start()

    def close(self) -> None:
        """Stop what runs in the background."""
        self._closed.set()
        self.work.close()
        self.door.close()
        self.scratch.close()

    def _tidy(self) -> None:
        """Remove uploads that nobody stored, now and then."""
        while not self._closed.wait(SWEPT_SECONDS):
            self.scratch.sweep()

    def snapshot(self) -> Snapshot:
        """Return the state of the club, read anew when something was stored since.

        From here on the request writes dates, numbers and distances as the club's settings say.
        """
        with self._lock, Club.open(self.where) as club:
            revision = club.revision()
            if self._snapshot is None or self._snapshot.revision != revision:
                self._snapshot = self._read(club, revision, self._snapshot)
                if self.warms:
                    threading.Thread(target=self._prepare, args=(self._snapshot,), daemon=True).start()
            found = self._snapshot
        write_for(found.tables.settings)
        return found

    def _of[T](self, make: Callable[..., T], snapshot: Snapshot, golfer_id: str) -> T:
        assert snapshot.posterior is not None
        return make(
            snapshot.posterior,
            snapshot.tables,
            golfer_id,
            number=snapshot.number,
            club=self.where,
            banner=snapshot.banner,
        )

    def glance(self, snapshot: Snapshot, golfer_id: str) -> Glance:
        """Return what the list of the club shows of a golfer; sooner there than his page."""
        with snapshot.locks[golfer_id]:
            if golfer_id not in snapshot.glances:
                before = snapshot.renew.get(golfer_id)
                if before is not None and before.glance is not None and snapshot.posterior is not None:
                    found = renewed_glance(before.glance, before.which, snapshot.posterior, snapshot.tables)
                else:
                    found = self._of(glance, snapshot, golfer_id)
                snapshot.glances[golfer_id] = replace(found, page=snapshot.page_of(golfer_id))
            return snapshot.glances[golfer_id]

    def view(self, snapshot: Snapshot, golfer_id: str) -> GolferView:
        """Return what a golfer's page shows."""
        with snapshot.locks[golfer_id]:
            if golfer_id not in snapshot.views:
                before = snapshot.renew.get(golfer_id)
                if before is not None and before.view is not None and snapshot.posterior is not None:
                    found = renewed_view(before.view, before.which, snapshot.posterior, snapshot.tables)
                else:
                    found = self._of(views_of, snapshot, golfer_id)[0]
                snapshot.views[golfer_id] = _linked(found, snapshot.page_of(golfer_id))
            return snapshot.views[golfer_id]

    def scene(self, snapshot: Snapshot, golfer_id: str) -> Scene:
        """Return a golfer's future with everything worked out but the hours."""
        view = self.view(snapshot, golfer_id)
        with snapshot.locks[golfer_id]:
            key = ("scene", golfer_id)
            if key not in snapshot.scenes:
                assert snapshot.posterior is not None
                goal = view.goal if view.goal is not None and view.goal.by > view.as_of else None
                snapshot.scenes[key] = make_scene(
                    snapshot.posterior,
                    snapshot.tables,
                    golfer_id,
                    goal=goal.goal if goal else None,
                    by=goal.by if goal else None,
                )
                while len(snapshot.scenes) > KEPT_SCENES:
                    snapshot.scenes.popitem(last=False)
            snapshot.scenes.move_to_end(key)
            scene: Scene = snapshot.scenes[key]
            return scene

    def _read(self, club: Club, revision: tuple[int, ...], last: Snapshot | None) -> Snapshot:
        tables = club.tables()
        number, run, missing = self._fit(club, last)
        posterior, withheld, banner = None, "", ""
        if run is not None:
            posterior, missing = _now(run, tables)
        if posterior is not None and not posterior.facts["health"]["ok"]:
            withheld, banner = ("", BANNER) if self.anyway else (_why(posterior), "")
        people = tables.golfers
        ids = [str(golfer) for golfer in people["golfer_id"]]
        shown = ["" if blank else one_line(name) for name, blank in _named(people)]
        found = Snapshot(
            revision=revision,
            tables=tables,
            number=number,
            run=run,
            posterior=posterior,
            banner=banner,
            withheld=withheld,
            missing=missing,
            passed_over="" if posterior is None else newer_run(club, number),
            names={golfer: name or one_line(golfer) for golfer, name in zip(ids, shown, strict=True)},
            ids={golfer: opaque(self.key, "golfer", golfer) for golfer in ids},
            locks={golfer: threading.Lock() for golfer in ids},
        )
        if last is not None and run is not None and last.run is run:
            carry(last, found)
        return found

    def _fit(self, club: Club, last: Snapshot | None) -> tuple[int, Posterior | None, str]:
        """Return the fit that answers (the one at hand when runs are the same), or why there is none."""
        runs = club.revision()[1:3]
        if last is not None and last.revision[1:3] == runs and last.run is not None:
            return last.number, last.run, ""
        try:
            return *stored_fit(club), ""
        except ParyieldError as error:
            return 0, None, "" if club.latest_run() is None else error.message

    def _prepare(self, snapshot: Snapshot) -> None:
        """Work out the list of the club in the background, then every golfer's page, one after the other."""
        from paryield.desk.pages.golfer import parts_of

        write_for(snapshot.tables.settings)
        with ThreadPoolExecutor(LISTING) as pool:
            list(pool.map(lambda golfer: self._try(self.glance, snapshot, golfer), snapshot.by_goal()))
        for golfer_id in snapshot.fitted:
            self._try(partial(parts_of, self), snapshot, golfer_id)

    def _try(self, job: Callable[[Snapshot, str], object], snapshot: Snapshot, golfer_id: str) -> None:
        if self._closed.is_set() or self._snapshot is not snapshot:
            return
        try:
            job(snapshot, golfer_id)
        except Exception:  # the page itself says what is wrong; the others must not wait for it
            snapshot.failed.add(golfer_id)


def _now(run: Posterior, tables: Tables) -> tuple[Posterior | None, str]:
    """Return the fit brought up to the record, or why that cannot be."""
    try:
        return refreshed(run, tables), ""
    except ParyieldError as error:
        return None, error.message


def _linked(view: GolferView, page: str) -> GolferView:
    from dataclasses import replace

    return replace(view, page=page, card_apart=True)


def _named(people: Any) -> list[tuple[Any, bool]]:
    return list(zip(people["display_name"], people["display_name"].isna(), strict=True))


def _why(posterior: Posterior) -> str:
    """Return why answers are withheld, in one line."""
    from paryield.errors import NotReportableError

    try:
        gate(posterior, False)
    except NotReportableError as error:
        return error.message
    return ""
