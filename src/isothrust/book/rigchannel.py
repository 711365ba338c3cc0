"""One channel of a rig file: columns, unit, scale, sign, clock and stated uncertainty."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from isothrust.book.rigcolumns import columns_of, scaled_unit, weighted
from isothrust.book.toml_section import Section
from isothrust.errors import UnitError
from isothrust.quantities import DIMENSIONLESS, check_dimension, parse_unit
from isothrust.records.rig import ChannelPlan, ColumnPick, StatedUncertainty

__all__ = ["FILES", "parse_channel"]

FILES: Final = ("log", "vibration", "sound")
_ONLY_FOR: Final[Mapping[str, tuple[str, ...]]] = {
    "range": ("throttle",),
    "pole_pairs": ("speed",),
    "window": ("speed",),
    "zero": ("thrust", "torque"),
    "sensitivity": ("sound",),
    "distance": ("sound",),
    "calibrator": ("sound",),
    "full_scale": ("sound", "acceleration"),
}

_LEAST_LEVEL, _GREATEST_LEVEL = 60.0, 140.0
"""What a calibrator gives at all [dB]."""


def parse_channel(section: Section, quantity: str) -> ChannelPlan:
    """Return how a channel is made; what is wrong with it is noted in the section's remarks."""
    _refuse_foreign_keys(section, quantity)
    picks = columns_of(section, quantity)
    file = section.word("file", FILES) or "log"
    _need_column(section, quantity, file)
    span = _throttle_range(section) if quantity == "throttle" else None
    picks, factor, offset = _conversion(section, quantity, picks, ranged="range" in section)
    sign, ratio = _sign(section), section.number("ratio", positive=True) or 1.0
    zero = section.number("zero")
    lever = sum(pick.weight * (1.0 if pick.arm is None else pick.arm) for pick in picks)  # each column reads the zero
    plan = ChannelPlan(
        quantity=quantity,
        picks=picks,
        file=file,
        unit=section.text("unit"),
        factor=factor,
        offset=offset,
        sign=sign,
        ratio=ratio,
        zero=None if zero is None else sign * ratio * (factor * zero * lever + offset),
        rate=section.value("rate", "rate", least=1e-6),
        pole_pairs=section.number("pole_pairs", positive=True),
        throttle_range=span,
        uncertainty=_uncertainty(section, quantity),
        sensitivity=section.value("sensitivity", "sensitivity", least=1e-12),
        full_scale=section.value("full_scale", "voltage", least=1e-12),
        distance=section.value("distance", "length", least=1e-6),
        calibrator=_calibrator(section),
        window=section.value("window", "time", least=0.0),
    )
    section.finish(known=tuple(_ONLY_FOR))
    return plan


def _calibrator(section: Section) -> float | None:
    """Return the level of the calibrator [dB], which is 94 or 114 on every one that is sold for microphones."""
    written = section.raw("calibrator")
    if written is None:
        return None
    number, unit = _split_value(written)
    if unit == "dB" and number is not None and _LEAST_LEVEL <= number <= _GREATEST_LEVEL:
        return number
    section.problem(
        "bad-number",
        f"calibrator is {written!r}",
        key="calibrator",
        expected='the level that stands on it, such as "94 dB" or "114 dB"',
        fix='write  calibrator = "94 dB"  with the level of the calibrator that was recorded',
    )
    return None


def _refuse_foreign_keys(section: Section, quantity: str) -> None:
    for key, owners in _ONLY_FOR.items():
        if key in section and quantity not in owners:
            section.problem(
                "contradictory-keys",
                f"{key} says nothing about {quantity}",
                key=key,
                expected=f"{key} under {' or '.join(owners)}",
                fix=f"delete the key, or move it to channels.{owners[0]}",
            )


def _need_column(section: Section, quantity: str, file: str) -> None:
    has_column = "column" in section or "columns" in section
    if quantity == "time" and has_column == ("rate" in section):
        section.problem(
            "contradictory-keys" if has_column else "missing-key",
            "time has both a column and a rate" if has_column else "time has neither a column nor a rate",
            expected='column and unit, or  rate = "1 kHz"  where the log has no time column',
            fix="delete one of the two" if has_column else "add one of the two",
        )
    elif quantity != "time" and file == "log" and not has_column:
        section.problem(
            "missing-key",
            f"nothing says which column of the log holds {quantity}",
            expected="column, a head's text or a position from 1",
            fix='add  column = "…"',
        )


def _conversion(
    section: Section, quantity: str, picks: tuple[ColumnPick, ...], *, ranged: bool
) -> tuple[tuple[ColumnPick, ...], float, float]:
    """Return the picks, and factor and offset from a column's reading to SI."""
    if not _needs_unit(section, quantity, picks):
        _check_bare_unit(section)
        return picks, 1.0, 0.0
    if ranged:
        _check_bare_unit(section)
        if "scale" in section:
            section.problem(
                "contradictory-keys",
                "throttle has both a range and a scale",
                key="scale",
                expected="one of the two",
                fix="delete scale: the range says what 0 and 100 % are",
            )
        return picks, 1.0, 0.0
    if quantity == "throttle" and "unit" in section and _is_command(section):
        section.problem(
            "missing-key",
            f'throttle is in "{section.text("unit")}", and nothing says which readings are 0 and 100 %',
            key="unit",
            expected="range, in the column's own unit",
            fix="add  range = [1000, 2000]  with the rig's own numbers",
        )
        return picks, 1.0, 0.0
    held = "force" if any(pick.arm is not None for pick in picks) else quantity
    units = scaled_unit(section, held)
    if not units:
        return picks, 1.0, 0.0
    own, factor = weighted(section, picks, tuple(unit.factor for unit in units))
    return own, factor, units[0].offset


def _needs_unit(section: Section, quantity: str, picks: tuple[ColumnPick, ...]) -> bool:
    if "unit" in section or "scale" in section:
        return quantity != "time" or "column" in section or "columns" in section
    if quantity == "time":  # Without a unit: ISO 8601 or a time of day, which ingest recognises, or a rate.
        return False
    # A waveform's readings are parts of its full scale, and a sound's level may stay relative.
    waveform = section.raw("file") in ("vibration", "sound") and (not picks or quantity == "sound")
    return not waveform and not (quantity == "throttle" and "range" in section)


def _check_bare_unit(section: Section) -> None:
    """Hold a unit that converts nothing to the unit table all the same."""
    written = section.text("unit")
    if written is not None:
        try:
            parse_unit(written, where=section.where("unit"))
        except UnitError as error:
            section.remarks.add(error)


def _is_command(section: Section) -> bool:
    """Say whether a throttle's unit is known and is no proportion: a pulse length, a count, a voltage."""
    if "scale" in section:
        return False
    try:
        return parse_unit(section.text("unit") or "").dimension != DIMENSIONLESS
    except UnitError:
        return False


def _throttle_range(section: Section) -> tuple[float, float] | None:
    written = section.raw("range")
    if written is None:
        return None
    plain = isinstance(written, list) and all(
        isinstance(item, int | float) and not isinstance(item, bool) for item in written
    )
    if plain and len(written) == 2 and written[0] != written[1]:
        return float(written[0]), float(written[1])
    section.problem(
        "bad-range",
        f"range is {written!r}",
        key="range",
        expected="two different numbers in the column's own unit, what 0 and 100 % are",
        fix="write  range = [1000, 2000]  with the rig's own numbers",
    )
    return None


def _sign(section: Section) -> float:
    sign = section.number("sign")
    if sign is None or sign in {1.0, -1.0}:
        return sign or 1.0
    section.problem(
        "out-of-range", f"sign is {sign:g}", key="sign", expected="1 or -1", fix="put the number into ratio or scale"
    )
    return 1.0


def _uncertainty(section: Section, quantity: str) -> StatedUncertainty | None:
    written = section.raw("uncertainty")
    if written is None:
        return None
    items = written if isinstance(written, list) else [written]
    parts = [_uncertainty_part(section, item, quantity) for item in items]
    relative = [value for kind, value in parts if kind == "relative"]
    absolute = [value for kind, value in parts if kind == "absolute"]
    if not items or len(relative) > 1 or len(absolute) > 1:
        section.problem(
            "contradictory-keys",
            f"uncertainty is {written!r}",
            key="uncertainty",
            expected='one part in proportion, one fixed part, or both: ["0.3 %", "1 gf"]',
            fix="keep one of each kind",
        )
    return StatedUncertainty(sum(relative[:1]), sum(absolute[:1]))


def _uncertainty_part(section: Section, item: Any, quantity: str) -> tuple[str, float]:  # noqa: ANN401
    """Return a stated standard uncertainty as its kind and value, ('none', 0) where it is of no use."""
    number, unit = _split_value(item)
    if number is None or number < 0.0:
        section.problem(
            "bad-number",
            f"uncertainty holds {item!r}",
            key="uncertainty",
            expected='a standard uncertainty, zero or more, with its unit: "0.3 %", "1 gf"',
            fix="mend the number",
        )
        return "none", 0.0
    try:
        parsed = parse_unit(unit, quantity="temperature-difference" if quantity == "temperature" else None)
        if parsed.dimension == DIMENSIONLESS and unit in {"%", "ppm"}:
            return "relative", number * parsed.factor
        check_dimension(parsed, quantity, where=section.where("uncertainty"))
    except UnitError as error:
        section.remarks.add(error)
        return "none", 0.0
    return "absolute", number * parsed.factor


def _split_value(item: Any) -> tuple[float | None, str]:  # noqa: ANN401
    text = item.strip() if isinstance(item, str) else ""
    cut = next((place for place, sign in enumerate(text) if not (sign.isdigit() or sign in "+-.eE")), len(text))
    try:
        return float(text[:cut]), text[cut:].strip()
    except ValueError:
        return None, ""
