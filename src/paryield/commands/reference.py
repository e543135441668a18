"""The reference of commands, options and JSON fields, made from the code."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from textwrap import fill
from typing import Annotated, Any

import typer

from paryield.commands.documents import DOCUMENTS, GENERAL, Document
from paryield.commands.shared import WIDTH, Json, answer, app
from paryield.commands.topics import TOPICS
from paryield.errors import InputError

PAGE = "reference.html"


@dataclass(frozen=True)
class Entry:
    """One command with what it takes: its options as written and what they do."""

    name: str
    document: Document
    help: str
    options: tuple[tuple[str, str], ...]

    def to_dict(self) -> dict[str, Any]:
        """Return the entry as a plain record."""
        return {
            "command": self.name,
            "group": self.document.group,
            "does": self.document.does,
            "options": [{"option": option, "does": does} for option, does in self.options],
            "document": self.document.kind,
            "fields": self.document.fields(),
            "fields_at_times": self.document.fields(always=False),
            "words": self.document.words,
        }


@app.command()
def reference(
    command: Annotated[
        str | None, typer.Argument(metavar="COMMAND", help="Only this command; all without.")
    ] = None,
    out: Annotated[
        Path | None, typer.Option(metavar="DIR", help=f"Write it as {PAGE} into this folder.")
    ] = None,
    topics: Annotated[
        bool, typer.Option("--topics", help="What a club sets, people at the desk, safe keeping.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Show all commands, options and JSON fields.

    On the terminal, or as one page in a folder.
    """
    found = entries(command)
    lines = list(_topic_lines() if topics else _lines(found))
    if out is not None:
        file = out.expanduser() / PAGE
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(_page(found), encoding="utf-8")
        lines = [f"Wrote {file}."]
    answer(as_json, [entry.to_dict() for entry in found], lines)


def entries(name: str | None = None) -> list[Entry]:
    """Return the reference of one command, or of all in the order they are shown.

    Raises
    ------
    InputError
        When there is no such command.
    """
    if name is not None and name not in DOCUMENTS:
        raise InputError(f"there is no command {name!r}", remedy="paryield --help lists them")
    commands: dict[str, Any] = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    shown = [name] if name is not None else list(DOCUMENTS)
    return [Entry(one, DOCUMENTS[one], commands[one].help, tuple(_options(commands[one]))) for one in shown]


def _options(command: Any) -> Iterator[tuple[str, str]]:
    context = typer.Context(command)
    for parameter in command.params:
        if parameter.param_type_name == "argument":
            yield parameter.metavar or parameter.name.upper(), parameter.help
        else:
            option, does = parameter.get_help_record(context)
            yield re.sub(r"<.*>", "N" if re.search("int|float", option) else "TEXT", option), does


def _lines(found: list[Entry]) -> Iterator[str]:
    group = ""
    for entry in found:
        if entry.document.group != group:
            group = entry.document.group
            yield from (group.upper(), "")
        yield entry.name
        yield _filled(f"{entry.document.does}.", 2)
        for option, does in entry.options:
            yield _filled(f"{option}: {does}", 4, 8)
        yield _filled(_fields(entry.document), 2)
        if entry.document.words:
            yield _filled(entry.document.words, 2)
        yield ""
    yield "FOR ALL COMMANDS"
    for line in GENERAL:
        yield _filled(line, 2)


def _topic_lines() -> Iterator[str]:
    for topic in TOPICS:
        yield topic.heading.upper()
        yield from (_filled(line, 2) for line in topic.paragraphs)
        yield from (f"    {line}" for line in topic.lines)
        yield ""


def _filled(text: str, indent: int, rest: int | None = None) -> str:
    later = indent if rest is None else rest
    return fill(text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * later)


def _fields(document: Document) -> str:
    kind = "one record" if document.kind == "one" else "a list of records"
    always, at_times = _named(document.always), _named(document.at_times)
    fields = "; ".join([*([always] if always else []), *([f"at times {at_times}"] if at_times else [])])
    return f"With --json {kind}: {fields}."


def _named(fields: str) -> str:
    return ", ".join(fields.split()).replace("*", "quantiles")


def _page(found: list[Entry]) -> str:
    from paryield.report.plain import Section, plain_page

    sections = [
        Section(
            entry.name,
            [f"{entry.document.does}.", *([entry.document.words] if entry.document.words else [])],
            ("option", "does"),
            [*entry.options, ("document", _fields(entry.document))],
        )
        for entry in found
    ]
    sections += [Section(topic.heading, [*topic.paragraphs, *topic.lines]) for topic in TOPICS]
    return plain_page("Commands, options and JSON", GENERAL, sections)
