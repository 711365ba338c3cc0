"""What somebody probably meant who wrote a unit that is unknown or of the wrong dimension."""

from __future__ import annotations

import difflib
import re
from types import MappingProxyType
from typing import TYPE_CHECKING, Final

from isothrust.quantities.grammar import Unreadable, known_symbol, normalised, read_unit
from isothrust.quantities.table import ALIASES, FORCE_OF_MASS, UNITS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from isothrust.quantities.dimension import Dimension

__all__ = ["EXPLAINED", "meant_dimension", "meant_symbol"]

_SYMBOL: Final = re.compile(r"[A-Za-z%\"]+")


EXPLAINED: Final[Mapping[str, str]] = MappingProxyType(
    {
        "erpm": "electrical speed is written rpm, with pole_pairs stated in the rig's speed channel",
        "kv": "KV is a motor's constant, and its unit is rpm/V",
        "db": "a level has no factor; sound is recorded in Pa, or in V with a sensitivity",
        "rps": "revolutions a second are written rev/s",
    }
)
"""What a symbol that people write, and that is no unit here, should have been."""


def meant_symbol(text: str, symbol: str, wanted: Dimension | None) -> tuple[str, ...]:
    """Return units that an unknown one may have meant, the likeliest first, all of the wanted dimension if one is."""
    joined = normalised(text).replace("-", " ")
    whole = (joined,) if "-" in text and _dimension(joined) is not None else ()
    same_letters = [name for name in (*UNITS, *ALIASES) if name.lower() == symbol.lower()]
    near = difflib.get_close_matches(symbol, (*UNITS, *ALIASES), n=6, cutoff=0.6)
    names = [known_symbol(name) for name in (*same_letters, *near)]
    texts = (*whole, *(normalised(text).replace(symbol, name) for name in names if name))
    if wanted is not None:
        texts = tuple(_fitting(candidate, wanted) for candidate in texts)
    return tuple(dict.fromkeys(candidate for candidate in texts if candidate))[:4]


def _fitting(text: str, wanted: Dimension) -> str:
    return text if _dimension(text) == wanted else meant_dimension(text, wanted) or ""


def meant_dimension(text: str, wanted: Dimension) -> str | None:
    """Return a unit close to `text` that has the wanted dimension: gf or gn for g, rev/s for Hz, rad/s for rad.s."""
    plain = normalised(text)
    candidates = (
        _replaced(plain, FORCE_OF_MASS),
        _replaced(plain, {"Hz": "rev/s", "kHz": "rev/ms"}),
        _replaced(plain, {"g": "gn"}),
        re.sub(r"(?<=[A-Za-z])\s*[.*· ]\s*(?=[A-Za-z])", "/", plain, count=1),
        re.sub(r"(?<=[A-Za-z])\s*/\s*(?=[A-Za-z])", " ", plain, count=1),
    )
    for candidate in candidates:
        if candidate != plain and _dimension(candidate) == wanted:
            return candidate
    return None


def _replaced(text: str, by: Mapping[str, str]) -> str:
    return _SYMBOL.sub(lambda found: by.get(known_symbol(found[0]) or "", found[0]), text)


def _dimension(text: str) -> Dimension | None:
    try:
        return read_unit(text).dimension
    except Unreadable:
        return None
