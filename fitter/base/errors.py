"""One base error, what a message must say, and the exit codes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

EXIT_DONE = 0
EXIT_INPUT = 2
EXIT_DATA = 3


@dataclass(frozen=True)
class Problem:
    """One thing wrong with an input: where, what was found, what is allowed, what to do.

    Parameters
    ----------
    where : str
        File, row and column, or the option of the command line.
    found : str
        What stands there.
    allowed : str
        What may stand there.
    do : str
        The next step for the reader.
    """

    where: str
    found: str
    allowed: str
    do: str

    def __str__(self) -> str:
        return f"{self.where}: found {self.found}; allowed: {self.allowed}. {self.do}"


class FitterError(Exception):
    """Base of every error that a user should read as a sentence.

    Parameters
    ----------
    message : str
        One sentence.
    problems : iterable of Problem, optional
        Every problem found, not only the first.
    """

    exit_code = EXIT_INPUT

    def __init__(self, message: str, problems: Iterable[Problem] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.problems = tuple(problems)

    def __str__(self) -> str:
        return "\n".join([self.message, *(f"  {p}" for p in self.problems)])


class InputError(FitterError):
    """Bad input or bad usage: exit code 2."""


class DataError(FitterError):
    """The data cannot carry the answer: exit code 3."""

    exit_code = EXIT_DATA


def raise_if(problems: list[Problem], message: str) -> None:
    """Raise one InputError that carries all problems, if there are any."""
    if problems:
        raise InputError(message, problems)
