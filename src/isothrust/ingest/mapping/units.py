"""The unit that a column's head tells: in brackets, in a row of units, as its last word, or as the head itself."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from isothrust.errors import UnitError
from isothrust.ingest.mapping.words import RAW, words_of
from isothrust.quantities import CHANNELS, DIMENSIONLESS, Unit, parse_unit
from isothrust.quantities.grammar import known_symbol, normalised
from isothrust.quantities.hints import meant_dimension
from isothrust.quantities.table import ALIASES, UNITS
from isothrust.tables.heads import Head

__all__ = ["ToldUnit", "is_scaled", "labelled", "of_no_channel", "quantities_of_unit", "told_units", "unit_for"]

_NUMBERED: Final = re.compile(r"(?:^|[^/\w])[A-Za-z]+\d$")
"""A name with a number, such as cell A1: no power of a unit."""
_SCALED: Final = re.compile(
    r"[x×*/÷^]\s*\d{2,}|\d{2,}\s*[x×*]|\b(?:deci|centi|kilo|thousands?|hundreds?|tenths?|hundredths?|tausend|mille)\b",
    re.IGNORECASE,
)
"""A factor beside the name, as in `RPM x1000` or `Volts/10`: what one of its numbers is worth is not told."""
_BETWEEN: Final = frozenset({"in", "en"})
"""Words between name and unit, as in `Schub in N`: no inches."""
_NUMBER: Final = re.compile(r"\d+(?:[.,]\d+)?")
_LAST: Final = re.compile(r"[\s_\-]+")
_OTHER: Final[Mapping[str, str]] = MappingProxyType(
    {
        "u/min": "rpm",
        "1/min": "rpm",
        "min-1": "rpm",
        "tr/min": "rpm",
        "t/min": "rpm",
        "u/s": "rev/s",
        "rps": "rev/s",
        "erpm": "rpm",
        "krpm": "1000 rpm",
        "ozin": "ozf in",
        "inoz": "ozf in",
        "oz-in": "ozf in",
        "lbin": "lbf in",
        "inlb": "lbf in",
        "lbft": "lbf ft",
        "ftlb": "lbf ft",
        "gcm": "gf cm",
        "kgcm": "kgf cm",
    }
)
"""Ways of writing a unit that the table leaves to the quantity they stand beside."""
_OPEN: Final = (DIMENSIONLESS, parse_unit("count").dimension, parse_unit("Hz").dimension)
"""Dimensions that a reading of many a channel may be written in."""
_COMMANDS: Final = frozenset({"us", "ms", "%", "1", "count", "V"})
"""Units a throttle may be commanded in."""
_SPEEDS: Final = frozenset({"rpm", "rps"})
_NAMES: Final = frozenset({"volt", "volts", "amp", "amps", "watt", "watts"})
"""Units that name a column as a person would; `amps` may be in mA all the same."""


@dataclass(frozen=True, slots=True)
class ToldUnit:
    """A unit that a head tells, in the words that a rig file takes."""

    unit: str
    written: str
    """As the log writes it."""
    by: str
    """What tells it, for people: 'its head'."""
    named: bool = False
    """True where only a name such as `volts` tells it: a column so called may be in mV all the same."""
    letter: bool = False
    """True where one letter behind the name tells it: it may be a label as well, as in `motor A`."""


def told_units(head: Head, *, in_row: bool) -> list[ToldUnit]:
    """Return every reading of the unit that a head tells, the plainest first; none where it tells none.

    `in_row` says that units stand in a row of their own.

    Examples
    --------
    >>> [told.unit for told in told_units(Head.of_log("thrust_gf"), in_row=False)]
    ['gf']
    >>> [told.unit for told in told_units(Head.of_log("Drehzahl U/min"), in_row=False)]
    ['rpm']
    >>> told_units(Head.of_log("thrust"), in_row=False)
    []
    """
    if is_scaled(head):
        return []
    if head.unit is not None:
        by = "the row of units" if in_row else "its head"
        read = [] if _is_round_range(head) else _readable(head.unit)
        return [ToldUnit(unit, head.unit, by) for unit in read]
    words = [word for word in _LAST.split(head.text.strip()) if word]
    if _is_range(words):
        return []
    # The last two words may be one unit, rad_s or N_m.
    numbered = len(words) > 1 and _NUMBER.fullmatch(words[-2]) is not None
    joined = len(words) > 2 and not numbered and words[-2] not in _BETWEEN
    texts = ["/".join(words[-2:]), " ".join(words[-2:])] if joined else []
    texts += words[-1:] if len(words) > 1 or len(head.text.strip()) > 1 else []
    found = [ToldUnit(unit, text, "its head", letter=len(text) == 1) for text in texts for unit in _readable(text)]
    if not found and head.text.count("/") == 1:  # In some places a slash parts quantity and unit: Schub/N.
        text = head.text.partition("/")[2].strip()
        found = [ToldUnit(unit, text, "its head", letter=len(text) == 1) for unit in _readable(text)]
    if not found:
        said = words_of(head.text)
        name = next((word for word in said if word in _NAMES | _SPEEDS), "") if not RAW & set(said) else ""
        found = [ToldUnit(unit, name, "its head", named=True) for unit in _readable(name)]
    return [replace(told, named=told.named or numbered or told.written.lower() in _NAMES) for told in found]


def is_scaled(head: Head) -> bool:
    """Say whether a factor stands beside the name, so that its unit is not worth what it says.

    Examples
    --------
    >>> [is_scaled(Head.of_log(text)) for text in ("RPM x1000", "Volts/10", "current [0.1 A]", "rpm 2")]
    [True, True, False, False]
    """
    return _SCALED.search(head.name if head.unit is not None else head.text) is not None


def of_no_channel(head: Head) -> bool:
    """Say whether a head gives, in brackets or a row of units, a unit that no channel is measured in.

    Examples
    --------
    >>> [of_no_channel(Head.of_log(text)) for text in ("thrust (g/W)", "speed (m/s)", "thrust (V)", "omega [1/s]")]
    [True, True, False, False]
    """
    units = [unit for text in _readable(head.unit or "") if (unit := _parsed(text)) is not None]
    if not units or any(unit.dimension in _OPEN for unit in units):
        return False
    return not any(_fitting(unit.text, quantity) for unit in units for quantity in CHANNELS)


def _is_range(words: Sequence[str]) -> bool:
    """Say whether a head ends in a number with a unit, `sensor 50A` or `load cell 5 kg`: rather the sensor's range.

    A whole number below 5 may count the columns: `thrust_1_g`.
    """
    if not words or words[-1][:1].isdigit():
        return bool(words) and words[-1].lower() not in _OTHER
    number = _NUMBER.fullmatch(words[-2]) if len(words) > 1 else None
    return number is not None and number[0] not in {"0", "1", "2", "3", "4"}


def _is_round_range(head: Head) -> bool:
    """Say whether a number above 1 stands with the unit in round brackets, `current (30A)`: rather a range."""
    number = _NUMBER.match(head.unit or "")
    if number is None or "[" in head.text or (head.unit or "").lower() in _OTHER:
        return False
    return "(" in head.text and float(number[0].replace(",", ".")) > 1.0


def labelled(heads: Sequence[Head]) -> frozenset[int]:
    """Return the places of heads whose last letter is a label: others differ from them by that letter alone.

    Examples
    --------
    >>> sorted(labelled([Head.of_log(text) for text in ("current A", "current B", "voltage V")]))
    [0, 1]
    """
    ends = [_LAST.split(head.text.strip()) for head in heads]
    stems = [tuple(words[:-1]) if len(words) > 1 and len(words[-1]) == 1 else None for words in ends]
    return frozenset(place for place, stem in enumerate(stems) if stem is not None and stems.count(stem) > 1)


def unit_for(told: Sequence[ToldUnit], quantity: str) -> ToldUnit | None:
    """Return the told unit that measures a quantity, None where none does."""
    for each in told:
        fitting = _fitting(each.unit, quantity)
        if fitting is not None:
            as_written = "" if each.written == fitting else f" as {each.written}"
            return replace(each, unit=fitting, by=each.by + as_written)
    return None


def quantities_of_unit(told: Sequence[ToldUnit]) -> tuple[str, ...]:
    """Return the channels that a told unit may measure, whatever the head's words say."""
    found = [quantity for each in told for quantity in CHANNELS if _measures(each.unit, quantity)]
    return tuple(dict.fromkeys(found))


def _measures(unit: str, quantity: str) -> bool:
    parsed = _parsed(unit)
    if parsed is None:
        return False
    if quantity in {"throttle", "humidity"}:
        return known_symbol(normalised(unit)) == "%"
    if parsed.dimension == DIMENSIONLESS or quantity in {"mark", "sound"}:
        return False
    return _fitting(unit, quantity) is not None


def _fitting(unit: str, quantity: str) -> str | None:
    parsed, unit = _parsed(unit), known_symbol(normalised(unit)) or unit
    if parsed is None:
        return None
    if quantity == "throttle":
        return unit if unit in _COMMANDS else None
    if unit == "count" and quantity != "time":
        return unit
    wanted = CHANNELS[quantity].dimension
    if parsed.dimension == wanted:
        return unit
    if quantity == "torque" and parsed.dimension in {CHANNELS["thrust"].dimension, parse_unit("kg").dimension}:
        force = CHANNELS["thrust"].dimension
        return unit if parsed.dimension == force else meant_dimension(unit, force)
    return meant_dimension(unit, wanted)


def _readable(text: str) -> list[str]:
    """Return the units that a text may be: as it stands, else with its letters in another case."""
    plain = text.strip().strip("[](){}<>")
    if not plain or plain.replace(".", "").isdigit() or _NUMBERED.search(plain):
        return []
    other = _OTHER.get(plain.lower())
    if other is not None:
        return [other]
    if _parsed(plain) is not None:
        return [plain]
    same = [name for name in (*UNITS, *ALIASES) if name.lower() == plain.lower()]
    if not same and "/" in plain:
        above, _, below = plain.partition("/")
        same = [f"{a}/{b}" for a in _readable(above) for b in _readable(below)]
    return [name for name in dict.fromkeys(same) if _parsed(name) is not None]


def _parsed(text: str) -> Unit | None:
    try:
        return parse_unit(text)
    except UnitError:
        return None
