"""What is kept of a log whose logger restarted, channel by channel, and what is refused."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from isothrust.errors import LogError
from isothrust.ingest import read_recording
from isothrust.records.recording import Recording
from isothrust.records.rig import ChannelPlan, ColumnPick, Rig

TIME = ChannelPlan("time", (ColumnPick(head="t"),), unit="ms", factor=0.001)
SPEED = ChannelPlan("speed", (ColumnPick(head="n"),), unit="rad/s")
FAST = ChannelPlan("voltage", (ColumnPick(head="u"),), unit="V", rate=500.0)


def read(folder: Path, text: str, *plans: ChannelPlan) -> Recording:
    (folder / "log.csv").write_text(text, encoding="utf-8")
    rig = Rig("bench", "Bench", {plan.quantity: plan for plan in plans})
    return read_recording("r1", {"log": str(folder / "log.csv")}, rig)


def passage(rows: int, top: float, *, first: int = 0) -> str:
    return "".join(f"{10 * k + first},{top * k / rows},{k}\n" for k in range(rows))


def test_a_channel_with_a_rate_of_its_own_is_cut_to_the_same_passage(tmp_path: Path) -> None:
    recording = read(tmp_path, "t,n,u\n" + passage(40, 0.0) + passage(90, 900.0), TIME, SPEED, FAST)
    assert recording.channels["speed"].time[[0, -1]].tolist() == [0.0, 0.89]
    assert recording.channels["voltage"].values.tolist() == list(range(90))
    np.testing.assert_allclose(recording.channels["voltage"].time, np.arange(90) / 500.0)


def test_a_longer_rest_is_not_kept_before_a_run(tmp_path: Path) -> None:
    recording = read(tmp_path, "t,n,u\n" + passage(200, 0.0) + passage(90, 900.0), TIME, SPEED)
    (finding,) = recording.findings
    assert (finding.code, finding.severity, finding.count) == ("logger-restarted", "warning", 200)
    assert "lines 202 to 291" in finding.message
    assert recording.channels["speed"].values[-1] == pytest.approx(890.0)


def test_cells_that_cannot_be_read_are_told_of_the_kept_passage_alone(tmp_path: Path) -> None:
    text = "t,n,u\n" + passage(40, 0.0).replace("\n50,", "\nx,") + passage(90, 900.0).replace("\n300,300.0", "\n300,y")
    recording = read(tmp_path, text, TIME, SPEED)
    told = [finding for finding in recording.findings if finding.code == "unreadable-cells"]
    assert [(finding.channel, finding.count) for finding in told] == [("speed", 1)]
    assert 'line 72 "y"' in told[0].message
    assert told[0].start == pytest.approx(0.30)


def test_a_wrap_and_a_restart_in_one_log_are_both_told(tmp_path: Path) -> None:
    wrapped = "".join(f"{(65_000 + 10 * k) % 65_536},{10.0 * k},{k}\n" for k in range(90))
    recording = read(tmp_path, "t,n,u\n" + wrapped + passage(20, 10.0), TIME, SPEED)
    assert [finding.code for finding in recording.findings] == ["logger-restarted", "clock-wrapped"]
    assert recording.channels["speed"].time[-1] == pytest.approx(0.89)


@pytest.mark.parametrize("share", [0.92, 1.0])
def test_two_passages_of_one_length_are_refused_with_their_lines(share: float, tmp_path: Path) -> None:
    text = "t,n,u\n" + passage(100, 900.0) + "t,n,u\n" + passage(int(100 * share), 900.0)
    with pytest.raises(LogError) as caught:
        read(tmp_path, text, TIME, SPEED)
    assert caught.value.code == "several-passages"
    assert "lines 2 to 101" in str(caught.value)
    assert f"lines 103 to {102 + int(100 * share)}" in str(caught.value)


def test_a_restart_among_rows_of_several_sources_is_refused(tmp_path: Path) -> None:
    def tagged(rows: int) -> str:
        return "".join(f"RC,{10 * k},{10.0 * k}\nPM,{10 * k + 3},{24 - k / 100},1\n" for k in range(rows))

    plans = (
        replace(TIME, picks=(ColumnPick(position=2),)),
        replace(SPEED, picks=(ColumnPick(position=3, tag="RC"),)),
        ChannelPlan("voltage", (ColumnPick(position=3, tag="PM"),), unit="V"),
    )
    whole = read(tmp_path, tagged(90), *plans)
    assert whole.findings == ()
    assert whole.channels["voltage"].time[0] == pytest.approx(0.003)  # all sources go by one clock
    with pytest.raises(LogError) as caught:
        read(tmp_path, tagged(30) + tagged(90), *plans)
    assert caught.value.code == "several-passages"


def test_a_source_that_starts_late_keeps_the_common_clock(tmp_path: Path) -> None:
    text = "".join(
        f"RC,{10 * k},{10.0 * k}\n" + (f"PM,{10 * k + 3},{24 - k / 100}\n" if k > 150 else "") for k in range(160)
    )
    plans = (
        replace(TIME, picks=(ColumnPick(position=2),)),
        replace(SPEED, picks=(ColumnPick(position=3, tag="RC"),)),
        ChannelPlan("voltage", (ColumnPick(position=3, tag="PM"),), unit="V"),
    )
    assert read(tmp_path, text, *plans).channels["voltage"].time[0] == pytest.approx(1.513)
