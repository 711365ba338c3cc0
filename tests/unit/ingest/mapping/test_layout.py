"""One layout as a whole: channels chosen, units never guessed, remarks that a tester needs."""

from __future__ import annotations

from pathlib import Path

import pytest

from isothrust.ingest.mapping import layout_key, look_at, map_layout
from isothrust.records.mapping import ColumnMapping, LayoutMapping


def mapped(tmp_path: Path, heads: str, rows: list[str] | None = None) -> LayoutMapping:
    count = heads.count(",") + 1
    lines = rows or [",".join(f"{(k * (place + 3)) % 17 + place}" for place in range(count)) for k in range(60)]
    path = tmp_path / "log.csv"
    path.write_text("\n".join([heads, *lines, ""]), encoding="utf-8")
    return map_layout([look_at(path, path.name)])


def by_head(mapping: LayoutMapping) -> dict[str, ColumnMapping]:
    return {column.head: column for column in mapping.columns}


def test_of_two_columns_of_one_quantity_the_one_with_a_unit_is_read(tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, "time_s,thrust_raw,thrust_gf"))
    assert (columns["thrust_gf"].role, columns["thrust_raw"].role) == ("channel", "beside")
    assert columns["thrust_raw"].unit is None
    assert '"thrust_gf" is read instead' in columns["thrust_raw"].remarks


def test_the_supply_is_read_before_the_motor(tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, "time [s],Motor voltage [V],Battery voltage [V]"))
    assert columns["Battery voltage [V]"].role == "channel"
    assert columns["Motor voltage [V]"].role == "beside"


@pytest.mark.parametrize("head", ["erpm", "eRPM", "ESC eRPM", "eRPM[0]", "e-rpm", "electrical rpm", "Drehfeld [rpm]"])
def test_electrical_speed_is_said_to_be_so(head: str, tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, f"time [s],{head},thrust [N]"))
    assert columns[head].electrical
    assert "pole pairs" in columns[head].remarks[0]
    assert not by_head(mapped(tmp_path, "time [s],rpm,thrust [N]"))["rpm"].electrical


def test_left_and_right_forces_are_cells_of_a_torque(tmp_path: Path) -> None:
    mapping = mapped(tmp_path, "time [s],left_gf,right_gf,thrust [gf]")
    assert [column.head for column in mapping.channels("torque")] == ["left_gf", "right_gf"]
    assert [column.head for column in mapping.channels("thrust")] == ["thrust [gf]"]
    assert all("arm" in column.remarks[0] for column in mapping.channels("torque"))


def test_three_axes_are_read_together(tmp_path: Path) -> None:
    mapping = mapped(tmp_path, "time [s],ax [m/s2],ay [m/s2],az [m/s2],acc4 [m/s2]")
    assert [column.head for column in mapping.channels("acceleration")] == ["ax [m/s2]", "ay [m/s2]", "az [m/s2]"]


def test_a_temperature_is_read_only_where_it_is_said_to_be_the_airs(tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, "time [s],thrust [N],temp [degC],air temp [degC],motor temp [degC]"))
    assert columns["air temp [degC]"].role == "channel"
    assert (columns["temp [degC]"].quantity, columns["temp [degC]"].role) == ("temperature", "beside")
    assert columns["motor temp [degC]"].quantity is None


def test_stamps_need_no_unit(tmp_path: Path) -> None:
    rows = [f"2026-03-01 10:00:{k:02d}.5,{k}" for k in range(50)]
    column = mapped(tmp_path, "when,thrust [N]", rows).columns[0]
    assert (column.quantity, column.needs_unit, column.unit) == ("time", False, None)


def test_a_column_of_words_is_left_unread_with_the_reason(tmp_path: Path) -> None:
    rows = [f"{k},{k % 5},{'on' if k % 2 else 'off'}" for k in range(50)]
    column = mapped(tmp_path, "time [s],thrust [N],mood", rows).columns[2]
    assert (column.quantity, column.remarks) == (None, ("holds no numbers",))


def test_logs_with_the_same_heads_share_a_layout_and_others_do_not(tmp_path: Path) -> None:
    texts = {
        "a.csv": "t [s],F [N]\n0,1\n1,2\n2,3\n",
        "b.csv": "t [s],F [N]\n5,1\n6,2\n7,3\n",
        "c.csv": "t [s],Q [N m]\n5,1\n6,2\n7,3\n",
        "thrust.txt": "0,1.5\n1,2.5\n2,3.5\n",
        "pressure.txt": "0,1.5\n1,2.5\n2,3.5\n",
    }
    keys = {}
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
        keys[name] = layout_key(look_at(tmp_path / name, name))
    assert keys["a.csv"] == keys["b.csv"] != keys["c.csv"]
    assert keys["thrust.txt"] != keys["pressure.txt"]


@pytest.mark.parametrize("head", ["volt", "amp"])
def test_a_named_unit_that_the_readings_deny_is_not_written(head: str, tmp_path: Path) -> None:
    rows = [f"{k},{k % 9},{14_000 + 17 * (k % 23)}" for k in range(60)]
    column = mapped(tmp_path, f"time [s],thrust [N],{head}", rows).columns[2]
    assert column.unit is None
    assert column.needs_unit
    assert "no reading of a bench" in column.remarks[0]


def test_a_throttle_that_only_rises_is_no_clock(tmp_path: Path) -> None:
    rows = [f"{10 * k},{1000 + k},{90 * k + k * k % 7},{16 - k * k / 1e6 + k % 3 / 500:.4f}" for k in range(800)]
    mapping = mapped(tmp_path, "t,cmd,rpm,volt", rows)
    assert [column.quantity for column in mapping.columns] == ["time", "throttle", "speed", "voltage"]


def test_a_stamp_in_one_log_and_a_number_in_another_of_the_same_heads_are_no_crash(tmp_path: Path) -> None:
    numbers = "".join(f"{k},{k % 9},{k % 5}\n" for k in range(80))
    stamps = "".join(f"10:00:{k % 60:02d},{k % 9},{k % 5}\n" for k in range(80))
    for name, rows in (("a.csv", numbers), ("b.csv", stamps)):
        (tmp_path / name).write_text("t,cmd,thrust\n" + rows, encoding="utf-8")
    mapping = map_layout([look_at(tmp_path / name, name) for name in ("a.csv", "b.csv")])
    assert [column.quantity for column in mapping.columns] == ["time", "throttle", "thrust"]


def test_a_letter_that_tells_two_columns_apart_is_no_unit(tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, "time [s],current A,current B,voltage V,motor A"))
    assert [columns[head].unit for head in ("current A", "current B", "voltage V")] == [None, None, "V"]
    assert columns["motor A"].quantity is None
    assert by_head(mapped(tmp_path, "time [s],current A,thrust [N]"))["current A"].unit == "A"


def test_a_unit_that_is_read_as_another_is_shown_as_it_was_written(tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, "time [s],speed [Hz],weight [g]"))
    assert (columns["speed [Hz]"].unit, columns["speed [Hz]"].unit_from) == ("rev/s", "its head as Hz")
    assert (columns["weight [g]"].unit, columns["weight [g]"].unit_from) == ("gf", "its head as g")


def test_a_pulse_length_or_a_date_in_words_is_no_clock(tmp_path: Path) -> None:
    rows = [f"{k},{1000 + k * 37 % 400},{k % 5},monday" for k in range(80)]
    columns = by_head(mapped(tmp_path, "t,signal (us),thrust [N],date", rows))
    assert columns["t"].role == "channel"
    assert columns["signal (us)"].quantity != "time"
    assert columns["date"].role != "channel"


def test_of_two_speeds_the_rotors_own_is_read(tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, "time [s],Electrical speed (RPM),Optical speed (RPM)"))
    assert columns["Optical speed (RPM)"].role == "channel"
    assert columns["Electrical speed (RPM)"].role == "beside"


def test_a_unit_that_no_channel_has_speaks_against_what_the_words_say(tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, "time [s],speed [m/s],specific thrust (g/W),torque arm [mm],thrust [N]"))
    for head in ("speed [m/s]", "specific thrust (g/W)", "torque arm [mm]"):
        assert columns[head].quantity is None, head
        assert "no channel is measured in" in " ".join(each.words for each in columns[head].evidence)
    assert columns["thrust [N]"].role == "channel"


def test_a_factor_in_a_head_is_said_and_no_unit_written(tmp_path: Path) -> None:
    column = by_head(mapped(tmp_path, "time [s],RPM x1000,thrust [N]"))["RPM x1000"]
    assert (column.quantity, column.unit, column.needs_unit) == ("speed", None, True)
    assert any("factor" in remark for remark in column.remarks)


def test_of_two_cells_called_alike_the_second_is_not_lost_in_silence(tmp_path: Path) -> None:
    columns = by_head(mapped(tmp_path, "time [s],thrust 1 [N],thrust 2 [N],torque [N m]"))
    assert any('"thrust 2 [N]" called alike' in remark for remark in columns["thrust 1 [N]"].remarks)
    assert columns["torque [N m]"].remarks == ()


def test_units_in_lines_above_the_heads_are_told_by_them(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = "".join(f"{10 * k},{90 * k + k * k % 7},{k % 19},{k % 5}\n" for k in range(60))
    above = "# shed bench; current limit: 25 A\n# t in ms, n [1/min]\n# units: pull: gf, twist = mNm\n"
    path.write_text(f"{above}t,n,pull,twist\n{rows}", encoding="utf-8")
    mapping = map_layout([look_at(path, path.name)])
    assert [(each.quantity, each.unit) for each in mapping.columns] == [
        ("time", "ms"),
        ("speed", "rpm"),
        ("thrust", "gf"),
        ("torque", "mNm"),
    ]
    assert mapping.columns[0].unit_from == "a line above the heads"


def test_two_lines_that_tell_different_units_tell_none(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    rows = "".join(f"{k / 10},{k % 19}\n" for k in range(60))
    path.write_text(f"# pull: gf\n# pull: N\ntime [s],pull\n{rows}", encoding="utf-8")
    assert map_layout([look_at(path, path.name)]).columns[1].unit is None
