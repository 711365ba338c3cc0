"""A book of hand-made reduced runs on a motor whose constants are known, and what holds there in closed form."""

from __future__ import annotations

import made_runs
from isothrust.records.book import Book, Campaign, Design, Motor, Run
from isothrust.records.reduced import Contribution, Figure, ReducedRun
from isothrust.records.rig import ChannelPlan, Rig

GF = 9.80665e-3
INCH = 0.0254
RPM = 2.0 * 3.141592653589793 / 60.0
KV = 120.0
"""[rad/s/V]"""
MOTOR = Motor("m1", kv=KV, resistance=0.08, no_load_current=0.6, pole_pairs=7.0, rotor_inertia=4e-6, max_current=150.0)
OTHER = Motor("m2", kv=150.0, resistance=0.05, no_load_current=0.8, rotor_inertia=5e-6)
BARE = Motor("bare", kv=120.0)
INERTIA = 3e-5


def inertia_figure(name: str) -> Figure:
    line = Contribution("inertia of the coast", f"run spring/{name} inertia", "run", 0.02 * INERTIA, 30.0)
    return Figure("rotor-inertia", INERTIA, (line,))


def runs() -> list[ReducedRun]:
    """Two designs, two samples of the first; the second has no torque."""
    made = []
    for name, design, sample, scale in (("r1", "Auk", "1", 1.0), ("r2", "Auk", "2", 1.004)):
        curves = made_runs.standard_curves(noise=0.002, scale=scale)
        influence = made_runs.scale_influence("thrust", curves, 0.004, key="rig loft thrust scale")
        made.append(
            made_runs.run(
                name,
                design=design,
                sample=sample,
                curves=curves,
                influences=(influence,),
                figures=(inertia_figure(name),),
            )
        )
    plain = {name: curve for name, curve in made_runs.standard_curves().items() if name != "torque"}
    absent = {"torque": "the rig has no torque channel"}
    made.append(made_runs.run("r3", design="Tern", curves=plain, absent=absent))
    return made


def book() -> Book:
    """The book that the runs belong to."""
    rows = (("r1", "Auk", "1"), ("r2", "Auk", "2"), ("r3", "Tern", "1"))
    listed = tuple(
        Run(name, "spring", design, sample, name, "ramp", {"log": f"{name}.csv"}, "2026-03-01", None)
        for name, design, sample in rows
    )
    plans = {name: ChannelPlan(name) for name in ("time", "speed", "thrust", "torque")}
    rig = Rig("loft", "Loft", plans, motor="m1", supply_voltage=15.0)
    designs = {
        name: Design(name, diameter=made_runs.DIAMETER, pitch=4.5 * INCH, blades=2) for name in ("Auk", "Tern", "Skua")
    }
    return Book(
        root=".",
        title="",
        owner="",
        standard_density=made_runs.DENSITY0,
        comparison_thrusts=(500 * GF,),
        comparison_speeds=(),
        class_edges=(),
        designs=designs,
        samples={},
        motors={motor.name: motor for motor in (MOTOR, OTHER, BARE)},
        campaigns={"spring": Campaign("spring", rig, MOTOR, listed)},
    )
