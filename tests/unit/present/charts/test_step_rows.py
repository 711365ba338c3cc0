"""The datasets of a step overlay."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from isothrust.present.charts.captions import Subject, step_caption
from isothrust.present.charts.step_rows import step_datasets
from isothrust.records.response import StepKind


def kind(lag: float, *, settling: float | None = 0.1) -> StepKind:
    time = np.linspace(-0.05, 0.5, 200)
    share = np.where(time < 0.0, 0.0, 1.0 - np.exp(-np.maximum(time, 0.0) / lag))
    return StepKind(
        direction="up",
        from_throttle=0.1,
        to_throttle=0.5,
        from_level=300.0,
        to_level=1600.0,
        count=6,
        used=6,
        method="samples",
        absent="",
        rate=1e4,
        across=2.2 * lag,
        dead=0.005,
        response=lag,
        settling=settling,
        overshoot=0.0,
        u_across=1e-4,
        lag=lag,
        u_lag=1e-3,
        time=time,
        share=share,
    )


def test_designs_told_apart_are_drawn_with_the_spread_of_their_runs_and_the_others_thin() -> None:
    data = step_datasets({"Auk": [kind(0.02), kind(0.03)], "Tern": [kind(0.05)]}, {"Auk": 0})
    assert {row["design"] for row in data["chosen"]} == {"Auk"}
    assert {row["design"] for row in data["context"]} == {"Tern"}
    assert [row["x"] for row in data["point"]] == [0.0]
    row = min(data["chosen"], key=lambda one: abs(float(str(one["x"])) - 30.0))
    at = float(str(row["x"])) * 1e-3
    quick, slow = (100.0 * (1.0 - np.exp(-at / lag)) for lag in (0.02, 0.03))
    assert (row["low"], row["high"]) == pytest.approx((slow, quick), abs=0.5)
    assert row["y"] == pytest.approx(0.5 * (slow + quick), abs=0.5)


def test_a_design_of_one_run_has_no_band_and_the_slowest_is_drawn_until_it_has_settled() -> None:
    data = step_datasets({"Auk": [kind(0.02)], "Tern": [kind(0.05, settling=0.2)]}, {"Auk": 0, "Tern": 1})
    assert all(row["low"] is None for row in data["chosen"])
    assert max(float(str(row["x"])) for row in data["chosen"]) == pytest.approx(250.0, rel=1e-3)


def test_the_caption_says_which_step_how_many_and_who_has_none() -> None:
    subject = Subject("spring", "7 inch, 2 blades", 1.225)
    caption = step_caption(subject, "up", {"Auk": [kind(0.02), kind(0.02)]}, ["Tern"])
    assert "10 to 50 % throttle; means of 12 steps in 2 runs." in caption.lines
    assert "Not shown: Tern" in caption.notes[0]
    other = replace(kind(0.02), to_throttle=0.6)
    assert "Steps of several heights" in " ".join(step_caption(subject, "up", {"Auk": [kind(0.02), other]}, []).lines)
