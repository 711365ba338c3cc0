"""The exception tree: everything that stops the work on purpose.

::

    IsothrustError
    ├── UsageError        a command was given words it cannot use           (exit 2)
    ├── UnitError         a unit is unknown or of the wrong dimension
    ├── BookError         the book, or a table or object in it, is unreadable (exit 2)
    ├── RigError          a rig file is unreadable or contradicts itself     (exit 2)
    ├── LogError          a recording cannot be read                         (that run is not reduced)
    ├── ReductionError    a recording is readable but cannot be reduced      (that run is not reduced)
    └── ProblemsError     several of the above, found in one pass over one file

An error carries one or more problems; each is shown in the same four-line form by `Problem.text`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "BookError",
    "IsothrustError",
    "LogError",
    "Problem",
    "ProblemsError",
    "ReductionError",
    "RigError",
    "UnitError",
    "UsageError",
    "Where",
    "raise_problems",
]


@dataclass(frozen=True, slots=True)
class Where:
    """A place in a file, as precise as is known."""

    file: str
    line: int | None = None
    column: str | None = None
    key: str | None = None
    """Of a rig or settings file, its sections before it: channels.thrust.unit."""

    def __str__(self) -> str:
        """Say the place as `file, line n, column "head"` or `file, line n, key section.name`."""
        parts = [self.file]
        if self.line is not None:
            parts.append(f"line {self.line}")
        if self.column is not None:
            parts.append(f'column "{self.column}"')
        if self.key is not None:
            parts.append(f"key {self.key}")
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong: what, where, what was expected, and one action that mends it."""

    code: str
    what: str
    where: Where | None = None
    expected: str | None = None
    fix: str | None = None

    def text(self) -> str:
        """Return the problem in the four-line form shown to people."""
        lines = [f"{self.what}    [{self.code}]"]
        if self.where is not None:
            lines.append(f"  where:    {self.where}")
        if self.expected is not None:
            lines.append(f"  expected: {self.expected}")
        if self.fix is not None:
            lines.append(f"  fix:      {self.fix}")
        return "\n".join(lines)


class IsothrustError(Exception):
    """Root of the tree. Holds the problems that were found, at least one.

    Parameters
    ----------
    what
        A sentence that names what is wrong and the value seen.
    code
        Stable word code, listed in docs/messages.md.
    where, expected, fix
        See `Problem`.
    """

    def __init__(
        self,
        what: str,
        *,
        code: str,
        where: Where | None = None,
        expected: str | None = None,
        fix: str | None = None,
    ) -> None:
        self.problems: tuple[Problem, ...] = (Problem(code, what, where, expected, fix),)
        super().__init__(what)

    @property
    def code(self) -> str:
        """Code of the first problem."""
        return self.problems[0].code

    def __str__(self) -> str:
        """Return every problem in the form shown to people."""
        return "\n".join(problem.text() for problem in self.problems)

    def __reduce__(self) -> tuple[object, ...]:
        """Survive the way back from a worker process."""
        return (_rebuild, (type(self), self.problems))


def _rebuild(kind: type[IsothrustError], problems: tuple[Problem, ...]) -> IsothrustError:
    error = kind.__new__(kind)
    Exception.__init__(error, problems[0].what)
    error.problems = problems
    return error


class UsageError(IsothrustError):
    """A command was given words it cannot use."""


class UnitError(IsothrustError):
    """A unit is unknown, missing where one is needed, or of the wrong dimension."""


class BookError(IsothrustError):
    """The book, or a table or object in it, is unreadable."""


class RigError(IsothrustError):
    """A rig file is unreadable or contradicts itself."""


class LogError(IsothrustError):
    """A recording cannot be read."""


class ReductionError(IsothrustError):
    """A recording is readable but cannot be reduced."""


class ProblemsError(IsothrustError):
    """Several problems found in one pass, all reported together."""


def raise_problems(problems: Iterable[Problem], kind: type[IsothrustError] = ProblemsError) -> None:
    """Raise one error that holds all problems; do nothing when there are none."""
    found = tuple(problems)
    if found:
        raise _rebuild(kind, found)
