"""How true levels are over many propellers, microphones and rooms; with a tachometer, and without one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from isothrust.reduction import reduce_run
from isothrust.reduction.figures import RunContext, evaluate_figure
from support.heard import drawn_case

CASES = 60
SHARES = np.array([0.2, 0.35, 0.5, 0.7, 0.9])


def test_levels_are_true_over_sixty_drawn_runs() -> None:
    context = RunContext(0.17)
    of_level, of_passing = [], []
    false: list[str] = []
    for seed in range(CASES):
        one = drawn_case(1000 + seed, kind=("ramp", "holds")[seed % 2])
        run = reduce_run(one.recording, one.job)
        # a quiet propeller in a loud room is rightly told to be near the background
        codes = [each.code for each in run.findings if each.code.startswith("sound-")]
        false += [code for code in codes if code != "sound-near-background"]
        at = np.sqrt(SHARES) * one.top
        found = evaluate_figure(run, "sound-level", "speed", at, context).values
        of_level.append(found - [one.truth.level(w) for w in at])
        channels = {name: each for name, each in one.recording.channels.items() if name != "speed"}
        blind = reduce_run(replace(one.recording, channels=channels), one.job)
        thrusts = SHARES * one.thrust(one.top)
        found = evaluate_figure(blind, "blade-passing-level", "thrust", thrusts, context).values
        of_passing.append(found - [one.truth.passing_level(1, one.speed_at(each)) for each in thrusts])
    level, passing = np.abs(np.array(of_level)), np.abs(np.array(of_passing))
    assert np.isfinite(level).all()
    assert np.isfinite(passing).all()
    assert level.max() < 0.3
    assert passing.max() < 1.0
    assert false == []
