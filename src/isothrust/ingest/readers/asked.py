"""Names of what is in a file, asked for and not asked for: a name that is not there, several and none said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from isothrust.errors import LogError, Problem, Where
from isothrust.tables.nearest import nearest_first

__all__ = ["no_such_part", "several_parts"]

_SHOWN = 8


def no_such_part(wanted: str, names: Sequence[str], file: str, skipped: Mapping[str, str] | None = None) -> LogError:
    """Return the error of a name that the file does not hold, or that names no table."""
    why = (skipped or {}).get(wanted)
    near = nearest_first(wanted, names)
    return LogError(
        f'there is no "{wanted}" in {Path(file).name}' if why is None else f'"{wanted}" in {Path(file).name}: {why}',
        code="no-such-part",
        where=Where(file),
        expected=f"one of {_listed(near or names)}" if names else "a file with a table in it",
        fix=f"write  {Path(file).name}/{near[0]}  in runs.csv, if that is the one"
        if near
        else "mend the name behind the file's in runs.csv",
    )


def several_parts(names: Sequence[str], file: str, fitting: str) -> Problem:
    """Return the problem of a file in which several things may be meant; `fitting` says what they have in common."""
    name = Path(file).name
    return Problem(
        "several-tables",
        f"{len(names)} parts of {name} {fitting}: {_listed(names)}",
        Where(file),
        "one that the run is read from",
        f"write  {name}/{names[0]}  in runs.csv instead of  {name},  or, where it is called so in every file, "
        f'table = "{names[0]}"  under [files.log] in the rig file (or under the kind of file that it is)',
    )


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(f'"{name}"' for name in names[:_SHOWN])
    return shown + (f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else "")
