"""Evidence from the words of a head."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from isothrust.ingest.mapping.words import PARTS, QUANTITY_WORDS, SET_VALUES, UNREAD_WORDS, words_of
from isothrust.records.mapping import Evidence

__all__ = ["file_evidence", "head_evidence"]

_UNREAD: Final = 10.0
_ALONE: Final[Mapping[str, str]] = MappingProxyType(
    {"v": "voltage", "u": "voltage", "i": "current", "a": "current", "w": "electrical-power"}
)
_SHARES: Final = frozenset({"throttle", "humidity"})
"""Channels that may be in per cent."""
_FORMULA: Final = ("sqrt(", "**", "abs(", "sum(", "degrees(", "mean(")


def head_evidence(head: str) -> list[Evidence]:
    """Return what the words of a head speak for."""
    text = head.strip()
    words = words_of(text)
    if not words:
        return []
    alone = _ALONE.get(words[0]) if len(words) == 1 else None
    if alone is not None:
        return [Evidence("head", alone, f'"{text}" alone is a symbol or a unit of {_said(alone)}', 3.0)]
    formula = next((sign for sign in _FORMULA if sign in text.lower()), None)
    if formula is not None:
        return [Evidence("head", "", "a formula: worked out from other columns", 2 * _UNREAD)]
    found = [
        Evidence("head", quantity, f'"{word}" is a word for {_said(quantity)}', weights[word])
        for quantity, weights in QUANTITY_WORDS.items()
        if (word := max((word for word in _keys(words) if word in weights), key=lambda word: weights[word], default=""))
    ]
    named = {each.quantity for each in found}
    unread = next((word for word in _keys(words) if word in UNREAD_WORDS), None)
    if unread is not None and not _is_suffix(unread, words) and not (unread == "percent" and named & _SHARES):
        found.append(Evidence("head", "", f'"{unread}": {UNREAD_WORDS[unread]}', _UNREAD))
    return found + _qualified(words, named)


def file_evidence(names: tuple[str, ...]) -> list[Evidence]:
    """Return what the names of all files of a layout speak for, weakly: a name tells of one column, not of which."""
    found: list[Evidence] = []
    for quantity, weights in QUANTITY_WORDS.items():
        if quantity == "time":
            continue
        words = [word for word in _FILE_WORDS.get(quantity, ()) if all(word in words_of(name) for name in names)]
        words += [
            word
            for word in weights
            if weights[word] >= 4.0 and len(word) > 3 and all(word in words_of(n) for n in names)
        ]
        if words:
            found.append(Evidence("file name", quantity, f'"{words[0]}" stands in the name of the file', 2.5))
    return found


_FILE_WORDS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {"thrust": ("tenso", "loadcell"), "current": ("shunt",), "acceleration": ("vib",), "mark": ("hall",)}
)
"""Words that say little in a head, and enough in the name of a file of one channel."""


def _keys(words: list[str]) -> list[str]:
    """Return the words, and neighbours taken together: `load cell` is `loadcell`."""
    return [*words, *(first + second for first, second in pairwise(words))]


def _is_suffix(word: str, words: list[str]) -> bool:
    """Say whether a one-letter word stands last, where it may be a unit or a mark of its own: `flow_d`, `temp_q`."""
    return len(word) == 1 and len(words) > 1 and words[-1] == word


def _qualified(words: list[str], named: set[str]) -> list[Evidence]:
    """Return what words beside the quantity's own make of it."""
    found = []
    part = next((word for word in words if word in PARTS), None)
    if "temperature" in named and part is not None:
        found.append(Evidence("head", "", f"the temperature of a part ({part}), not of the air", _UNREAD))
    if "throttle" not in named and SET_VALUES & set(words):
        word = next(word for word in words if word in SET_VALUES)
        found.append(Evidence("head", "", f'"{word}": what was asked for, not what was read', _UNREAD))
    if "electrical-power" in named and {"output", "mechanical", "shaft", "mech", "out"} & set(words):
        found.append(Evidence("head", "", "power at the shaft, not electrical power", _UNREAD))
    return found


def _said(quantity: str) -> str:
    return quantity.replace("-", " ")
