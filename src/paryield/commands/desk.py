"""The local pages, and who may sign in to them."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Any

import typer

from paryield.commands.shared import Anyway, Json, Where, answer, app, say
from paryield.errors import InputError

if TYPE_CHECKING:
    from paryield.club import Accounts


class Deed(StrEnum):
    """What is done about people."""

    list = "list"
    add = "add"
    reset = "reset"
    remove = "remove"


@app.command()
def desk(
    club: Where,
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port; 0 takes a free one.")] = 8420,
    listen: Annotated[
        str, typer.Option(metavar="ADDRESS", help="IP address; beyond this computer people sign in.")
    ] = "127.0.0.1",
    certificate: Annotated[str, typer.Option(metavar="FILE", help="TLS certificate, its chain too.")] = "",
    key: Annotated[str, typer.Option(metavar="FILE", help="Key of the certificate.")] = "",
    behind_proxy: Annotated[
        str, typer.Option(metavar="ADDRESS", help="A proxy that ends TLS; nobody else is answered.")
    ] = "",
    sign_in: Annotated[bool, typer.Option("--sign-in", help="Ask for a sign-in here too.")] = False,
    new: Annotated[bool, typer.Option("--new", help="Start a new club where there is none.")] = False,
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Open the club's pages on this computer.

    They stay open until the command is stopped. With --listen other computers reach them, over TLS and after
    a sign-in; people says who may.
    """
    from paryield.club import Club
    from paryield.desk import listening, serve

    if new:
        with Club.open(club, create=True) as begun:
            begun.begin()

    def opened(address: str) -> None:
        say(f"the desk is open at {address} (stop with Ctrl+C)")
        answer(as_json, {"club": club, "address": address}, [])

    where = listening(listen, sign_in=sign_in, certificate=certificate, key=key, proxy=behind_proxy)
    serve(club, port=port, listen=where, anyway=anyway, opened=opened, told=say)


@app.command()
def people(
    club: Where,
    deed: Annotated[Deed, typer.Argument(help="What to do.")] = Deed.list,
    name: Annotated[str, typer.Option(metavar="NAME", help="What the person signs in with.")] = "",
    role: Annotated[
        str,
        typer.Option(metavar="ROLE", help="coach, player, guardian, manager, therapist, administrator."),
    ] = "",
    golfer: Annotated[
        list[str] | None,
        typer.Option(metavar="ID", help="Whose records; repeatable. A coach reaches all without."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Say who may sign in to the desk.

    add and reset print a one-time password, which is stored nowhere and must be changed at the first sign-in.
    """
    from paryield.club.accounts import Accounts
    from paryield.club.opened import OpenedClub
    from paryield.report import console

    if deed is not Deed.list and not name:
        raise InputError("nobody is named", where="--name", remedy="say whose account it is")
    if deed is not Deed.add and (role or golfer):
        where = "--role, --golfer"
        raise InputError("role and golfers are given with add", where=where, remedy="remove, then add")
    with OpenedClub.open(club) as opened:
        found = _done(Accounts(opened), deed, name, role, [opened.golfer_called(one) for one in golfer or []])
    answer(as_json, found, console.people_lines(found))


def _done(accounts: Accounts, deed: Deed, name: str, role: str, golfers: list[str]) -> list[dict[str, Any]]:
    if deed is Deed.list:
        return [person.to_dict() for person in accounts.people()]
    if deed is Deed.remove:
        return [accounts.remove(name).to_dict() | {"removed": True}]
    issued = accounts.add(name, role, golfers) if deed is Deed.add else accounts.reset(name)
    return [issued.person.to_dict() | {"password": issued.password}]
