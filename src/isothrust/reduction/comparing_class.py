"""Classes: the propellers that may fairly be compared, by blade count and nominal diameter band."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from isothrust.records.book import Design

__all__ = ["PropellerClass", "class_name", "class_of"]

INCH = 0.0254


@dataclass(frozen=True, slots=True, order=True)
class PropellerClass:
    """A class; None where the design's row does not say (such designs are compared with one another only)."""

    band: int | None
    """Number of the diameter band, from 0 below the first edge."""
    blades: int | None
    """Blade count; None as well where blade counts were mixed on request."""


def class_of(design: Design, edges: Sequence[float], *, across_blades: bool = False) -> PropellerClass:
    """Return a design's class; a diameter on an edge belongs to the band above it."""
    band = None if design.diameter is None else bisect_right(edges, design.diameter)
    return PropellerClass(band, None if across_blades else design.blades)


def class_name(designs: Iterable[Design], edges: Sequence[float], *, across_blades: bool = False) -> str:
    """Return a class in words: '7 inch, 2 blades', or a label that says that blade counts were mixed."""
    members = list(designs)
    return f"{_diameter_words(members, edges)}, {_blade_words(members, across_blades=across_blades)}"


def _diameter_words(members: Sequence[Design], edges: Sequence[float]) -> str:
    diameters = sorted({design.diameter for design in members if design.diameter is not None})
    if not diameters:
        return "diameter not stated"
    if len(diameters) == 1:
        return f"{diameters[0] / INCH:.4g} inch"
    index = bisect_right(edges, diameters[0])
    low = f"{edges[index - 1] / INCH:.4g}" if index else "0"
    if index == len(edges):
        return f"above {low} inch"
    return f"{low} to {edges[index] / INCH:.4g} inch"


def _blade_words(members: Sequence[Design], *, across_blades: bool) -> str:
    counts = sorted({design.blades for design in members if design.blades is not None})
    unknown = any(design.blades is None for design in members)
    if across_blades and (len(counts) > 1 or (counts and unknown)):
        named = [*map(str, counts), *(["not stated"] if unknown else [])]
        return f"BLADE COUNTS MIXED ({', '.join(named)})"
    if not counts:
        return "blade count not stated"
    return f"{counts[0]} blade{'s' if counts[0] != 1 else ''}"
