"""Somebody is erased while a fit runs: the fit that ends afterwards does not bring him back."""

from __future__ import annotations

from pathlib import Path

import pytest

from paryield.club import Club
from paryield.errors import InputError
from paryield.model import command
from paryield.posterior.current import stored_fit


@pytest.mark.club_file
def test_a_fit_that_ends_after_the_erasure_is_not_stored(
    tiny_club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Club.open(tiny_club) as club:
        posterior = stored_fit(club)[1]
        name = str(club.tables().golfers["display_name"].iloc[0])

    def sampled(*_: object, **__: object) -> object:
        with Club.open(tiny_club) as other:
            assert other.erase("G01").found == 0
        return posterior

    monkeypatch.setattr(command, "fit_tables", sampled)
    with Club.open(tiny_club) as club:
        with pytest.raises(InputError, match="erased while this fit ran"):
            command.fit(club)
        assert club.latest_run() is None
        with pytest.raises(InputError, match="no golfer 'G01'"):
            club.erase("G01")
    for file in tiny_club.parent.glob("club.db*"):
        assert name.encode() not in file.read_bytes()


def test_a_fit_during_which_nobody_was_erased_is_stored(
    tiny_club: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Club.open(tiny_club) as club:
        posterior = stored_fit(club)[1]
        monkeypatch.setattr(command, "fit_tables", lambda *_, **__: posterior)
        assert command.fit(club).run == 2
