"""What names of files and designs tell, and the air that one run of a day lends to the next."""

from __future__ import annotations

import pytest

from isothrust.errors import UsageError
from isothrust.workflows.dayair import with_air_of_the_day
from isothrust.workflows.logheads import air_in, date_in_lines, date_in_name
from isothrust.workflows.namepattern import compiled_pattern
from isothrust.workflows.sizes import size_in


@pytest.mark.parametrize(
    ("pattern", "name", "cells"),
    [
        ("{design}_{sample}_{n}", "auk 7x4_A1_2.csv", {"design": "auk 7x4", "sample": "A1", "mounting": "2"}),
        ("{design}_{sample}_{n}", "a_b_c_1.csv.gz", {"design": "a_b", "sample": "c", "mounting": "1"}),
        (
            "{date} {design}-{kind}{any}",
            "20260301 auk-Ramp old.txt",
            {"date": "2026-03-01", "design": "auk", "kind": "ramp"},
        ),
        ("{design}/{sample}", "day 1/A.csv", {"design": "day 1", "sample": "A"}),
        ("{design}_{temperature}C", "auk_-3.5C.csv", {"design": "auk", "temperature": "-3.5"}),
        ("run ({design}) [{sample}]", "RUN (auk) [x].csv", {"design": "auk", "sample": "x"}),
        (
            "{any}-{design}-{sample}-{kind}",
            "r1-auk-7x4-b-ramp.csv",
            {"design": "auk-7x4", "sample": "b", "kind": "ramp"},
        ),
        ("{design}_{sample}_{note}", "auk_A_first_try.csv", {"design": "auk", "sample": "A", "note": "first_try"}),
        ("{date} {sample}", "2026-03-01 A 1.csv", {"date": "2026-03-01", "sample": "A 1"}),
        ("{design}{n}", "auk12.csv", {"design": "auk", "mounting": "12"}),
        ("{design}_{n}", "auk.csv", None),
        ("{design}_{n}", "auk_x.csv", None),
        ("{date}_{design}", "03-04-2026_auk.csv", None),
    ],
)
def test_a_pattern_reads_a_name_or_says_that_it_does_not_match(
    pattern: str, name: str, cells: dict[str, str] | None
) -> None:
    assert compiled_pattern(pattern).read(name) == cells


@pytest.mark.parametrize(
    ("pattern", "words"),
    [
        ("", "says of no part"),
        ("plain", "says of no part"),
        ("{any}", "says of no part"),
        ("{desing}_{n}", "{desing}"),
        ("{design}{sample}", "touch"),
        ("{design}{any}", "touch"),
        ("{design}_{design}", "twice"),
        ("{n}_{mounting}", "twice"),
        ("{design}_{n", "brace"),
    ],
)
def test_a_bad_pattern_is_refused_with_what_to_write(pattern: str, words: str) -> None:
    with pytest.raises(UsageError) as caught:
        compiled_pattern(pattern)
    assert caught.value.code == "bad-pattern"
    assert words in str(caught.value)
    assert "--names" in caught.value.problems[0].fix


def test_a_word_that_is_not_known_is_told_with_the_nearest() -> None:
    with pytest.raises(UsageError) as caught:
        compiled_pattern("{desing}_{n}")
    assert caught.value.problems[0].expected.startswith("design,")


@pytest.mark.parametrize(
    ("design", "size"),
    [
        ("auk 7x4x3", ("7", "4", "3")),
        ("auk-7x4", ("7", "4", "")),
        ("auk 5.1X4.3", ("5.1", "4.3", "")),
        ("auk 5143", ("5.1", "4.3", "")),
        ("auk 51433", ("5.1", "4.3", "3")),
        ("auk 1045", ("10", "4.5", "")),
        ("auk 7040", ("7", "4", "")),
        # Two readings, a year, a motor, a capacity, millimetres, no size, two sizes, nonsense.
        ("auk 2024", None),
        ("auk 2306kv", None),
        ("pack 4500mAh", None),
        ("auk 65x40 mm", None),
        ("auk", None),
        ("auk 7x4 or 5x3", None),
        ("auk 4x40", None),
        ("auk 4090", None),
        ("auk 123456", None),
    ],
)
def test_a_size_is_taken_from_a_name_only_where_it_can_mean_one_thing(
    design: str, size: tuple[str, str, str] | None
) -> None:
    found = size_in(design)
    assert (found and (found.diameter, found.pitch, found.blades)) == size


@pytest.mark.parametrize(
    ("lines", "date"),
    [
        (["# Test started at Sat Feb 13 13:47:17 2021"], "2021-02-13T13:47"),
        (["2019-11-05 17:14:08:947"], "2019-11-05T17:14"),
        (["recorded 27/03/2026"], ""),
        (["# 2026-03-01", "# 2026-03-02"], ""),
        (["# 2026-02-31"], ""),
        (["vbus = 35.912 V"], ""),
    ],
)
def test_a_date_is_taken_from_lines_where_one_stands_there(lines: list[str], date: str) -> None:
    assert date_in_lines(lines) == date


def test_a_date_with_the_year_last_is_taken_where_it_can_be_one_day_only() -> None:
    assert date_in_name("thrust 27_02_2020 test0.csv") == "2020-02-27"
    assert date_in_name("thrust 03_02_2020 test0.csv") == ""


def test_air_is_taken_from_lines_with_its_unit_or_not_at_all() -> None:
    assert air_in(["temperature: 21.5 degC", "baro = 1009 hPa", "humidity 40 %"]) == {
        "temperature": "21.5",
        "pressure": "1009",
        "humidity": "40",
    }
    assert air_in(["temperature: 21.5", "pressure 1009", "motor temp 80 degC", "pressure: 3 gf"]) == {}


@pytest.mark.parametrize(
    "line",
    [
        "# motor temp 45 degC",
        "# max temperature: 40 degC",
        "# temperature limit 50 degC",
        "# sea level pressure 1013 hPa",
    ],
)
def test_a_temperature_or_pressure_of_something_else_is_not_the_airs(line: str) -> None:
    assert air_in([line]) == {}
    assert air_in(["# ambient temp 21 degC, " + line]) == {"temperature": "21"}


def row(run: str, date: str, temperature: str = "", note: str = "") -> dict[str, str]:
    return {"run": run, "date": date, "temperature": temperature, "note": note}


def test_air_comes_from_the_previous_run_of_the_day_and_no_other() -> None:
    rows = [
        row("a", "2026-03-01"),
        row("b", "2026-03-01", "20"),
        row("c", "2026-03-01"),
        row("d", "2026-03-02"),
        row("e", ""),
    ]
    filled, names = with_air_of_the_day(rows)
    assert names == ("c",)
    assert [each["temperature"] for each in filled] == ["", "20", "20", "", ""]
    assert filled[2]["note"] == "air of run b, the previous of that day"


def test_times_of_day_tell_which_run_was_the_previous() -> None:
    earlier = [row("x", "2026-03-01T15:00", "25"), row("y", "2026-03-01T09:00", "18")]
    filled, _ = with_air_of_the_day([row("a", "2026-03-01T12:00", note="windy")], earlier)
    assert (filled[0]["temperature"], filled[0]["note"]) == ("18", "windy; air of run y, the previous of that day")
    assert with_air_of_the_day([row("a", "2026-03-01T08:00")], earlier)[1] == ()


def test_lent_air_is_not_lent_again() -> None:
    earlier = [row("x", "2026-03-01", "20"), row("y", "2026-03-01", "20", "air of run x, the previous of that day")]
    filled, _ = with_air_of_the_day([row("a", "2026-03-01")], earlier)
    assert "air of run x" in filled[0]["note"]
