"""A rig file is read as written; what is wrong with it is told all at once, with file, line and key."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import RigError
from isothrust.records.finding import Finding
from isothrust.records.rig import ColumnPick, Rig, StatedUncertainty

WHOLE = """
name = "Loft stand, spring 2026"
motor = "m1"
layout = "pusher"                        # or "tractor"
clearance = "0.6 m"
obstruction = "12 cm2"

[air]
temperature = "0.3 K"
pressure = "0.6 hPa"
humidity = "3 %"
[supply]
voltage = "24 V"
current_limit = "60 A"
sinks_current = true
[controller]
model = "-"
settings = "timing, switching rate, braking, firmware as text"

[channels.time]
column = "t"
unit = "ms"
[channels.throttle]
column = "cmd"
unit = "us"
range = [1000, 2000]
[channels.speed]
column = "rpm"
unit = "rpm"
pole_pairs = 7
uncertainty = "0.05 %"
[channels.thrust]
column = "axial"
unit = "gf"
sign = -1
uncertainty = ["0.3 %", "1 gf"]
[channels.torque]
columns = { left = "21.0 mm", right = "-21.0 mm" }
unit = "gf"
uncertainty = "0.6 %"
[channels.voltage]
column = "volt"
unit = "V"
[channels.current]
column = "amp"
unit = "0.1 A"
rate = "100 Hz"
[channels.acceleration]
file = "vibration"
columns = ["ax", "ay", "az"]
unit = "m/s2"
[channels.sound]
file = "sound"
sensitivity = "12.5 mV/Pa"
full_scale = "1.0 V"
distance = "1 m"
"""

GRAM_FORCE = 9.80665e-3  # N: standard gravity times one gram, exact


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "loft.toml"
    path.write_text(text, encoding="utf-8")
    return path


def read(tmp_path: Path, text: str) -> tuple[Rig, tuple[Finding, ...]]:
    return parse_rig(write(tmp_path, text), shown="rigs/loft.toml")


def channel(body: str, name: str = "thrust") -> str:
    return f'[channels.time]\ncolumn = "t"\nunit = "s"\n[channels.{name}]\n{body}\n'


def problems(tmp_path: Path, text: str) -> RigError:
    with pytest.raises(RigError) as caught:
        read(tmp_path, text)
    return caught.value


def only(tmp_path: Path, text: str, code: str) -> str:
    error = problems(tmp_path, text)
    assert [problem.code for problem in error.problems] == [code]
    return str(error)


def test_the_whole_example_is_read_without_a_remark(tmp_path: Path) -> None:
    rig, findings = read(tmp_path, WHOLE)
    assert findings == ()
    assert (rig.name, rig.title, rig.motor, rig.layout) == ("loft", "Loft stand, spring 2026", "m1", "pusher")
    assert rig.clearance == pytest.approx(0.6)
    assert rig.obstruction == pytest.approx(12e-4)
    assert rig.obstruction_drag == 1.0
    assert (rig.u_temperature, rig.u_pressure, rig.u_humidity) == pytest.approx((0.3, 60.0, 0.03))
    assert (rig.supply_voltage, rig.current_limit, rig.sinks_current) == (24.0, 60.0, True)
    assert rig.controller["model"] == "-"
    assert rig.extra == {}


def test_units_become_factors(tmp_path: Path) -> None:
    channels = read(tmp_path, WHOLE)[0].channels
    assert channels["time"].factor == pytest.approx(1e-3)
    assert channels["speed"].factor == pytest.approx(2 * math.pi / 60)
    assert channels["speed"].pole_pairs == 7
    assert channels["thrust"].factor == pytest.approx(GRAM_FORCE, rel=1e-15)
    assert channels["thrust"].sign == -1
    assert channels["thrust"].uncertainty == StatedUncertainty(pytest.approx(0.003), pytest.approx(GRAM_FORCE))
    assert channels["torque"].uncertainty == StatedUncertainty(pytest.approx(0.006), 0.0)
    assert channels["voltage"].uncertainty is None
    assert channels["current"].factor == pytest.approx(0.1)
    assert channels["current"].rate == 100.0
    assert channels["throttle"].throttle_range == (1000.0, 2000.0)
    assert channels["sound"].sensitivity == pytest.approx(0.0125)
    assert (channels["sound"].full_scale, channels["sound"].distance, channels["sound"].file) == (1.0, 1.0, "sound")


def test_columns_are_picked_by_head_by_position_and_with_arms(tmp_path: Path) -> None:
    torque = read(tmp_path, WHOLE)[0].channels["torque"]
    assert torque.picks == (ColumnPick("left", arm=0.021), ColumnPick("right", arm=-0.021))
    assert torque.factor == pytest.approx(GRAM_FORCE)
    by_place, _ = read(
        tmp_path,
        channel('columns = [{ column = 5, arm = "21 mm" }, { column = "far", arm = "-1 in" }]\nunit = "N"', "torque"),
    )
    assert by_place.channels["torque"].picks == (ColumnPick(position=5, arm=0.021), ColumnPick("far", arm=-0.0254))
    plain, _ = read(tmp_path, channel('columns = [3, "b"]\nunit = "N"'))
    assert plain.channels["thrust"].picks == (ColumnPick(position=3), ColumnPick("b"))


@pytest.mark.parametrize(
    ("body", "factor"),
    [
        ('unit = "count"\nscale = "0.4833 gf/count"', 0.4833 * GRAM_FORCE),
        ('unit = "count"\nscale = "-0.4833 gf/count"', -0.4833 * GRAM_FORCE),
        ('unit = "count"\nscale = [0.4833, "gf/count"]', 0.4833 * GRAM_FORCE),
        ('unit = "count"\nscale = ["0.4833 gf/count"]', 0.4833 * GRAM_FORCE),
        ('unit = "gf"\nscale = -2', -2 * GRAM_FORCE),
        ('unit = "mV"\nscale = "3 N/V"', 3e-3),
        ('unit = "2 N"', 2.0),
    ],
)
def test_a_scale_takes_the_columns_own_unit_to_the_quantity(tmp_path: Path, body: str, factor: float) -> None:
    rig, findings = read(tmp_path, channel(f"column = 8\n{body}\nratio = 2.706"))
    assert findings == ()
    assert rig.channels["thrust"].factor == pytest.approx(factor, rel=1e-12)
    assert rig.channels["thrust"].ratio == 2.706


def test_each_cell_may_have_a_scale_of_its_own(tmp_path: Path) -> None:
    rig, _ = read(tmp_path, channel('columns = ["a", "b"]\nunit = "count"\nscale = ["0.5 gf/count", "0.4 gf/count"]'))
    plan = rig.channels["thrust"]
    assert [plan.factor * pick.weight for pick in plan.picks] == pytest.approx([0.5 * GRAM_FORCE, 0.4 * GRAM_FORCE])


def test_a_temperature_in_degrees_keeps_its_offset(tmp_path: Path) -> None:
    rig, _ = read(tmp_path, channel('column = "ta"\nunit = "degC"\nuncertainty = "0.3 degC"', "temperature"))
    assert rig.channels["temperature"].offset == 273.15
    assert rig.channels["temperature"].uncertainty == StatedUncertainty(0.0, 0.3)


def test_time_without_unit_is_left_to_the_log(tmp_path: Path) -> None:
    rig, _ = read(tmp_path, '[channels.time]\ncolumn = "when"\n[channels.thrust]\ncolumn = "f"\nunit = "N"')
    assert rig.channels["time"].unit is None
    by_rate, _ = read(tmp_path, '[channels.time]\nrate = "1 kHz"\n[channels.thrust]\ncolumn = "f"\nunit = "N"')
    assert by_rate.channels["time"].rate == 1000.0
    own_rate, _ = read(tmp_path, '[channels.thrust]\ncolumn = "f"\nunit = "N"\nrate = "50 Hz"')
    assert "time" not in own_rate.channels


def test_an_unknown_key_is_a_warning_with_the_nearest_name(tmp_path: Path) -> None:
    rig, findings = read(
        tmp_path,
        'layuot = "pusher"\n' + channel('column = "f"\nunit = "N"\nsgin = -1') + '[channels.thurst]\ncolumn = "g"',
    )
    assert [finding.code for finding in findings] == ["unknown-key"] * 3
    assert all(finding.severity == "warning" for finding in findings)
    told = " ".join(finding.message for finding in findings)
    for part in ("line 8, key channels.thrust.sgin", "is sign", "is layout", "line 1, key layuot", "is thrust"):
        assert part in told
    assert rig.extra["layuot"] == "pusher"
    assert rig.channels["thrust"].sign == 1


def test_a_column_read_for_two_channels_is_refused_and_both_are_named(tmp_path: Path) -> None:
    text = channel('column = "f"\nunit = "N"') + '[channels.torque]\ncolumn = "f"\nunit = "N m"'
    told = only(tmp_path, text, "two-quantities-one-column")
    for part in ('"f" is read as thrust and as torque', "line 8, key channels.torque.column", "[channels.thrust]"):
        assert part in told


def test_one_column_name_in_two_files_is_no_matter(tmp_path: Path) -> None:
    text = channel('column = "f"\nunit = "N"') + '[channels.acceleration]\nfile = "vibration"\ncolumns = ["f"]\n'
    read(tmp_path, text + 'unit = "m/s2"\nrate = "1 kHz"')


def test_a_wrong_dimension_names_both_and_the_place(tmp_path: Path) -> None:
    told = only(tmp_path, channel('column = "f"\nunit = "N m"'), "wrong-dimension")
    for part in ("a force", "a torque", "rigs/loft.toml, line 6, key channels.thrust.unit"):
        assert part in told


def test_an_unknown_unit_is_refused_with_the_nearest(tmp_path: Path) -> None:
    told = only(tmp_path, channel('column = "f"\nunit = "gff"'), "unknown-unit")
    assert "gf" in told.split("expected:")[1]


@pytest.mark.parametrize(
    "body",
    [
        'columns = ["a", "b"]\nunit = "V"',
        'column = "a"\ncolumns = ["b"]\nunit = "V"',
        'columns = ["a", "a"]\nunit = "V"',
    ],
)
def test_two_columns_for_one_quantity_are_refused(tmp_path: Path, body: str) -> None:
    text = channel(body, "voltage")
    assert "two-columns" in {problem.code for problem in problems(tmp_path, text).problems}


def test_a_channel_that_stands_twice_is_refused_with_its_line(tmp_path: Path) -> None:
    told = only(tmp_path, channel('column = "a"\nunit = "N"') + '[channels.thrust]\ncolumn = "b"', "two-entries")
    assert "line 7" in told


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (channel('column = "f"'), "missing-unit"),
        (channel('unit = "N"'), "missing-key"),
        (channel('column = "f"\nunit = "count"'), "missing-scale"),
        (channel('column = "f"\nunit = "count"\nscale = 0.48'), "wrong-dimension"),
        (channel('column = "f"\nunit = "count"\nscale = "0 gf/count"'), "bad-number"),
        (channel('column = "f"\nunit = "count"\nscale = "many gf"'), "bad-number"),
        (channel('column = 0\nunit = "N"'), "out-of-range"),
        (channel('column = true\nunit = "N"'), "wrong-type"),
        (channel('column = "f"\nunit = "N"\nfile = ["log"]'), "wrong-type"),
        (channel('column = "f"\nunit = 5'), "wrong-type"),
        (channel('column = "f"\nunit = "N"\nsign = -2'), "out-of-range"),
        (channel('column = "f"\nunit = "N"\nratio = -2'), "out-of-range"),
        (channel('column = "f"\nunit = "N"\nratio = nan'), "wrong-type"),
        (channel('column = "f"\nunit = "N"\npole_pairs = 7'), "contradictory-keys"),
        (channel('columns = { f = "2 mm" }\nunit = "N"'), "contradictory-keys"),
        (channel('columns = [{ column = 1, arm = "2 mm" }, 2]\nunit = "N"', "torque"), "contradictory-keys"),
        (channel('columns = { f = "2 N" }\nunit = "N"', "torque"), "wrong-dimension"),
        (channel('column = "f"\nunit = "N"', "torque"), "wrong-dimension"),
        (channel('column = "c"\nunit = "us"', "throttle"), "missing-key"),
        (channel('column = "c"\nunit = "us"\nrange = [1000, 1000]', "throttle"), "bad-range"),
        (channel('column = "f"\nunit = "N"\nuncertainty = "1 N m"'), "wrong-dimension"),
        (channel('column = "f"\nunit = "N"\nuncertainty = ["1 %", "2 %"]'), "contradictory-keys"),
        (channel('column = "f"\nunit = "N"\nuncertainty = "-1 %"'), "bad-number"),
        (channel('column = "f"\nunit = "N"\nuncertainty = 0.01'), "bad-number"),
        (channel('column = "f"\nunit = "N"\nfile = "lgo"'), "unknown-word"),
        (channel('column = "f"\nunit = "N"').replace('"s"', '"s"\nrate = "1 kHz"'), "contradictory-keys"),
        ('[channels.thrust]\ncolumn = "f"\nunit = "N"', "missing-key"),
        ("[channels.time]\nunit = 's'", "missing-key"),
        ("", "missing-key"),
        ("clearance = 0.6\n" + channel('column = "f"\nunit = "N"'), "missing-unit"),
        ('clearance = "0,6 m"\n' + channel('column = "f"\nunit = "N"'), "bad-number"),
        ('clearance = "-0.6 m"\n' + channel('column = "f"\nunit = "N"'), "out-of-range"),
        ('layout = "sideways"\n' + channel('column = "f"\nunit = "N"'), "unknown-word"),
        ('supply = "24 V"\n' + channel('column = "f"\nunit = "N"'), "wrong-type"),
        ("name = 'Loft\n", "bad-toml"),
    ],
)
def test_what_cannot_be_meant_is_refused(tmp_path: Path, text: str, code: str) -> None:
    told = only(tmp_path, text, code)
    assert "where:    rigs/loft.toml" in told


def test_all_problems_of_a_file_are_told_together_in_the_four_line_form(tmp_path: Path) -> None:
    error = problems(
        tmp_path,
        'layout = "sideways"\n'
        + channel('column = "f"\nunit = "gff"\nsign = 3')
        + '[channels.speed]\ncolumn = "n"\nunit = "Hz"',
    )
    assert {problem.code for problem in error.problems} == {
        "unknown-word",
        "unknown-unit",
        "out-of-range",
        "wrong-dimension",
    }
    assert {problem.where.line for problem in error.problems if problem.where} == {1, 7, 8, 11}
    for problem in error.problems:
        assert problem.expected
        assert problem.fix


def test_a_missing_rig_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(RigError) as caught:
        parse_rig(tmp_path / "none.toml", shown="rigs/none.toml")
    assert caught.value.code == "missing-file"


def test_a_byte_order_mark_and_windows_line_ends_are_no_matter(tmp_path: Path) -> None:
    path = tmp_path / "loft.toml"
    path.write_bytes(b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode())
    assert parse_rig(path)[0] == read(tmp_path, WHOLE)[0]
