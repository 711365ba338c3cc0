"""Quick simulated runs that were heard: speed and thrust as they are, without the motor's equations."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from isothrust.records.air import Air, AirReading
from isothrust.records.book import Run
from isothrust.records.job import RunJob
from isothrust.records.recording import Alignment, Channel, Recording, Source
from isothrust.records.rig import Rig
from isothrust.virtual import (
    STANDARD_AIR,
    Microphone,
    Propeller,
    RunPlan,
    Rush,
    SoundTruth,
    Stand,
    TrueAir,
    Voice,
    make_propeller,
)
from isothrust.virtual.sounding import Heard, hear
from support.simulated import design_of, rig_of
from support.sound_books import heard_propeller

__all__ = ["Case", "drawn_case", "heard_case"]

_RATE = 200.0
_REST = 2.0


@dataclass(frozen=True)
class Case:
    """One run that was heard, with its truth."""

    recording: Recording
    job: RunJob
    truth: SoundTruth
    propeller: Propeller
    air: TrueAir
    heard: Heard
    top: float
    """Greatest speed [rad/s]."""

    def speed_at(self, thrust: float) -> float:
        """Speed [rad/s] at a thrust [N] in the air of the run."""
        low, high = 1.0, 4000.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if self.thrust(middle) >= thrust else (middle, high)
        return 0.5 * (low + high)

    def thrust(self, omega: float) -> float:
        n = omega / (2 * np.pi)
        ct = float(self.propeller.thrust_coefficient(np.array([n]), self.air)[0])
        return ct * self.air.density * n**2 * self.propeller.diameter**4


def heard_case(
    seed: int,
    *,
    kind: Literal["ramp", "holds"] = "ramp",
    microphone: Microphone | None = None,
    voice: Voice | None = None,
    propeller: Propeller | None = None,
    speed: bool = True,
    late: float = 0.0,
    rig: Rig | None = None,
    tied: bool = True,
) -> Case:
    """Return a run: 2 s of rest, a ramp of 9 s or six holds of 3.5 s, 1 s of rest; `late` is a clock's error [s]."""
    random = np.random.default_rng([seed, 77])
    propeller = propeller or heard_propeller()
    microphone = microphone or Microphone()
    top = 2 * np.pi * random.uniform(300.0, 420.0) * (0.1778 / propeller.diameter) ** 0.7
    time, omega, throttle = _course(kind, top)
    truth = SoundTruth(microphone, propeller, voice or Voice(), STANDARD_AIR.density)
    heard = hear(truth, time, omega, random)
    rows = slice(None, None, round(1000.0 / _RATE))
    at, w = time[rows], omega[rows]
    n = w / (2 * np.pi)
    thrust = propeller.thrust_coefficient(n, STANDARD_AIR) * STANDARD_AIR.density * n**2 * propeller.diameter**4
    channels = {
        "throttle": Channel("throttle", at, throttle[rows]),
        "thrust": Channel("thrust", at, thrust + 0.01 * random.standard_normal(at.size)),
    }
    if speed:
        channels["speed"] = Channel("speed", at, w * (1 + 5e-4 * random.standard_normal(at.size)))
    clock = microphone.starts + late + np.arange(heard.values.size) / microphone.rate
    channels["sound"] = Channel("sound", clock, heard.pressure)
    plan = RunPlan("r1", propeller, stand=replace(Stand(), microphone=microphone, obstruction=0.0))
    alignments = {"sound": Alignment("r1.wav", "offset", microphone.starts, 0.005)} if tied else {}
    recording = Recording("r1", channels, (Source("r1.csv", "", at.size, "simulated"),), alignments=alignments)
    air = Air(
        *(AirReading(value, u, "run") for value, u in ((STANDARD_AIR.temperature, 0.3), (STANDARD_AIR.pressure, 60.0))),
        AirReading(STANDARD_AIR.humidity, 0.03, "run"),
    )
    run = Run("r1", "c", propeller.name, "a", "1", kind, {"log": "x", "sound": "y"}, "2026-03-01", air)
    job = RunJob(run, rig or rig_of(plan.stand), design_of(propeller), None, STANDARD_AIR.density, {}, {})
    return Case(recording, job, truth, propeller, STANDARD_AIR, heard, top)


def drawn_case(seed: int, **others: object) -> Case:
    """Return a run whose propeller, voice and microphone are drawn."""
    random = np.random.default_rng([seed, 11])
    blades = int(random.choice([2, 2, 3, 3, 4]))
    diameter = float(random.uniform(0.12, 0.21))
    propeller = make_propeller(
        "drawn", diameter=diameter, pitch=0.1, blades=blades, ct=0.055 * blades, cp=0.025 * blades
    )
    voice = Voice(
        tone=float(random.uniform(66, 80)),
        tone_growth=float(random.uniform(4.5, 6.0)),
        harmonics=(0.0, *np.cumsum(-random.uniform(1, 8, 4)).tolist()),
        shaft=((1, float(random.uniform(-30, -14))), (3, -25.0)),
        rush=(
            Rush(float(random.uniform(60, 70)), float(random.uniform(900, 2500)), 1.1),
            Rush(float(random.uniform(58, 68)), 6000.0, 0.9, 5.5),
        ),
    )
    microphone = Microphone(
        distance=float(random.choice([0.5, 1.0, 2.0])), background=float(random.uniform(28, 46)), full_scale=2.0
    )
    given = {"microphone": microphone, "voice": voice, "propeller": propeller, **others}
    return heard_case(seed, **given)  # type: ignore[arg-type]


def _course(kind: str, top: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return time [s], speed [rad/s] and throttle in rows of 1 kHz."""
    if kind == "ramp":
        length = _REST + 9.0 + 0.5 + 1.5
        time = np.arange(round(length * 1000)) / 1000.0
        rising = np.clip((time - _REST) / 9.0, 0.0, 1.0)
        command = np.where(time > _REST + 9.5, 0.0, rising)
    else:
        levels = np.linspace(0.35, 1.0, 6)
        length = _REST + 3.5 * levels.size + 1.5
        time = np.arange(round(length * 1000)) / 1000.0
        step = np.clip(((time - _REST) / 3.5).astype(int), 0, levels.size - 1)
        command = np.where((time < _REST) | (time > _REST + 3.5 * levels.size), 0.0, levels[step])
    omega = np.zeros(time.size)
    keep = np.exp(-1e-3 / 0.04)
    for k in range(1, time.size):
        omega[k] = keep * omega[k - 1] + (1 - keep) * top * command[k]
    return time, omega, command
