"""The local pages."""

from __future__ import annotations

from typing import Annotated

import typer

from paryield.commands.shared import Anyway, Json, Where, answer, app, say


@app.command()
def desk(
    club: Where,
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port; 0 takes a free one.")] = 8420,
    listen: Annotated[
        str, typer.Option(metavar="ADDRESS", help="Address; only this computer's own.")
    ] = "127.0.0.1",
    anyway: Anyway = False,
    as_json: Json = False,
) -> None:
    """Open the club's pages on this computer.

    They stay open until the command is stopped; nothing leaves this computer.
    """
    from paryield.desk import serve

    def opened(address: str) -> None:
        say(f"the desk is open at {address} (stop with Ctrl+C)")
        answer(as_json, {"club": club, "address": address}, [])

    serve(club, port=port, listen=listen, anyway=anyway, opened=opened)
