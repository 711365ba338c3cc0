"""book.toml: title, owner, standard density, comparison points, class bands, default air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Final

from isothrust.book.airs import StatedAir, section_air
from isothrust.book.toml_section import Remarks, Section
from isothrust.book.toml_source import read_toml
from isothrust.errors import BookError, Where
from isothrust.quantities import parse_value

__all__ = ["BOOK_FILE", "CLASS_EDGES_INCH", "Settings", "read_settings"]

BOOK_FILE: Final = "book.toml"
CLASS_EDGES_INCH: Final = (1.75, 2.25, 2.75, 3.3, 3.75, 4.5, 5.3, 6.3, 7.3, 8.5, 9.5, 10.5, 11.5, 12.5)
"""Edges of the nominal diameter bands in which propellers are sold and raced against one another."""
STANDARD_DENSITY: Final = 1.225
"""[kg/m3], ISO 2533 at sea level."""
COMPARISON_THRUSTS: Final = ("250 gf", "500 gf", "1000 gf")
COMPARISON_SPEEDS: Final = ("14000 rpm",)


@dataclass(frozen=True, slots=True)
class Settings:
    """What book.toml says, in SI, with what it leaves out filled in."""

    title: str
    owner: str
    standard_density: float
    comparison_thrusts: tuple[float, ...]
    comparison_speeds: tuple[float, ...]
    class_edges: tuple[float, ...]
    air: Mapping[str, StatedAir]


def read_settings(root: Path, remarks: Remarks) -> Settings:
    """Read book.toml; raises BookError `no-book` where the folder has none, since then nothing else can be meant."""
    path = root / BOOK_FILE
    if not path.is_file():
        raise BookError(
            f"{root} is not a book: it has no {BOOK_FILE}",
            code="no-book",
            where=Where(str(root)),
            expected="the folder of a book: the current one, or the one named with --book",
            fix="go to the book's folder, add  --book DIR,  or make a new book:  isothrust new DIR",
        )
    top = Section(read_toml(path, BOOK_FILE), remarks)
    air = top.section("air")
    settings = Settings(
        title=top.text("title") or root.resolve().name,
        owner=top.text("owner") or "",
        standard_density=top.value("standard_density", "density", least=0.1) or STANDARD_DENSITY,
        comparison_thrusts=_points(top, "comparison_thrusts", "thrust", COMPARISON_THRUSTS),
        comparison_speeds=_points(top, "comparison_speeds", "speed", COMPARISON_SPEEDS),
        class_edges=_class_edges(top),
        air=section_air(air),
    )
    top.raw("note")
    air.finish()
    top.finish()
    return settings


def _points(top: Section, key: str, quantity: str, usual: tuple[str, ...]) -> tuple[float, ...]:
    written = top.values(key, quantity)
    if written is None:
        return tuple(parse_value(text, quantity=quantity) for text in usual)
    if any(value <= 0.0 for value in written):
        top.problem(
            "out-of-range", f"{key} holds zero or less", key=key, expected="more than zero", fix="mend the list"
        )
    return written


def _class_edges(top: Section) -> tuple[float, ...]:
    written = top.values("class_edges", "length")
    if written is None:
        return tuple(0.0254 * edge for edge in CLASS_EDGES_INCH)
    rising = all(low < high for low, high in pairwise(written))
    if not written or written[0] <= 0.0 or not rising:
        top.problem(
            "bad-range",
            "class_edges do not rise",
            key="class_edges",
            expected='diameters above zero, each larger than the one before: ["4.5 in", "5.3 in", "6.3 in"]',
            fix="put them in order",
        )
    return written
