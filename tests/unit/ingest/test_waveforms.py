"""Waveform files as channels: bit depths, channels, units, clocks, and their place beside a log."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from isothrust.ingest import read_recording
from isothrust.records.finding import Finding
from isothrust.records.recording import Recording
from isothrust.records.rig import AlignmentPlan, ChannelPlan, ColumnPick, FilePlan, Rig
from logs.truth import plan

RATE = 8000
Floats = NDArray[np.float64]


def tone(seconds: float = 0.5) -> Floats:
    return 0.5 * np.sin(2.0 * np.pi * 100.0 * np.arange(int(seconds * RATE)) / RATE)


def course(time: Floats) -> Floats:
    """Return a ramp's speed [rpm]."""
    up = np.where(time > 2.0, 2000.0 + 1400.0 * np.clip(time - 2.0, 0.0, 10.0), 0.0)
    return np.where(time > 13.0, up * np.exp(-(time - 13.0) / 0.4), up)


def log_of(folder: Path, *, trigger: bool = False) -> str:
    time = np.arange(1600) / 100.0
    high = ((time > 1.004) & (time < 1.2)) | ((time > 14.507) & (time < 14.7))
    heads = "t,rpm,sync" if trigger else "t,rpm"
    rows = [
        f"{t:.2f},{n:.1f}" + (f",{5 * h}" if trigger else "")
        for t, n, h in zip(time, course(time), high.astype(int), strict=True)
    ]
    (folder / "log.csv").write_text("\n".join([heads, *rows]) + "\n", encoding="utf-8")
    return str(folder / "log.csv")


def read(
    folder: Path,
    channel: ChannelPlan,
    *,
    alignment: AlignmentPlan | None = None,
    trigger: bool = False,
    wav: str = "s.wav",
) -> Recording:
    channels = {"time": plan("time", "t", "s"), "speed": plan("speed", "rpm", "rpm", factor=0.10472)}
    files = {channel.file: FilePlan(alignment=alignment)} if alignment is not None else {}
    rig = Rig("bench", "Bench", channels | {channel.quantity: channel}, files=files)
    return read_recording("r1", {"log": log_of(folder, trigger=trigger), channel.file: str(folder / "s.wav")}, rig)


def codes(findings: tuple[Finding, ...]) -> list[str]:
    return [finding.code for finding in findings]


SOUND = ChannelPlan("sound", file="sound")
ONE = (ColumnPick(position=1),)


@pytest.mark.parametrize(
    ("kind", "bits", "container"),
    [
        ("PCM_U8", 8, "WAV"),
        ("PCM_S8", 8, "FLAC"),
        ("PCM_16", 16, "WAV"),
        ("PCM_16", 16, "FLAC"),
        ("PCM_24", 24, "WAV"),
        ("PCM_24", 24, "FLAC"),
        ("PCM_32", 32, "WAV"),
        ("PCM_16", 16, "AIFF"),
        ("FLOAT", 24, "WAV"),
        ("DOUBLE", 53, "WAV"),
    ],
)
def test_every_bit_depth_reads_to_parts_of_full_scale(tmp_path: Path, kind: str, bits: int, container: str) -> None:
    soundfile.write(tmp_path / "s.wav", tone(), RATE, subtype=kind, format=container)
    channel = read(tmp_path, SOUND).channels["sound"]
    step = 2.0 ** (1 - bits)
    np.testing.assert_allclose(channel.values, tone(), atol=1.01 * step)
    np.testing.assert_allclose(channel.time, np.arange(tone().size) / RATE, rtol=1e-12)
    assert channel.resolution is None or kind.startswith("PCM")


def test_the_only_channel_is_taken_unasked_and_one_of_several_by_number(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "s.wav", np.stack([tone(), -0.3 * tone()], axis=1), RATE, subtype="DOUBLE")
    picked = read(tmp_path, ChannelPlan("sound", (ColumnPick(position=2),), file="sound"))
    np.testing.assert_allclose(picked.channels["sound"].values, -0.3 * tone())
    unasked = read(tmp_path, SOUND)
    assert "sound" not in unasked.channels
    (missing,) = [finding for finding in unasked.findings if finding.code == "channel-missing"]
    assert "2 channels" in missing.message
    assert "channel 1: -9 dB of full scale" in missing.message
    assert "speed" in unasked.channels


def test_the_channels_are_told_apart_by_offset_and_overload(tmp_path: Path) -> None:
    kicked = np.clip(tone() + 0.7, -1.0, 1.0)
    soundfile.write(tmp_path / "s.wav", np.stack([tone(), kicked], axis=1), RATE, subtype="PCM_16")
    message = next(f.message for f in read(tmp_path, SOUND).findings if f.code == "channel-missing")
    first, _, second = message.partition("; channel 2")
    assert "offset +0.000" in first.replace("-0.000", "+0.000")
    assert "full scale," in first
    assert "samples at full scale" in second
    assert "offset +0.6" in second


def test_three_channels_make_an_acceleration_in_what_full_scale_is_worth(tmp_path: Path) -> None:
    axes = np.stack([tone(), 0.5 * tone(), 0.0 * tone()], axis=1)
    soundfile.write(tmp_path / "s.wav", axes, RATE, subtype="DOUBLE")
    picks = tuple(ColumnPick(position=place) for place in (1, 2, 3))
    wanted = ChannelPlan("acceleration", picks, file="vibration", unit="1", factor=156.9)
    values = read(tmp_path, wanted).channels["acceleration"].values
    np.testing.assert_allclose(values, 156.9 * axes)


def test_sound_with_sensitivity_and_full_scale_is_in_pascals(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "s.wav", tone(), RATE, subtype="DOUBLE")
    bare = ChannelPlan("sound", file="sound", sensitivity=0.0125, full_scale=2.0)
    np.testing.assert_allclose(read(tmp_path, bare).channels["sound"].values, tone() * 2.0 / 0.0125)
    volts = ChannelPlan("sound", file="sound", unit="mV", factor=1e-3, sensitivity=0.0125, full_scale=2.0)
    np.testing.assert_allclose(read(tmp_path, volts).channels["sound"].values, tone() * 2.0 / 0.0125)
    relative = ChannelPlan("sound", file="sound", full_scale=2.0)
    np.testing.assert_allclose(read(tmp_path, relative).channels["sound"].values, tone())


def test_counts_are_the_recorders_own_numbers(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "s.wav", tone(), RATE, subtype="PCM_16")
    picks = (ColumnPick(position=1),)
    wanted = ChannelPlan("acceleration", picks, file="vibration", unit="count", factor=0.01)
    values = read(tmp_path, wanted).channels["acceleration"].values
    counts, _ = soundfile.read(tmp_path / "s.wav", dtype="int16")
    np.testing.assert_allclose(values[:, 0], 0.01 * counts)


@pytest.mark.parametrize(
    ("channel", "subtype", "told"),
    [
        (ChannelPlan("sound", file="sound", unit="V", sensitivity=0.0125), "PCM_16", "how many volts"),
        (
            ChannelPlan("acceleration", (ColumnPick(position=1),), file="vibration", unit="m/s2"),
            "PCM_16",
            "16 bits hold no m/s2",
        ),
        (ChannelPlan("acceleration", (ColumnPick(position=1),), file="vibration", unit="count"), "FLOAT", "no counts"),
    ],
)
def test_a_unit_that_full_scale_does_not_have_costs_the_channel(
    tmp_path: Path, channel: ChannelPlan, subtype: str, told: str
) -> None:
    soundfile.write(tmp_path / "s.wav", tone(), RATE, subtype=subtype)
    recording = read(tmp_path, channel)
    assert channel.quantity not in recording.channels
    assert any(f.code == "channel-missing" and told in f.message for f in recording.findings)


def test_floating_point_may_hold_the_quantity_itself(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "s.wav", 30.0 * tone(), RATE, subtype="DOUBLE")
    wanted = ChannelPlan("acceleration", (ColumnPick(position=1),), file="vibration", unit="m/s2")
    np.testing.assert_allclose(read(tmp_path, wanted).channels["acceleration"].values[:, 0], 30.0 * tone())


def test_a_rate_that_the_rig_states_goes_before_the_files_own(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "s.wav", tone(), RATE)
    wanted = ChannelPlan("sound", file="sound", rate=8001.0)
    assert read(tmp_path, wanted).channels["sound"].time[4000 - 1] == pytest.approx(3999 / 8001.0)


def test_a_waveform_that_nothing_ties_to_the_log_begins_with_it_and_that_is_said(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "s.wav", tone(), RATE)
    recording = read(tmp_path, SOUND)
    assert codes(recording.findings) == ["clock-not-shared"]
    assert "[files.sound]" in recording.findings[0].message
    assert recording.channels["sound"].time[0] == 0.0
    assert not recording.alignments


def test_a_stated_offset_is_taken_with_its_uncertainty(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "s.wav", tone(), RATE)
    recording = read(tmp_path, SOUND, alignment=AlignmentPlan("offset", -0.35, 0.01))
    assert recording.channels["sound"].time[0] == -0.35
    assert (recording.alignments["sound"].offset, recording.alignments["sound"].u_offset) == (-0.35, 0.01)
    (note,) = recording.findings
    assert (note.code, note.severity) == ("waveform-aligned", "note")
    assert "-0.350 s" in note.message
    assert "10 ms" in note.message
    unsure = read(tmp_path, SOUND, alignment=AlignmentPlan("offset", -0.35)).alignments["sound"]
    assert unsure.u_offset is None


OFFSET = -1.2345


def two_channels(folder: Path) -> None:
    """Write noise that follows the log's speed on channel 1, and its trigger on channel 2."""
    rng = np.random.default_rng(6)
    time = OFFSET + np.arange(int(18.5 * RATE)) / RATE
    noise = rng.normal(size=time.size) * (0.003 + 0.2 * (course(time) / 16_000.0) ** 2.5)
    trigger = ((time > 1.004) & (time < 1.2)) | ((time > 14.507) & (time < 14.7))
    soundfile.write(folder / "s.wav", np.stack([np.clip(noise, -1, 1), 0.8 * trigger], axis=1), RATE, subtype="PCM_24")


FIRST = ChannelPlan("sound", (ColumnPick(position=1),), file="sound")


def test_a_shared_trigger_gives_the_offset_to_a_row_of_the_log(tmp_path: Path) -> None:
    two_channels(tmp_path)
    plan_ = AlignmentPlan("trigger", column=ColumnPick(head="sync"), channel=2)
    found = read(tmp_path, FIRST, alignment=plan_, trigger=True)
    alignment = found.alignments["sound"]
    assert alignment.u_offset == pytest.approx(0.01 / np.sqrt(12.0), rel=0.3)
    assert abs(alignment.offset - OFFSET) < 2.5 * alignment.u_offset
    assert found.channels["sound"].time[0] == pytest.approx(alignment.offset)
    assert found.channels["speed"].time[0] == 0.0


def test_the_course_of_the_level_gives_the_offset(tmp_path: Path) -> None:
    two_channels(tmp_path)
    alignment = read(tmp_path, FIRST, alignment=AlignmentPlan("correlation")).alignments["sound"]
    assert alignment.u_offset is not None
    assert alignment.u_offset < 0.02
    assert abs(alignment.offset - OFFSET) < 3.0 * alignment.u_offset


@pytest.mark.parametrize(
    ("alignment", "told"),
    [
        (AlignmentPlan("correlation", channel=2), "explains no more than"),
        (AlignmentPlan("correlation", channel=3), "it has 2"),
        (AlignmentPlan("correlation", against="thrust"), "no thrust"),
        (AlignmentPlan("trigger", column=ColumnPick(head="pulse"), channel=2), 'no column "pulse"'),
        (AlignmentPlan("trigger", column=ColumnPick(head="rpm"), channel=2), "do not meet"),
    ],
)
def test_a_waveform_that_fits_nowhere_is_left_out_with_the_reason(
    tmp_path: Path, alignment: AlignmentPlan, told: str
) -> None:
    two_channels(tmp_path)
    recording = read(tmp_path, FIRST, alignment=alignment, trigger=True)
    assert set(recording.channels) == {"speed"}
    assert not recording.alignments
    (finding,) = recording.findings
    assert (finding.code, finding.severity, finding.channel) == ("waveform-not-aligned", "warning", "sound")
    assert told in finding.message


def test_a_steady_tone_beside_a_ramp_has_no_clear_place(tmp_path: Path) -> None:
    rng = np.random.default_rng(7)
    soundfile.write(tmp_path / "s.wav", 0.1 * rng.normal(size=10 * RATE), RATE)
    recording = read(tmp_path, SOUND, alignment=AlignmentPlan("correlation"))
    assert codes(recording.findings) == ["waveform-not-aligned"]


def test_a_head_that_promises_more_samples_than_there_are_is_read_as_far_as_they_go(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "s.wav", tone(), RATE, subtype="PCM_16")
    whole = (tmp_path / "s.wav").read_bytes()
    (tmp_path / "s.wav").write_bytes(whole[: len(whole) // 2])
    channel = read(tmp_path, SOUND).channels["sound"]
    assert 0.4 * tone().size < channel.values.size < 0.6 * tone().size
    assert np.isfinite(channel.values).all()
