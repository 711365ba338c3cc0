"""Heads are found again though somebody wrote them a little differently, and never by guessing."""

from __future__ import annotations

import pytest

from isothrust.tables.heads import Head, find_head, nearest


def heads(*texts: str) -> list[Head]:
    return [Head.of(text) for text in texts]


@pytest.mark.parametrize(
    ("wanted", "texts", "found"),
    [
        ("thrust", ["time", "thrust"], [1]),
        ("Thrust ", ["time", "thrust [gf]"], [1]),
        ("thrust [gf]", ["thrust"], [0]),
        ("thrust [gf]", ["thrust [N]"], []),  # a unit that both sides give is a part of the name
        ("motor speed", ["Motor_Speed (rpm)"], [0]),
        ("rpm", ["RPM", "Rpm [1/min]"], [0, 1]),
        ("rpm", ["rpm", "RPM"], [0]),  # an exact head wins
        ("rpm", ["rpm", "rpm"], [0, 1]),
        ("rpm", ["rpm 2", "arpm"], []),
        ("IMU[0].AccX", ["IMU[0].AccX", "IMU[0].AccY"], [0]),
        ("", ["", "a"], [0]),
    ],
)
def test_a_head_is_found(wanted: str, texts: list[str], found: list[int]) -> None:
    assert find_head(wanted, heads(*texts)) == found


def test_the_nearest_names_come_first_whether_they_contain_the_word_or_resemble_it() -> None:
    names = ["voltage [V]", "motor rpm", "time", "rqm", ""]
    assert nearest("rpm", names)[:2] == ["motor rpm", "rqm"]
    assert "" not in nearest("rpm", names)


@pytest.mark.parametrize(
    ("text", "name", "unit"),
    [
        ("timestamp(ms)", "timestamp", "ms"),
        ("load (gf)", "load", "gf"),
        ("speed (filtered)", "speed (filtered)", None),
        ("degrees(IMU[0].GyrX)", "degrees(IMU[0].GyrX)", None),
        ("cell (2)", "cell (2)", None),
        ("thrust [gf]", "thrust", "gf"),
    ],
)
def test_round_brackets_hold_a_unit_only_if_it_is_one(text: str, name: str, unit: str | None) -> None:
    assert Head.of_log(text) == Head(text, name, unit)
