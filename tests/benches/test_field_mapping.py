"""Columns of other people's recordings, mapped from nothing: the right quantity, and never a wrong unit."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

import pytest

from isothrust.errors import LogError
from isothrust.ingest.mapping import Look, layout_key, look_at, map_layout
from isothrust.quantities import parse_unit
from isothrust.records.mapping import ColumnMapping, LayoutMapping
from support.field import FIELD, needs_field
from support.field_columns import FIELD_COLUMNS, Truth, truth_of

pytestmark = needs_field

TABLES = {".csv", ".txt", ""}
# Two binary flight logs.
UNREADABLE = {"E8_log00", "motor_E9_log00"}


@cache
def mapped() -> dict[str, LayoutMapping]:
    """First log of each layout of each folder -> its mapping; what cannot be read is passed over."""
    found: dict[str, LayoutMapping] = {}
    for folder in sorted(path for path in FIELD.iterdir() if path.is_dir()):
        groups: dict[tuple[str, ...], list[Look]] = {}
        for path in sorted(path for path in folder.iterdir() if path.suffix in TABLES):
            look = look_or_none(path)
            if look is not None:
                groups.setdefault(layout_key(look), []).append(look)
        found |= {f"{folder.name}/{looks[0].name}": map_layout(looks) for looks in groups.values()}
    return found


def look_or_none(path: Path) -> Look | None:
    if path.name in UNREADABLE:
        with pytest.raises(LogError):
            look_at(path, path.name)
        return None
    return look_at(path, path.name)


def read_as(column: ColumnMapping) -> str:
    return column.quantity or ""


def wrong(columns: Sequence[ColumnMapping], truth: Sequence[Truth]) -> list[str]:
    return [
        f"{right.name}: {read_as(column) or 'unread'}"
        for column, right in zip(columns, truth, strict=True)
        if read_as(column) not in right.quantities
    ]


def test_every_layout_of_the_field_has_its_truth_written_down() -> None:
    assert set(mapped()) == set(FIELD_COLUMNS)
    for name, mapping in mapped().items():
        names = [column.head or str(column.position) for column in mapping.columns]
        assert names == [truth.name for truth in truth_of(FIELD_COLUMNS[name])], name


# What is not told right, and why. A line here may only go.
NOT_TOLD = {
    # A torque and a thrust rise alike; nothing in this log says that its cell was on the torque arm.
    "uni-lever-14v8/test_V_14.8.txt": ["8: thrust"],
    # Raw counts in one column, in a file that does not say of what.
    "uni-lever-16v3/calib_0.txt": ["1: unread"],
    "uni-voltage-sweep/robbe10.8v1.txt": ["1: unread"],
    # A frame of 28 numbers without a word, in which next to nothing moves.
    "serial-dumps/frame.txt": ["4: unread", "5: unread", "6: unread", "17: unread", "28: unread"],
    # A head of one letter, in a table that is no log.
    "university-tables/volume1.csv": ["N: unread"],
}


@pytest.mark.parametrize("name", FIELD_COLUMNS)
def test_columns_are_taken_for_what_they_are(name: str) -> None:
    assert wrong(mapped()[name].columns, truth_of(FIELD_COLUMNS[name])) == NOT_TOLD.get(name, [])


@pytest.mark.parametrize("name", FIELD_COLUMNS)
def test_a_unit_is_written_where_the_log_tells_it_and_nowhere_else(name: str) -> None:
    for column, right in zip(mapped()[name].columns, truth_of(FIELD_COLUMNS[name]), strict=True):
        if column.quantity is None:
            assert column.unit is None
        elif right.unit:
            assert column.unit is not None, right.name
            told, true = parse_unit(column.unit), parse_unit(right.unit)
            assert (told.factor, told.offset, told.dimension) == (true.factor, true.offset, true.dimension), right.name
        else:
            assert column.unit is None, f"{right.name}: {column.unit} is a guess"


def test_four_columns_in_five_get_the_right_quantity() -> None:
    pairs = [
        (read_as(column), right.quantities)
        for name, mapping in mapped().items()
        for column, right in zip(mapping.columns, truth_of(FIELD_COLUMNS[name]), strict=True)
    ]
    channels = [(read, right) for read, right in pairs if "" not in right]
    for what, some in (("columns", pairs), ("channels", channels)):
        share = sum(read in right for read, right in some) / len(some)
        assert share >= 0.8, f"{100 * share:.1f} % of {len(some)} {what}"
    assert len(channels) > 100


def test_where_no_unit_is_told_the_right_one_is_among_those_offered() -> None:
    # Of the rig files in tests/benches/rigs, which the recordings themselves do not tell.
    for name, head, unit in [
        ("coax-lift/test22_2024-05-22-09-08-17.csv", "time", "0.1 s"),
        ("coax-lift/test22_2024-05-22-09-08-17.csv", "pwm", "us"),
        ("coax-lift/test22_2024-05-22-09-08-17.csv", "thrust", "gf"),
        ("arduino-2830/thrust setup 27_02_2020 test0.csv", "2", "kgf"),
        ("arduino-2830/thrust setup 27_02_2020 test0.csv", "1", "s"),
        ("rotor-coastdown/MS_Decay_1.csv", "omega", "rad/s"),
        ("uni-lever-16v3/Motor_16p3.txt", "2", "0.1 A"),
        ("uni-lever-16v3/Motor_16p3.txt", "7", "0.1 V"),
        ("uni-lever-16v3/Motor_16p3.txt", "8", "count"),
        ("battery-sag/vbat_t-100_n-1.csv", "1", "ms"),
    ]:
        column = next(each for each in mapped()[name].columns if head in {each.head, str(each.position)})
        assert unit in [choice.unit for choice in column.units], (name, head)
