"""Figures that moved since they were last told: the furthest as a table, the others counted; all of them as objects."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from isothrust.present.moved_words import why_words
from isothrust.present.objects import condition_object, plain_number
from isothrust.present.rounding import decimals_for
from isothrust.present.shown import condition_words, in_shown_unit, measurand_words, unit_label
from isothrust.present.table import Table
from isothrust.quantities import MEASURANDS
from isothrust.records.moved import Move, MoveKind, Moves
from isothrust.records.result import Result

__all__ = ["moved_objects", "moved_table"]

SHOWN: Final = 10
"""Figures shown before the others are counted."""
REASONS: Final = 3
HEADS: Final = ("figure", "design", "was", "is", "moved\nby [%]", "in\nformer u", "for")
STATES: Final[Mapping[MoveKind, str]] = MappingProxyType(
    {
        "moved": "figure moved",
        "appeared": "figure appeared",
        "vanished": "figure vanished",
        "surer": "uncertainty changed",
    }
)


def moved_table(moves: Moves) -> Table | None:
    """Return what moved; None where nothing did, or there is nothing to compare with."""
    if not moves.moves:
        return None
    moved = moves.of_kind("moved")
    campaigns = {_result(move).campaign for move in moves.moves}
    rows = tuple(_row(move, several=len(campaigns) > 1) for move in moved[:SHOWN])
    count = f"{_counted(len(moved), 'figure')} moved since {'they were' if len(moved) > 1 else 'it was'} last told"
    title = count if moved else "No figure moved"
    notes = ["u is the standard uncertainty that a figure was told with."] if rows else []
    notes += [f"Not listed: {_counted(len(moved) - SHOWN, 'figure')} that moved less."] if len(moved) > SHOWN else []
    notes += [_others(moves.of_kind(kind), words) for kind, words in _OTHERS if moves.of_kind(kind)]
    return Table(title, HEADS if rows else (), rows, frozenset({0, 1, 6}), tuple(notes), 6 if rows else None)


_OTHERS: Final[tuple[tuple[MoveKind, str], ...]] = (
    ("appeared", "appeared"),
    ("vanished", "vanished"),
    ("surer", "kept the value, and the uncertainty changed by more than a tenth"),
)


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}{'' if count == 1 else 's'}"


def _result(move: Move) -> Result:
    result = move.now or move.former
    assert result is not None
    return result


def _row(move: Move, *, several: bool) -> tuple[str, ...]:
    result = _result(move)
    old, new = _pair(move)
    figure = f"{measurand_words(result.measurand)}\n{condition_words(result.condition)}".rstrip()
    unit = unit_label(result.measurand)
    design = f"{result.design}\n{result.campaign}" if several else result.design
    return (
        f"{figure}{f' [{unit}]' if unit else ''}",
        design,
        old,
        new,
        _relative(move),
        "" if move.by is None else f"{move.by:+.2g}".replace("-", "\N{MINUS SIGN}"),
        why_words(move),
    )


def _pair(move: Move) -> tuple[str, str]:
    """Return both values to the digit in which they differ."""
    result = _result(move)
    values = [in_shown_unit(result.measurand, value) for value in _values(move)]
    decimals = max(decimals_for(abs(values[1] - values[0])), 0)
    return f"{values[0]:.{decimals}f}", f"{values[1]:.{decimals}f}"


def _values(move: Move) -> tuple[float, float]:
    assert move.former is not None
    assert move.now is not None
    assert move.former.value is not None
    assert move.now.value is not None
    return move.former.value, move.now.value


def _relative(move: Move) -> str:
    old, new = _values(move)
    return f"{100.0 * (new / old - 1.0):+.2g}".replace("-", "\N{MINUS SIGN}") if old else ""


def _others(moves: Sequence[Move], words: str) -> str:
    """Count figures of one kind, with their reasons."""
    reasons: dict[str, None] = dict.fromkeys(
        _absent(move) if move.kind == "vanished" and _absent(move) else why_words(move) for move in moves
    )
    told = list(reasons)
    more = f"; and {len(told) - REASONS} more reasons" if len(told) > REASONS else ""
    return f"{_counted(len(moves), 'figure')} {words}: {'; '.join(told[:REASONS])}{more}."


def _absent(move: Move) -> str:
    """Return why a design has a figure no longer."""
    return "" if move.now is None or move.now.absent is None else f"{move.now.design}: {move.now.absent}"


def moved_objects(moves: Moves) -> list[dict[str, object]]:
    """Return one object a figure that moved, with the keys of a run's object and its own beside them."""
    return [_object(move) for move in moves.moves]


def _object(move: Move) -> dict[str, object]:
    result, why = _result(move), move.why
    unit = MEASURANDS[result.measurand].shown_unit

    def shown(one: Result | None) -> float | None:
        return None if one is None or one.value is None else plain_number(unit.from_si(one.value))

    def spread(one: Result | None) -> float | None:
        u = None if one is None else one.standard_uncertainty
        return None if u is None else plain_number(u / unit.factor)

    return {
        "campaign": result.campaign,
        "run": "",
        "design": result.design,
        "sample": result.sample or "",
        "kind": "",
        "state": STATES[move.kind],
        "findings": {"fail": 0, "warning": 0, "note": 0},
        "method_version": result.method_version,
        "measurand": result.measurand,
        "condition": condition_object(result.condition),
        "unit": MEASURANDS[result.measurand].label,
        "former": shown(move.former),
        "value": shown(move.now),
        "former_standard_uncertainty": spread(move.former),
        "standard_uncertainty": spread(move.now),
        "moved_by": None if move.by is None or not math.isfinite(move.by) else plain_number(move.by),
        "absent": None if move.now is None else move.now.absent,
        "because": why_words(move),
        "why": {
            "changed": [{"run": change.run, "parts": list(change.parts)} for change in why.changed],
            "added": list(why.added),
            "removed": list(why.removed),
            "set_aside": [{"run": run, "reason": reason} for run, reason in why.set_aside],
            "counting_again": list(why.counting),
            "elsewhere": move.elsewhere or None,
        },
    }
