"""Recordings that hold no propeller run, read as tables: what their log says of rows, columns and defects."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from isothrust.tables.columns import Columns, read_columns
from isothrust.tables.log import LogTable, open_log
from isothrust.tables.text import read_string_table

FIELD = Path(__file__).parents[2].parent / "shared" / "field"

pytestmark = pytest.mark.skipif(not FIELD.is_dir(), reason="the field recordings (../shared/field) are not here")


def read(file: str) -> tuple[LogTable, Columns]:
    table = open_log(FIELD / file)
    return table, read_columns(table, range(table.dialect.width))


@pytest.mark.parametrize(
    ("file", "rows", "width"),
    [
        # LOG: 84 996 rows, 18.7 s, with a delta_us column.
        ("dc-motor-4k7/Arduino motor data_20260522_130512_84996pts.csv", 84996, 6),
        # LOG: 8800 rows in 9.96 s at 1000 Hz and 880 at 100 Hz on the same clock; two temperatures.
        ("serial-dumps/hal.txt", 8800, 2),
        ("serial-dumps/tenso.txt", 880, 2),
        ("serial-dumps/temp.txt", 880, 3),
        # LOG: 500-501 samples, semicolons; the 501st has no time.
        ("rotor-vibration-states/H-Vw=5.3.csv", 500, 2),
        ("rotor-vibration-states/H-for Vw=1.3.csv", 501, 2),
        # LOG: headerless ms, V at 1 Hz: 236 s and 484 s.
        ("battery-sag/vbat_t-100_n-1.csv", 237, 2),
        ("battery-sag/vbat_t-50_n-1.csv", 485, 2),
    ],
)
def test_rows_and_columns_are_those_of_the_log(file: str, rows: int, width: int) -> None:
    table, columns = read(file)
    assert (columns.rows, table.dialect.width) == (rows, width)
    assert columns.regular is None
    assert columns.unreadable == {}
    assert sum(int(np.isnan(values).sum()) for values in columns.numbers.values()) == (1 if rows == 501 else 0)


def test_a_clock_made_of_strings_keeps_its_jumps() -> None:
    _, columns = read("serial-dumps/hal.txt")
    steps = np.diff(columns.numbers[0])
    # LOG: 10 sub-samples in steps of 0.1 ms, then a jump of 9.1 ms; one gap of 0.89 s.
    assert np.median(steps) == pytest.approx(1e-4, abs=1e-6)
    assert np.median(steps[steps > 1e-3]) == pytest.approx(9.1e-3, abs=1e-5)
    assert steps.max() == pytest.approx(0.89, abs=0.01)


def test_a_block_of_blank_rows_stays_blank_while_the_clock_goes_on() -> None:
    table, columns = read("octo-prop-damage/wibracje_lot_03_all.csv")
    assert table.heads[0].unit == "ms"
    blank = np.flatnonzero(np.isnan(columns.numbers[1]))
    # LOG: 2250 empty rows (949-3198) while the time column continues, exactly 100.000 ms.
    assert (blank.size, blank[0], blank[-1]) == (2250, 949, 3198)
    assert columns.unreadable == {}
    assert np.diff(columns.numbers[0]) == pytest.approx(100.0, abs=1e-6)


def test_cumulative_angle_with_small_steps_back() -> None:
    for file in ("run8", "run9"):
        _, columns = read(f"flywheel-dyno/{file}.csv")
        # LOG: 128-141 negative steps (encoder jitter).
        assert 128 <= np.sum(np.diff(columns.numbers[1]) < 0) <= 141


def test_saturated_dead_weights_read_the_same_counts() -> None:
    for mass in (500, 540):
        _, columns = read(f"uni-lever-16v3/calib_{mass}.txt")
        # LOG: 500 g and 540 g both read 1023.
        assert np.nanmedian(columns.numbers[0]) == 1023


@pytest.mark.parametrize(
    ("file", "frames", "steps"),
    [
        # LOG: 4000 frames of 28 fields, recovered by joining lines; the ms field goes on by 1, but repeats 466 times
        # and has gaps of 2-3 ms. The last frame is cut.
        ("wyniki", 4000, {0: 466, 1: 3067, 2: 231, 3: 235}),
        # LOG: same, padded fields, wraps, missing frames.
        ("frame", 889, {10: 888}),
    ],
)
def test_frames_wrapped_by_a_terminal_are_joined_again(file: str, frames: int, steps: dict[int, int]) -> None:
    table, columns = read(f"serial-dumps/{file}.txt")
    assert (table.dialect.delimiter, table.dialect.width, table.dialect.form) == ("|", 28, "frames between marks")
    assert (columns.rows, columns.unreadable, columns.regular) == (frames, {}, None)
    clock = 60_000 * columns.numbers[0] + 1000 * columns.numbers[1] + columns.numbers[2]
    found, counts = np.unique(np.diff(clock), return_counts=True)
    assert dict(zip(found.tolist(), counts.tolist(), strict=True)) == steps
    assert (table.cut_last is not None) == (file == "wyniki")


@pytest.mark.parametrize("volume", [1, 2, 3])
def test_university_tables_read_as_tables_of_words(volume: int) -> None:
    path = FIELD / "university-tables" / f"volume{volume}.csv"
    table = read_string_table(path)
    # LOG: columns PropName,BladeName,Family,B,D,P,J,N,CT,CP,eta; static rows have J = 0.
    assert [head.text for head in table.heads] == "PropName,BladeName,Family,B,D,P,J,N,CT,CP,eta".split(",")
    assert len(table.rows) == sum(1 for line in path.read_text().splitlines()[1:] if line)
    static = [row for row in table.rows if table.number(row.cells[6]) == 0.0]
    assert static
    assert all(0.0 < table.number(row.cells[8]) < 0.3 for row in static)
