"""Text that is no plain table: frames, JSON lines, long form, summaries; what is one, and what is none."""

from __future__ import annotations

import numpy as np
import pytest

from isothrust.errors import LogError
from isothrust.tables.columns import Columns, read_columns
from isothrust.tables.decoding import Decoded
from isothrust.tables.frames import frames_of
from isothrust.tables.jsonlines import json_lines
from isothrust.tables.log import LogTable, log_of
from isothrust.tables.summary import summary_start


def read(text: str) -> tuple[LogTable, Columns]:
    table = log_of(Decoded(text.encode(), "utf-8", cut=False), "log.txt")
    return table, read_columns(table, range(table.dialect.width))


def values(columns: Columns) -> list[list[float]]:
    return np.transpose([columns.numbers[place] for place in sorted(columns.numbers)]).tolist()


def heads(table: LogTable) -> list[str]:
    return [head.text for head in table.heads]


@pytest.mark.parametrize("pair", ["[]", "{}", "()", "<>"])
def test_frames_are_rows_without_their_marks(pair: str) -> None:
    text = "".join(f"{pair[0]}{k}; {k * k}.5;7{pair[1]}\n" for k in range(30))
    table, columns = read(text)
    assert table.dialect.form == "frames between marks"
    assert values(columns) == [[k, k * k + 0.5, 7.0] for k in range(30)]


def test_a_frame_that_straddles_lines_bears_the_number_of_its_first_line() -> None:
    frames = [f"[{k}|{1000 + k}|{k % 7}.25]" for k in range(40)]
    frames[20] = "[20|x|6.25]"
    joined = "".join(frames)
    wrapped = [joined[at : at + 17] for at in range(0, len(joined), 17)]
    _, columns = read("\n".join(wrapped) + "\n")
    assert columns.rows == 40
    ((line, shown),) = columns.unreadable[1].shown
    assert shown == "x"
    assert line == joined.index("[20|") // 17 + 1


def test_a_frame_that_lost_its_end_is_never_joined_to_the_next() -> None:
    text = "".join(f"[{k}|{k}|{k}]\n" for k in range(30)).replace("[7|7|7]\n", "[7|7|\n").replace("[9|9|9]", "[9|9|9")
    _, columns = read(text)
    assert [row[0] for row in values(columns)] == list(range(30))
    assert np.flatnonzero(np.isnan(columns.numbers[2])).tolist() == [7, 9]
    assert [shown for _, shown in columns.unreadable[2].shown] == ["?", "9 ?"]


def test_brackets_around_units_or_a_few_cells_make_no_frames() -> None:
    assert frames_of(b"t [ms],axial [gf],rpm [rpm]\n" + b"1,2,3\n" * 50) is None
    assert frames_of(b"1,2,(a)\n" * 50) is None
    assert frames_of(b"[1|2|3]\n") is None


def test_keys_that_come_late_are_columns_that_are_blank_before() -> None:
    text = '{"t": 0, "n": 1.5}\n{"t": 1, "v": 24.1}\n{"v": 24.0, "n": 2.5, "t": 2}\n'
    table, columns = read(text)
    assert heads(table) == ["t", "n", "v"]
    np.testing.assert_array_equal(values(columns), [[0, 1.5, np.nan], [1, np.nan, 24.1], [2, 2.5, 24.0]])
    assert columns.line(2) == 3


def test_null_true_strings_and_lists_are_cells() -> None:
    text = "".join(f'{{"t": {k}, "ok": true, "gap": null, "axes": [{k}, {{"z": 9}}], "s": "4.5"}}\n' for k in range(5))
    table, columns = read(text)
    assert heads(table) == ["t", "ok", "gap", "axes.1", "axes.2.z", "s"]
    np.testing.assert_array_equal(values(columns)[3], [3, 1, np.nan, 3, 9, 4.5])


def test_numbers_of_objects_keep_their_digits() -> None:
    table, _ = read("".join(f'{{"t": {k}, "v": 24.10}}\n' for k in range(20)))
    assert table.layout.decimals == (0, 2)


def test_stamps_in_objects_are_stamps() -> None:
    table, _ = read("".join(f'{{"at": "2024-05-01T07:00:{k:02d}.5Z", "v": 24.10}}\n' for k in range(20)))
    assert table.layout.stamps == (True, False)


def test_more_keys_than_any_bench_has_are_refused() -> None:
    lines = "".join(f'{{"{k}": 1}}\n' for k in range(5000))
    with pytest.raises(LogError) as caught:
        json_lines(lines.encode(), "log.txt")
    assert caught.value.code == "too-many-columns"


def test_an_object_nested_beyond_reason_spoils_its_own_line_only() -> None:
    rows = [f'{{"t": {k}, "v": 1.5}}\n' for k in range(20)]
    rows[7] = '{"t": ' * 100_000 + "\n"
    _, columns = read("".join(rows))
    assert columns.rows == 19
    assert columns.regular is not None
    assert columns.regular.ragged_lines == (8,)


LONG = [("n", "rpm"), ("F", "gf"), ("U", "V")]


def test_long_form_has_a_column_for_each_name_and_a_row_for_each_time() -> None:
    text = "t,what,value\n" + "".join(
        f"{k / 10},{name},{k + j}\n" for k in range(20) for j, (name, _) in enumerate(LONG)
    )
    table, columns = read(text)
    assert heads(table) == ["t", "n", "F", "U"]
    np.testing.assert_allclose(values(columns), [[k / 10, k, k + 1, k + 2] for k in range(20)])
    assert [columns.line(row) for row in (0, 1, 19)] == [2, 5, 59]


def test_units_of_long_form_stand_in_the_heads() -> None:
    text = "time,signal,unit,value\n" + "".join(f"{k},{n},{u},{k}\n" for k in range(20) for n, u in LONG)
    table, _ = read(text)
    assert [(head.name, head.unit) for head in table.heads] == [("time", None), ("n", "rpm"), ("F", "gf"), ("U", "V")]


def test_channels_of_long_form_that_never_share_a_time_keep_clocks_of_their_own() -> None:
    text = "t,sensor,reading\n" + "".join(f"{k}.0,a,{k}\n{k}.5,b,{-k}\n" for k in range(20))
    _, columns = read(text)
    a, b = columns.numbers[1], columns.numbers[2]
    assert (np.isfinite(a) ^ np.isfinite(b)).all()
    assert columns.numbers[0][np.isfinite(b)].tolist() == [k + 0.5 for k in range(20)]


def test_one_channel_twice_at_one_time_makes_two_rows() -> None:
    text = "t,sensor,reading\n" + "".join(f"{k},a,{k}\n{k},a,{k + 100}\n{k},b,1\n" for k in range(20))
    _, columns = read(text)
    assert columns.rows == 40
    assert columns.numbers[1][:4].tolist() == [0, 100, 1, 101]


@pytest.mark.parametrize(
    "text",
    [
        "t,axial [gf],state\n" + "".join(f"{k},{k},{'on' if k % 2 else 'off'}\n" for k in range(40)),
        "".join(f"{k},{k},{'on' if k % 2 else 'off'}\n" for k in range(40)),
        "".join(f"{k},{'idle' if k < 20 else 'run'},{k}\n" for k in range(40)),
    ],
)
def test_a_word_for_the_state_of_the_bench_makes_no_long_form(text: str) -> None:
    table, columns = read(text)
    assert table.dialect.form == ""
    assert columns.rows == 40


ROWS = "".join(f"{k},{k * 2},{k * 3}\n" for k in range(30))


@pytest.mark.parametrize(
    ("below", "lines"),
    [
        ("mean,29,43.5\n", 1),
        ("\nMax;58;87\nMin;0;0\n", 2),
        ("# summary\n# mean 29\n", 2),
        ("=== RESULTS ===\npeak thrust 87 gf\n1,2,3\n", 3),
        ("std. dev.,17.3,26\n", 1),
    ],
)
def test_a_summary_below_the_rows_is_no_row(below: str, lines: int) -> None:
    found = summary_start(("t,a,b\n" + ROWS + below).encode())
    assert found is not None
    assert found[1] == lines
    _, columns = read("t,a,b\n" + ROWS + below)
    assert columns.rows == 30


@pytest.mark.parametrize(
    "text",
    [
        ROWS,
        "mean,max,min\n" + ROWS,  # heads that sound like it
        "summary of the day\n" + ROWS,
        "t,a\n" + "".join(f"max,{k}\n" for k in range(30)),  # rows that begin so
        "mean\n",
        "",
    ],
)
def test_what_stands_above_rows_or_is_made_of_them_is_no_summary(text: str) -> None:
    assert summary_start(text.encode()) is None
