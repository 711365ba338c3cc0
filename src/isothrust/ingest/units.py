"""The unit of a column: the rig file states it, a log's head may state it too, and the two must agree."""

from __future__ import annotations

import math
from typing import Literal

from isothrust.errors import UnitError
from isothrust.quantities import CHANNELS, Unit, parse_unit
from isothrust.quantities.hints import meant_dimension

__all__ = ["Agreement", "agreement", "unit_of_head"]

Agreement = Literal["same", "another size", "another quantity", "unknown"]


def agreement(head: str, rig: str) -> Agreement:
    """Say how the unit in a head relates to the rig's own.

    What people commonly write for something else counts as what they mean: `g` for gf, `Hz` for rev/s.

    Examples
    --------
    >>> agreement("g", "gf"), agreement("N", "gf"), agreement("V", "gf"), agreement("?", "V")
    ('same', 'another size', 'another quantity', 'unknown')
    """
    stated = parse_unit(rig)
    read = _read(head)
    if read is None:
        return "unknown"
    if read.dimension != stated.dimension:
        meant = meant_dimension(head, stated.dimension)
        if meant is None:
            known = any(read.dimension == channel.dimension for channel in CHANNELS.values())
            return "another quantity" if known else "unknown"
        read = parse_unit(meant)
    same = math.isclose(read.factor, stated.factor, rel_tol=1e-9) and read.offset == stated.offset
    return "same" if same else "another size"


def unit_of_head(head: str | None, quantity: str) -> Unit | None:
    """Return the unit that a head gives for a quantity, or None where it gives none that fits."""
    read = None if head is None else _read(head)
    if head is None or read is None:
        return None
    wanted = CHANNELS[quantity].dimension
    if read.dimension == wanted:
        return read
    meant = meant_dimension(head, wanted)
    return None if meant is None else parse_unit(meant)


def _read(text: str) -> Unit | None:
    try:
        return parse_unit(text)
    except UnitError:
        return None
