"""Folders of nonsense: whatever stands in the logs, a book that can be read as TOML and CSV, or a refusal in words."""

from __future__ import annotations

import random
import tomllib
from pathlib import Path

import pytest

from isothrust.errors import IsothrustError
from isothrust.workflows.fromfolder import create_from_folder

HEADS = (
    "time,t [ms],Zeit s,thrust,thrust [gf],Schub (N),rpm,erpm,throttle,cmd_us,duty %,volt,amps,I,U,N,torque [N m],left,"
    'right,ax,ay,az,temp [degC],pressure [hPa],"a ""quoted"" head",,  ,raw,index,[V],é,\\n,setpoint rpm,date'
).split(",")
CELLS = (
    "0",
    "1",
    "-1",
    "1e300",
    "-1e300",
    "nan",
    "",
    "-",
    "text",
    "12:30:01.5",
    "2026-03-01 10:00:00",
    "1e-300",
    "007",
)


def nonsense(seed: int) -> str:
    """A log of some columns, each of its own strange habit."""
    chance = random.Random(seed)
    width, rows = chance.randint(2, 9), chance.choice([3, 4, 30, 200, 700])
    delimiter = chance.choice([",", ";", "\t"])
    habits = [
        chance.choice(["still", "clock", "noise", "stair", "ramp", "cells", "falls", "blank"]) for _ in range(width)
    ]
    size = 10.0 ** chance.randint(-9, 9)

    def cell(habit: str, k: int) -> str:
        values = {
            "still": "5",
            "clock": f"{k * size:.6g}",
            "noise": f"{chance.gauss(0, size):.6g}",
            "stair": str(10 * (k // 20)),
            "ramp": f"{max(0, k - 20) * size:.6g}",
            "cells": chance.choice(CELLS),
            "falls": f"{-k * k * size:.6g}",
            "blank": "",
        }
        return values[habit]

    lines = [delimiter.join(cell(habit, k) for habit in habits) for k in range(rows)]
    if chance.random() < 0.7:
        lines.insert(0, delimiter.join(chance.choice(HEADS) for _ in range(width)))
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("seed", range(120))
def test_nonsense_makes_a_book_or_is_refused(seed: int, tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    for number in range(2):
        (folder / f"{number}.csv").write_text(nonsense(1000 * number + seed), encoding="utf-8")
    refused = not made(folder, tmp_path / "book")
    assert refused != (tmp_path / "book").exists()
    assert not list(tmp_path.glob(".*"))


def made(folder: Path, book: Path) -> bool:
    """Make a book and read its rigs; say whether there is one. A refusal has a code and a way out."""
    try:
        outcome = create_from_folder(book, folder, names="{design}")
    except IsothrustError as error:
        return bool(error.code != "no-logs")
    for layout in outcome.layouts:
        content = tomllib.loads((book / "rigs" / f"{layout.rig}.toml").read_text(encoding="utf-8"))
        for column in layout.mapping.columns:
            if column.role == "channel":
                assert column.quantity in content["channels"]
    return True
