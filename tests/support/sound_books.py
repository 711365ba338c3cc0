"""Simulated runs that were heard, and books of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from isothrust.virtual import (
    TAB,
    Microphone,
    Propeller,
    RunPlan,
    Schedule,
    Stand,
    VirtualRun,
    Voice,
    make_propeller,
    ramp,
    rig_toml,
    simulate,
)

__all__ = ["heard_plan", "heard_propeller", "heard_runs", "write_sound_book"]

HEADS = "run,design,sample,mounting,kind,log,sound,date,temperature [degC],pressure [hPa],humidity [%],note"


def heard_propeller(name: str = "auk", *, blades: int = 2) -> Propeller:
    return make_propeller(name, diameter=0.1778, pitch=0.1016, blades=blades, ct=0.11, cp=0.05)


def heard_plan(
    name: str = "r1",
    *,
    microphone: Microphone | None = None,
    voice: Voice | None = None,
    schedule: Schedule | None = None,
    propeller: Propeller | None = None,
) -> RunPlan:
    return RunPlan(
        name,
        propeller or heard_propeller(),
        stand=replace(Stand(), microphone=microphone or Microphone()),
        schedule=schedule or ramp(),
        voice=voice or Voice(),
    )


def heard_runs(plans: Sequence[RunPlan], seed: int = 1) -> list[VirtualRun]:
    return simulate(plans, seed)


def write_sound_book(root: Path, runs: Sequence[VirtualRun], *, rig: str | None = None) -> Path:
    """Write a book with one campaign: a log and a WAV file a run."""
    plan = runs[0].plan
    rows, propellers = [], {}
    for run in runs:
        each, air = run.plan, run.plan.read_air
        kind = {"ramp-up-down": "ramp"}.get(each.schedule.kind, each.schedule.kind)
        where = f"{air.temperature - 273.15:.2f},{air.pressure / 100:.2f},{100 * air.humidity:.1f}"
        name = each.propeller.name
        rows.append(f"{each.name},{name},{each.sample},,{kind},{each.name}.tsv,{each.name}.wav,2026-03-01,{where},")
        size = f"{each.propeller.diameter / 0.0254:.2f},{each.propeller.pitch / 0.0254:.2f},{each.propeller.blades}"
        propellers[name] = f"{name},{size}"
    texts = {
        "book.toml": 'title = "Heard"\n',
        "propellers.csv": "\n".join(["design,diameter [in],pitch [in],blades", *propellers.values()]) + "\n",
        "motors.csv": f"motor,kv [rpm/V]\n{plan.drive.name},{plan.drive.kv:g}\n",
        "rigs/loft.toml": rig if rig is not None else rig_toml(plan.stand, plan.drive, TAB),
        "campaigns/spring/campaign.toml": 'rig = "loft"\n',
        "campaigns/spring/runs.csv": "\n".join([HEADS, *rows]) + "\n",
    }
    for path, text in texts.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text, encoding="utf-8")
    raw = root / "campaigns" / "spring" / "raw"
    raw.mkdir(parents=True, exist_ok=True)
    for run in runs:
        (raw / f"{run.plan.name}.tsv").write_bytes(run.log_bytes(TAB))
        if run.heard is not None:
            (raw / f"{run.plan.name}.wav").write_bytes(run.heard.wav_bytes())
    return root
