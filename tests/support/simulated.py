"""From a simulated run straight to what `reduce_run` takes, without the way through a text file."""

from __future__ import annotations

import numpy as np

from isothrust.records.air import Air, AirReading
from isothrust.records.book import Design, Motor, Run
from isothrust.records.job import RunJob
from isothrust.records.recording import Channel, Recording, Source
from isothrust.records.reduced import Estimate
from isothrust.records.rig import ChannelPlan, Rig, StatedUncertainty
from isothrust.virtual import Drive, Propeller, RunPlan, Stand, VirtualRun

__all__ = ["design_of", "job_of", "motor_of", "recording_of", "rig_of"]

_RPM = 2.0 * np.pi / 60.0


def recording_of(run: VirtualRun) -> Recording:
    """Return the columns as channels."""
    time = np.asarray(run.columns["time"])
    channels = {}
    for name, values in run.columns.items():
        if name != "time":
            known = np.isfinite(values)
            clock = time if known.all() else time[known]
            channels[name] = Channel(name, clock, values if known.all() else values[known])
    if run.shaken is not None:
        clock = np.arange(run.shaken.values.shape[0]) / run.shaken.rate
        channels["acceleration"] = Channel("acceleration", clock, run.shaken.values)
        if run.shaken.mark is not None:
            channels["mark"] = Channel("mark", clock, run.shaken.mark)
    if run.heard is not None:
        microphone = run.heard.microphone
        clock = microphone.starts + np.arange(run.heard.values.size) / microphone.rate
        channels["sound"] = Channel("sound", clock, run.heard.pressure)
    return Recording(run.plan.name, channels, (Source(f"{run.plan.name}.csv", "", time.size, "simulated"),))


def rig_of(stand: Stand) -> Rig:
    """Return what the simulated stand states of itself."""
    s = stand.stated
    stated = {
        "speed": StatedUncertainty(s.speed_scale),
        "thrust": StatedUncertainty(s.thrust_scale, s.thrust_fixed),
        "torque": StatedUncertainty(s.torque_scale, s.torque_fixed),
        "voltage": StatedUncertainty(s.voltage_scale),
        "current": StatedUncertainty(s.current_scale, s.current_fixed),
    }
    channels = {name: ChannelPlan(name, uncertainty=stated.get(name)) for name in stand.sensors.fitted()}
    if stand.accelerometer is not None:
        channels["acceleration"] = ChannelPlan(
            "acceleration", file="vibration", rate=stand.accelerometer.rate, uncertainty=StatedUncertainty(0.01)
        )
    if stand.microphone is not None:
        heard = stand.microphone
        channels["sound"] = ChannelPlan(
            "sound",
            file="sound",
            sensitivity=heard.sensitivity,
            full_scale=heard.full_scale,
            distance=heard.distance,
            uncertainty=StatedUncertainty(0.02),
        )
    return Rig(
        name=stand.name,
        title=stand.title,
        channels=channels,
        layout=stand.layout,
        clearance=stand.clearance,
        obstruction=stand.obstruction if stand.states_obstruction else None,
        obstruction_drag=stand.obstruction_drag,
        u_temperature=s.temperature,
        u_pressure=s.pressure,
        u_humidity=s.humidity,
    )


def motor_of(drive: Drive) -> Motor:
    """Return the drive's data sheet."""
    return Motor(
        drive.name,
        kv=drive.kv * _RPM,
        resistance=drive.resistance,
        no_load_current=drive.friction * drive.kv * _RPM,
        pole_pairs=drive.pole_pairs,
    )


def design_of(propeller: Propeller) -> Design:
    """Return the propeller as propellers.csv has it."""
    return Design(propeller.name, diameter=propeller.diameter, pitch=propeller.pitch, blades=propeller.blades)


def job_of(plan: RunPlan, *, inertia: Estimate | None = None, campaign: str = "c") -> RunJob:
    """Return the job of a simulated run, with the air as the tester read it."""
    s, read = plan.stand.stated, plan.read_air
    air = Air(
        AirReading(read.temperature, s.temperature, "run"),
        AirReading(read.pressure, s.pressure, "run"),
        AirReading(read.humidity, s.humidity, "run"),
    )
    kind = {"ramp-up-down": "ramp"}.get(plan.schedule.kind, plan.schedule.kind)
    run = Run(plan.name, campaign, plan.propeller.name, plan.sample, plan.mounting, kind, {"log": "x"}, plan.date, air)
    return RunJob(run, rig_of(plan.stand), design_of(plan.propeller), motor_of(plan.drive), 1.225, {}, {}, inertia)
