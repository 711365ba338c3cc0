"""Which columns of a log make a channel: by head or by position, one or several, with their lever arms and scales."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from isothrust.book.toml_section import Section
from isothrust.errors import UnitError
from isothrust.quantities import DIMENSIONLESS, Unit, check_dimension, parse_unit
from isothrust.records.rig import ColumnPick

__all__ = ["columns_of", "scaled_unit", "single_pick", "weighted"]

SUMMED: Final[Mapping[str, int]] = {
    "thrust": 64,
    "torque": 64,
    "current": 64,
    "electrical-power": 64,
    "acceleration": 3,
    "time": 4,
}
"""Channels that several columns make together (cells add up, axes stand side by side, a date and a time of day are one
stamp), and at most how many."""

_PICK: Final = frozenset({"column", "arm", "block", "tag"})
_SCALE: Final = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*")


def columns_of(section: Section, quantity: str) -> tuple[ColumnPick, ...]:
    """Return the picks of a channel's `column` or `columns` key; none where it has neither."""
    single, several = section.raw("column"), section.raw("columns")
    if single is not None and several is not None:
        section.problem(
            "two-columns",
            f"{quantity} has both column and columns",
            key="columns",
            expected="one of the two",
            fix="delete one of the two keys",
        )
        return ()
    key = "column" if several is None else "columns"
    written = single if several is None else several
    if written is None:
        return ()
    picks = _picks(section, key, written)
    _check_together(section, quantity, key, picks)
    return picks


def _picks(section: Section, key: str, written: Any) -> tuple[ColumnPick, ...]:  # noqa: ANN401
    if isinstance(written, Mapping) and not _PICK & set(written):
        items: list[Any] = [{"column": head, "arm": arm} for head, arm in written.items()]
    elif isinstance(written, list):
        items = written
    else:
        items = [written]
    picks = [single_pick(section, key, item) for item in items]
    return tuple(pick for pick in picks if pick is not None)


def single_pick(section: Section, key: str, item: Any) -> ColumnPick | None:  # noqa: ANN401
    """Return one column by head or position, perhaps with its arm or its block; None where it cannot be told."""
    if isinstance(item, str) and item.strip():
        return ColumnPick(head=item)
    if isinstance(item, int) and not isinstance(item, bool):
        if item >= 1:
            return ColumnPick(position=item)
        section.problem(
            "out-of-range",
            f"column {item} does not exist",
            key=key,
            expected="positions count from 1",
            fix="mend the position",
        )
        return None
    if isinstance(item, Mapping) and {"column"} <= set(item) <= _PICK:
        pick = single_pick(section, key, item["column"]) if not isinstance(item["column"], Mapping) else None
        pick = None if pick is None else _in_block(section, key, pick, item.get("block"))
        pick = None if pick is None else _tagged(section, key, pick, item.get("tag"))
        if pick is None or item.get("arm") is None:
            return pick
        # An arm that cannot be read is noted, and counts as an arm: the unit is then still held to be a force.
        return replace(pick, arm=section.parsed(key, item["arm"], "length") or 0.0)
    section.problem(
        "wrong-type",
        f"{key} holds {item!r}",
        key=key,
        expected='a head in quotes, a position from 1, or { column = 5, arm = "21 mm" }',
        fix="write the column in one of these forms",
    )
    return None


def _in_block(section: Section, key: str, pick: ColumnPick, block: Any) -> ColumnPick:  # noqa: ANN401
    if block is None or (isinstance(block, int) and not isinstance(block, bool) and block >= 1 and pick.head):
        return replace(pick, block=block)
    section.problem(
        "contradictory-keys" if pick.position else "out-of-range",
        f"{key} has block = {block!r}" + (f" beside position {pick.position}" if pick.position else ""),
        key=key,
        expected="a block, from 1, beside a head; a position counts all columns of the sheet and needs no block",
        fix="delete block" if pick.position else "count the blocks from 1, the left one first",
    )
    return pick


def _tagged(section: Section, key: str, pick: ColumnPick, tag: Any) -> ColumnPick:  # noqa: ANN401
    if tag is None or (isinstance(tag, str) and tag.strip()):
        return replace(pick, tag=tag.strip() if tag else None)
    section.problem(
        "wrong-type",
        f"{key} has tag = {tag!r}",
        key=key,
        expected='the word in quotes that begins the rows of the source: tag = "LC"',
        fix="write the tag as it stands in the log, in quotes",
    )
    return pick


def _check_together(section: Section, quantity: str, key: str, picks: tuple[ColumnPick, ...]) -> None:
    """Note what cannot be meant: two columns for one reading, one column twice, an arm where nothing turns."""
    names = [_name(pick) for pick in picks]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        section.problem(
            "two-columns",
            f"{quantity} takes column {', '.join(twice)} twice",
            key=key,
            expected="each column once",
            fix="delete the second mention",
        )
    blocks = {pick.block for pick in picks}
    if len(blocks) > 1:
        section.problem(
            "two-columns",
            f"{quantity} is made of columns of {len(blocks)} blocks, whose rows are not of the same moments",
            key=key,
            expected="columns of one block",
            fix="name the same block for each",
        )
    tags = {pick.tag for pick in picks}
    if len(tags) > 1:
        section.problem(
            "two-columns",
            f"{quantity} is made of columns of {len(tags)} sources, whose rows are not of the same moments",
            key=key,
            expected="columns of one source",
            fix="name the same tag for each",
        )
    most = SUMMED.get(quantity, 1)
    if len(picks) > most:
        section.problem(
            "two-columns",
            f"{quantity} has {len(picks)} columns: {', '.join(names)}",
            key=key,
            expected=f"{most} at most; only {', '.join(SUMMED)} are made of several",
            fix="keep the column that holds the reading",
        )
    armed = [pick for pick in picks if pick.arm is not None]
    if armed and quantity != "torque":
        section.problem(
            "contradictory-keys",
            f"{quantity} is no torque, and its columns have arms",
            key=key,
            expected="arms under torque only",
            fix='list the columns without arms: columns = ["…", "…"]',
        )
    elif armed and len(armed) < len(picks):
        section.problem(
            "contradictory-keys",
            f"{len(armed)} of {len(picks)} columns of {quantity} have an arm",
            key=key,
            expected="an arm for each column, or for none",
            fix='give each its arm: columns = { left = "21.0 mm", right = "-21.0 mm" }',
        )


def _name(pick: ColumnPick) -> str:
    name = f'"{pick.head}"' if pick.head is not None else str(pick.position)
    name = name if pick.block is None else f"{name} of block {pick.block}"
    return name if pick.tag is None else f"{name} of rows {pick.tag}"


def weighted(
    section: Section, picks: tuple[ColumnPick, ...], factors: tuple[float, ...]
) -> tuple[tuple[ColumnPick, ...], float]:
    """Return the picks with each column's own scale put in, and the factor that they share."""
    if len(set(factors)) == 1 or not picks:
        return picks, factors[0]
    if len(factors) != len(picks):
        section.problem(
            "contradictory-keys",
            f"there are {len(factors)} scales for {len(picks)} columns",
            key="scale",
            expected="one scale for all columns, or one for each in their order",
            fix="write one scale, or as many as columns",
        )
        return picks, factors[0]
    own = tuple(replace(pick, weight=factor / factors[0]) for pick, factor in zip(picks, factors, strict=True))
    return own, factors[0]


def scaled_unit(section: Section, quantity: str) -> tuple[Unit, ...]:
    """Return what one of a column's own units is in SI, its `scale` put in: one for all columns or one for each.

    `quantity` is what the column holds: a force, where the columns of a torque have arms. Empty if it cannot be told.
    """
    written, scales = section.text("unit"), section.raw("scale")
    if "unit" in section and written is None:
        return ()
    if written is None:
        shown = "count" if scales is not None else None
        section.problem(
            "missing-unit",
            "no unit is given",
            expected="the unit of the log's own numbers",
            fix=f'add  unit = "{shown or "…"}"',
        )
        return ()
    try:
        unit = parse_unit(written, where=section.where("unit"))
        if scales is None:
            return _plain_unit(section, unit, quantity)
        return _each_scale(section, unit, scales, quantity)
    except UnitError as error:
        section.remarks.add(error)
        return ()


def _plain_unit(section: Section, unit: Unit, quantity: str) -> tuple[Unit, ...]:
    if unit.dimension == parse_unit("count").dimension and quantity not in {"sound", "mark"}:
        section.problem(
            "missing-scale",
            f"the column holds raw counts, and nothing says how much {quantity} a count is",
            key="unit",
            expected="the scale that the calibration gave",
            fix='add a scale such as  scale = "0.4833 gf/count"',
        )
        return ()
    if quantity == "mark" or (quantity == "sound" and unit.dimension in _SOUND):
        return (unit,)
    check_dimension(unit, quantity, where=section.where("unit"))
    return (unit,)


_SOUND: Final = (DIMENSIONLESS, parse_unit("V").dimension, parse_unit("count").dimension)
"""What a microphone's column may hold besides pressure: levels are then relative, or a sensitivity makes them Pa."""


def _each_scale(section: Section, unit: Unit, scales: Any, quantity: str) -> tuple[Unit, ...]:  # noqa: ANN401
    one_pair = isinstance(scales, list) and len(scales) == 2 and _is_number(scales[0]) and isinstance(scales[1], str)
    if one_pair:
        scales = f"{scales[0]} {scales[1]}"
    items = scales if isinstance(scales, list) else [scales]
    found = [_one_scale(section, unit, item, quantity) for item in items]
    return tuple(scaled for scaled in found if scaled is not None) if None not in found else ()


def _one_scale(section: Section, unit: Unit, item: Any, quantity: str) -> Unit | None:  # noqa: ANN401
    match = _SCALE.fullmatch(str(item)) if _is_number(item) or isinstance(item, str) else None
    if match is None or float(match[1]) == 0.0:
        section.problem(
            "bad-number",
            f"scale is {item!r}",
            key="scale",
            expected='a number other than zero with its unit, such as "0.4833 gf/count"',
            fix="mend the scale",
        )
        return None
    per = parse_unit(match[2], where=section.where("scale")) if match[2] else parse_unit("1")
    if unit.offset or per.offset:
        section.problem(
            "contradictory-keys",
            "a temperature in degC cannot be scaled",
            key="scale",
            expected="a unit such as count with a scale in K/count",
            fix='write unit = "count"',
        )
        return None
    # The text names the whole product, so that a wrong dimension is told of what was written.
    product = Unit(f"{match[0].strip()} x {unit.text}", 1.0, 0.0, per.dimension * unit.dimension)
    check_dimension(product, quantity, where=section.where("scale"))
    return Unit(product.text, float(match[1]) * per.factor * unit.factor, 0.0, product.dimension)


def _is_number(item: Any) -> bool:  # noqa: ANN401
    return isinstance(item, int | float) and not isinstance(item, bool)
