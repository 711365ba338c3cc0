"""Logs that are no plain tables, in a folder that becomes a book: the same columns are found, and the same thrust."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from isothrust.virtual import SEMICOLON, RunPlan, VirtualRun, make_propeller, ramp, simulate
from isothrust.workflows.fromfolder import create_from_folder
from isothrust.workflows.reduce import reduce_book

INCH = 0.0254
WEIGHTS = "mass;counts\n0;12\n100;219\n200;425\n300;632\n"
Rows = list[list[str]]


@pytest.fixture(scope="module")
def rows() -> Rows:
    auk = make_propeller("auk", diameter=7 * INCH, pitch=4 * INCH, blades=3, ct=0.13, cp=0.055)
    (run,) = simulate([RunPlan("r1", auk, schedule=ramp(rise=4.0))], 5)
    return rows_of(run)


def rows_of(run: VirtualRun) -> Rows:
    """Return every fifth row of a log with heads that tell their units, the heads first, with decimal points."""
    lines = run.log_bytes(SEMICOLON).decode("utf-8-sig").splitlines()
    found = [[cell.replace(",", ".") for cell in line.split(";")] for line in lines]
    return [found[0], *found[1::5]]


def text(rows: Rows) -> str:
    return "".join(";".join(row) + "\n" for row in rows)


def objects(rows: Rows) -> str:
    keys, *others = rows
    return "".join(json.dumps(dict(zip(keys, map(float, row), strict=True))) + "\n" for row in others)


def long_form(rows: Rows) -> str:
    heads, *others = rows
    lines = (f"{row[0]};{name};{cell}\n" for row in others for name, cell in zip(heads[1:], row[1:], strict=True))
    return f"{heads[0]};channel;value\n" + "".join(lines)


def in_groups(rows: Rows) -> str:
    return ";".join(["stand", *[""] * (len(rows[0]) - 2), "end"]) + "\n" + text(rows)


FORMS: dict[str, Callable[[Rows], str]] = {
    "objects.jsonl": objects,
    "long.csv": long_form,
    "weights-above.csv": lambda rows: f"weights\n{WEIGHTS}\nrun\n{text(rows)}",
    "weights-below.csv": lambda rows: f"{text(rows)}\n{WEIGHTS}",
    "summary.csv": lambda rows: f"{text(rows)}\nmean;{';'.join(rows[-1][1:])}\n",
    "groups.csv": in_groups,
}


def peak(folder: Path, name: str, log: str) -> tuple[dict[str, str], float]:
    """Return quantity -> unit as drafted, and the peak thrust of the run in a book made of one log."""
    shed = folder / "shed"
    shed.mkdir(parents=True)
    (shed / name).write_text(log, encoding="utf-8")
    made = create_from_folder(folder / "book", shed, names="{design}_{sample}_{n}")
    (layout,) = made.layouts
    (stored,) = reduce_book(folder / "book").stored.values()
    (figure,) = [each for each in stored.reduced.figures if each.measurand == "peak-thrust"]
    assert figure.value is not None
    columns = [each for each in layout.mapping.columns if each.role == "channel"]
    return {str(each.quantity): str(each.unit) for each in columns}, figure.value


@pytest.mark.parametrize("name", FORMS)
def test_a_log_of_another_form_becomes_the_same_run(name: str, rows: Rows, tmp_path: Path) -> None:
    plain, thrust = peak(tmp_path / "plain", "auk 7x4x3_A1_1.csv", text(rows))
    assert {"time", "throttle", "speed", "thrust", "torque"} <= set(plain)
    found, same = peak(tmp_path / "other", f"auk 7x4x3_A1_1{Path(name).suffix}", FORMS[name](rows))
    assert found == plain
    assert same == pytest.approx(thrust, rel=1e-9)
