"""One base error and a few children.

Every error says what was wrong, where, and what to do; the command line prints it as one line and
leaves with the error's exit code.
"""

from __future__ import annotations


class ParyieldError(Exception):
    """Base of every error a user may see.

    Parameters
    ----------
    message : str
        What was wrong, with the value that was found.
    where : str
        File, row and column, or the golfer and quantity; empty when there is no place to name.
    remedy : str
        What to do about it.
    """

    kind = "error"
    exit_code = 1

    def __init__(self, message: str, *, where: str = "", remedy: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.where = where
        self.remedy = remedy

    def line(self) -> str:
        """Return the whole error as one line of text."""
        parts = [f"{self.where}: {self.message}" if self.where else self.message]
        if self.remedy:
            parts.append(self.remedy)
        return " - ".join(part.replace("\n", " ") for part in parts)

    def to_dict(self) -> dict[str, str]:
        """Return the error as the record that ``--json`` prints."""
        return {"kind": self.kind, "message": self.message, "where": self.where, "remedy": self.remedy}


class InputError(ParyieldError):
    """Bad input or usage (exit code 2)."""

    kind = "input"
    exit_code = 2


class NotReportableError(ParyieldError):
    """The health gate says that an answer must not be given (exit code 3)."""

    kind = "not_reportable"
    exit_code = 3


class InternalError(ParyieldError):
    """Our fault (exit code 1)."""

    kind = "internal"
    exit_code = 1


class Notice(UserWarning):
    """Something that a reader of an answer should know; the command prints it as one line."""
