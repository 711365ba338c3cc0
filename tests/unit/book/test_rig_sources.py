"""Rig files for logs whose rows come from several sources, and for clocks in several columns."""

from __future__ import annotations

from pathlib import Path

import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import RigError
from isothrust.records.rig import ChannelPlan

TIME = '[channels.time]\ncolumn = 2\nunit = "ms"\n'
THRUST = '[channels.thrust]\ncolumn = { column = 3, tag = "LC" }\nunit = "gf"\n'


def plans(folder: Path, text: str) -> dict[str, ChannelPlan]:
    (folder / "rig.toml").write_text(text, encoding="utf-8")
    rig, findings = parse_rig(folder / "rig.toml")
    assert findings == ()
    return dict(rig.channels)


def codes(folder: Path, text: str) -> list[str]:
    with pytest.raises(RigError) as caught:
        plans(folder, text)
    assert all(problem.where and problem.expected and problem.fix for problem in caught.value.problems)
    return [problem.code for problem in caught.value.problems]


def test_a_tag_stands_beside_the_column(tmp_path: Path) -> None:
    (pick,) = plans(tmp_path, TIME + THRUST)["thrust"].picks
    assert (pick.position, pick.tag) == (3, "LC")


def test_the_same_position_in_the_rows_of_two_tags_is_two_columns(tmp_path: Path) -> None:
    voltage = '[channels.voltage]\ncolumn = { column = 3, tag = "PM" }\nunit = "V"\n'
    assert set(plans(tmp_path, TIME + THRUST + voltage)) == {"time", "thrust", "voltage"}
    assert codes(tmp_path, TIME + THRUST + voltage.replace("PM", "LC")) == ["two-quantities-one-column"]


@pytest.mark.parametrize("tag", ["3", '""', '["LC"]', "true"])
def test_a_tag_is_a_word(tag: str, tmp_path: Path) -> None:
    assert "wrong-type" in codes(tmp_path, TIME + THRUST.replace('"LC"', tag))


def test_columns_of_one_channel_come_from_one_source(tmp_path: Path) -> None:
    torque = (
        '[channels.torque]\nunit = "gf"\n'
        'columns = [{ column = 3, arm = "21 mm", tag = "A" }, { column = 3, arm = "-21 mm", tag = "B" }]\n'
    )
    assert codes(tmp_path, TIME + torque) == ["two-columns"]
    assert plans(tmp_path, TIME + torque.replace('column = 3, arm = "-', 'column = 4, arm = "-').replace("B", "A"))


def test_a_clock_may_be_made_of_a_date_and_a_time_of_day(tmp_path: Path) -> None:
    time = plans(tmp_path, '[channels.time]\ncolumns = ["day", "clock"]\n' + THRUST)["time"]
    assert [pick.head for pick in time.picks] == ["day", "clock"]


def test_a_clock_may_be_made_of_minutes_seconds_and_milliseconds(tmp_path: Path) -> None:
    scale = 'unit = "count"\nscale = ["60 s/count", "1 s/count", "1 ms/count"]\n'
    time = plans(tmp_path, "[channels.time]\ncolumns = [1, 2, 3]\n" + scale + THRUST)["time"]
    assert [time.factor * pick.weight for pick in time.picks] == pytest.approx([60.0, 1.0, 0.001])
