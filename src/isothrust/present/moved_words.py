"""Why figures moved, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from isothrust.records.moved import Move, RunChange

__all__ = ["part_words", "why_words"]

_NAMED: Final = 3
"""Runs named before the others are counted."""
_LONGEST: Final = 60
"""Signs of a reason that are shown; `reduce` and `check` show it whole."""

WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "method": "isothrust's method",
        "version": "isothrust's version",
        "standard_density": "the standard density",
        "response_thrust": "the thrust that steps are compared at",
        "inertia": "the rotor inertia lent",
        "motor": "the motor",
        "run.air": "the air",
        "run.files": "the names of files",
        "run.name": "the run's name",
        "run.campaign": "the campaign's name",
        "rig.name": "the rig",
        "rig.title": "the rig's title",
        "rig.u_temperature": "the rig's air sensors",
        "rig.u_pressure": "the rig's air sensors",
        "rig.u_humidity": "the rig's air sensors",
        "rig.obstruction_drag": "the rig's obstruction",
        "design.name": "the design",
        "motor.name": "the motor",
    }
)
"""Parts of a run's input that do not read well from their names alone."""


def part_words(part: str) -> str:
    """Return a part of a run's input in words.

    Examples
    --------
    >>> part_words("rig.channels.thrust"), part_words("hashes.log"), part_words("design.diameter")
    ('rig: thrust', 'the recording (log)', "the design's diameter")
    """
    if part in WORDS:
        return WORDS[part]
    owner, _, field = part.partition(".")
    if owner == "hashes":
        return f"the recording ({field})"
    if field.startswith("channels."):
        return f"rig: {field.removeprefix('channels.')}"
    words = field.replace("_", " ")
    return f"the run's {words}" if owner == "run" else f"the {owner}'s {words}" if words else f"the {owner}"


def why_words(move: Move) -> str:
    """Return what changed under a figure, the runs that it concerns in brackets."""
    if move.elsewhere:
        return {
            "scatter": "repeats of the campaign's other designs",
            "asked": "what is asked (book.toml)",
            "left": "it left the book",
            "new": "a new campaign",
        }[move.elsewhere]
    why = move.why
    parts = _changes(why.changed)
    parts += [f"added {_runs(why.added)}"] if why.added else []
    parts += [f"gone: {_runs(why.removed)}"] if why.removed else []
    parts += [f"set aside {run}: {_short(reason)}" for run, reason in why.set_aside]
    parts += [f"counts again: {_runs(why.counting)}"] if why.counting else []
    return "; ".join(parts)


def _changes(changed: Sequence[RunChange]) -> list[str]:
    """Return each set of parts once, with the runs in which these changed."""
    by_parts: dict[tuple[str, ...], list[str]] = {}
    for change in changed:
        words = tuple(dict.fromkeys(part_words(part) for part in change.parts))
        by_parts.setdefault(words, []).append(change.run)
    return [f"{', '.join(words)} ({_runs(runs)})" for words, runs in by_parts.items()]


def _runs(runs: Iterable[str]) -> str:
    names = list(runs)
    more = len(names) - _NAMED
    return ", ".join(names[:_NAMED]) + (f" and {more} more" if more > 0 else "")


def _short(reason: str) -> str:
    return reason if len(reason) <= _LONGEST else f"{reason[:_LONGEST].rstrip()}…"
