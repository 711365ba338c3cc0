"""What a rig file says of a kind of file as a whole: tables, blocks, and where a waveform lies in time."""

from __future__ import annotations

from pathlib import Path

import pytest

from isothrust.book.rigfile import parse_rig
from isothrust.errors import RigError
from isothrust.records.finding import Finding
from isothrust.records.rig import AlignmentPlan, ColumnPick, Rig

CHANNELS = """
[channels.time]
column = "t"
unit = "s"

[channels.thrust]
column = "pull"
unit = "gf"

[channels.sound]
file = "sound"
column = 2
"""


def parsed(folder: Path, text: str, channels: str = CHANNELS) -> tuple[Rig, tuple[Finding, ...]]:
    (folder / "bench.toml").write_text(channels + text, encoding="utf-8")
    return parse_rig(folder / "bench.toml")


def refused(folder: Path, text: str, channels: str = CHANNELS) -> RigError:
    with pytest.raises(RigError) as caught:
        parsed(folder, text, channels)
    return caught.value


def test_a_table_and_a_block_are_named_for_a_kind_of_file(tmp_path: Path) -> None:
    rig, findings = parsed(tmp_path, '[files.log]\ntable = "Data"\nblock = 2\n[files.vibration]\nblocks = "joined"\n')
    assert (rig.files["log"].table, rig.files["log"].block, rig.files["log"].joined) == ("Data", 2, False)
    assert rig.files["vibration"].joined
    assert "sound" not in rig.files
    assert not findings


@pytest.mark.parametrize(
    ("text", "plan"),
    [
        ('offset = "0.35 s"', AlignmentPlan("offset", 0.35)),
        ('offset = ["-350 ms", "5 ms"]', AlignmentPlan("offset", -0.35, 0.005)),
        ('trigger = { column = "sync", channel = 2 }', AlignmentPlan("trigger", column=ColumnPick("sync"), channel=2)),
        ("trigger = { column = 9, channel = 1 }", AlignmentPlan("trigger", column=ColumnPick(position=9), channel=1)),
        ('align = "correlation"', AlignmentPlan("correlation")),
        (
            'align = "correlation"\nchannel = 2\nagainst = "thrust"',
            AlignmentPlan("correlation", channel=2, against="thrust"),
        ),
    ],
)
def test_a_waveform_is_aligned_in_one_of_three_ways(tmp_path: Path, text: str, plan: AlignmentPlan) -> None:
    rig, findings = parsed(tmp_path, f"[files.sound]\n{text}\n")
    found = rig.files["sound"].alignment
    assert found is not None
    assert found.offset == pytest.approx(plan.offset)
    assert found.u_offset == (None if plan.u_offset is None else pytest.approx(plan.u_offset))
    assert (found.by, found.column, found.channel, found.against) == (plan.by, plan.column, plan.channel, plan.against)
    assert not findings


@pytest.mark.parametrize(
    ("text", "code", "told"),
    [
        ('[files.sound]\noffset = "0.3 s"\nalign = "correlation"', "contradictory-keys", "2 ways"),
        ('[files.log]\noffset = "0.3 s"', "contradictory-keys", "aligned with itself"),
        ("[files.sound]\noffset = 0.3", "missing-unit", "without a unit"),
        ('[files.sound]\noffset = ["1 s", "2 s", "3 s"]', "wrong-type", "offset is"),
        ('[files.sound]\noffset = "3 gf"', "wrong-dimension", "gf"),
        ('[files.sound]\ntrigger = "sync"', "wrong-type", "trigger is"),
        ('[files.sound]\ntrigger = { column = "sync", channel = 0 }', "out-of-range", "0"),
        ('[files.sound]\nalign = "corelation"', "unknown-word", "corelation"),
        ('[files.sound]\nalign = "correlation"\nagainst = "noise"', "unknown-word", "noise"),
        ('[files.sound]\nchannel = 2\noffset = "1 s"', "contradictory-keys", "which level"),
        ("[files.log]\nblock = 0", "out-of-range", "block is 0"),
        ('[files.log]\nblock = 1\nblocks = "joined"', "contradictory-keys", "all are to be joined"),
        ('[files.log]\nblocks = "all"', "unknown-word", "all"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_its_line(tmp_path: Path, text: str, code: str, told: str) -> None:
    (problem,) = refused(tmp_path, text + "\n").problems
    assert problem.code == code
    assert told in problem.what
    assert problem.where is not None
    assert problem.where.key is not None
    assert problem.where.key.startswith("files.")
    assert problem.where.line is not None


def test_a_key_that_means_nothing_is_a_warning_with_the_nearest(tmp_path: Path) -> None:
    _, findings = parsed(tmp_path, '[files.sound]\nofset = "1 s"\n[files.noise]\ntable = "a"\n')
    assert [finding.code for finding in findings] == ["unknown-key", "unknown-key"]
    assert "offset" in findings[0].message
    assert "noise" in findings[1].message


def test_a_column_is_picked_from_a_block(tmp_path: Path) -> None:
    channels = CHANNELS.replace('column = "pull"', 'column = { column = "pull", block = 3 }')
    rig, _ = parsed(tmp_path, "", channels)
    assert rig.channels["thrust"].picks == (ColumnPick(head="pull", block=3),)


@pytest.mark.parametrize(
    ("column", "code"),
    [
        ('column = { column = "pull", block = 0 }', "out-of-range"),
        ('column = { column = "pull", block = "b" }', "out-of-range"),
        ("column = { column = 4, block = 2 }", "contradictory-keys"),
        ('columns = [{ column = "a", block = 1 }, { column = "b", block = 2 }]', "two-columns"),
    ],
)
def test_a_block_that_cannot_be_meant_is_refused(tmp_path: Path, column: str, code: str) -> None:
    error = refused(tmp_path, "", CHANNELS.replace('column = "pull"', column))
    assert [problem.code for problem in error.problems] == [code]


def test_a_channel_of_a_sound_file_needs_no_unit_and_one_of_a_vibration_file_does(tmp_path: Path) -> None:
    rig, _ = parsed(tmp_path, "")
    assert rig.channels["sound"].picks == (ColumnPick(position=2),)
    assert rig.channels["sound"].unit is None
    shaken = CHANNELS + '[channels.acceleration]\nfile = "vibration"\ncolumns = [1, 2, 3]\n'
    assert refused(tmp_path, "", shaken).code == "missing-unit"
    worth = shaken + 'unit = "1"\nscale = "156.9 m/s2"\n'
    plan = parsed(tmp_path, "", worth)[0].channels["acceleration"]
    assert plan.factor == pytest.approx(156.9)
