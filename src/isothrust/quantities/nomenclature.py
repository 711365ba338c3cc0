"""The page docs/nomenclature.md, made from the tables of this package.

Run as `python -m isothrust.quantities.nomenclature > docs/nomenclature.md`; a test holds the page to it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import Final

from isothrust.quantities.dimension import Dimension
from isothrust.quantities.measurand import MEASURANDS
from isothrust.quantities.quantity import CHANNELS, QUANTITIES, Quantity
from isothrust.quantities.table import ALIASES, OFFSETS, UNITS

__all__ = ["nomenclature"]

_OPENING: Final = """# Nomenclature

Made by `python -m isothrust.quantities.nomenclature`; not written by hand. One word for one thing in code, columns,
pages and docs. Everything is in SI inside the program; the unit shown is the trade's.
"""

_CONDITIONS: Final = (
    ("speed", "Measurands at a speed"),
    ("both", "Measurands at a speed or at a thrust"),
    ("thrust", "Measurands at a thrust"),
    (None, "Measurands of a run or a sample"),
)

_WRITING: Final = """A unit is a product by a space, `.`, `*` or `·`, with at most one `/` (everything after it is below
the line); an exponent is a trailing digit or follows `^`. It may begin with a number (`0.1 A`), and the space after the
number may be left out (`14000rpm`). Units with an offset stand alone. A force written as a mass is refused: `g` is a
mass, `gf` is the force, and an acceleration in standard gravities is `gn`. Degrees may be written °C, micro µ, ohm Ω,
powers ² and ³.
"""


def nomenclature() -> str:
    """Return the whole page."""
    parts = [_OPENING, "## Channels\n", _quantities(CHANNELS.values()), "## Other quantities\n"]
    parts.append(_quantities(quantity for name, quantity in QUANTITIES.items() if name not in CHANNELS))
    for condition, title in _CONDITIONS:
        parts += [f"## {title}\n", _measurands(condition)]
    parts += ["## Units\n", _WRITING, _units()]
    return "\n".join(parts)


def _quantities(quantities: Iterable[Quantity]) -> str:
    rows = [(q.name, q.symbol, q.si, q.shown, q.description) for q in quantities]
    return _table(("name", "symbol", "SI unit", "shown in", "meaning"), rows)


def _measurands(condition: str | None) -> str:
    rows = [
        (
            measurand.name,
            measurand.symbol,
            measurand.si,
            measurand.label,
            measurand.better or "-",
            measurand.description,
        )
        for measurand in MEASURANDS.values()
        if measurand.condition == condition
    ]
    return _table(("name", "symbol", "SI unit", "shown in", "better", "meaning"), rows)


def _units() -> str:
    rows = [
        (unit, _conversion(unit, factor, kind), kind.name, _spellings(unit)) for unit, (factor, kind) in UNITS.items()
    ]
    return _table(("unit", "in SI", "measures", "also written"), rows)


def _conversion(unit: str, factor: float, kind: Dimension) -> str:
    shift = f" + {OFFSETS[unit]:.10g}" if unit in OFFSETS else ""
    return f"{factor:.15g} {kind.si}{shift}" if kind.si != "1" else f"{factor:.15g}"


def _spellings(unit: str) -> str:
    return ", ".join(f"`{alias}`" for alias, name in ALIASES.items() if name == unit)


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [heads, ["---"] * len(heads), *rows]
    return "".join("| " + " | ".join(cells) + " |\n" for cells in lines)


if __name__ == "__main__":
    sys.stdout.write(nomenclature())
