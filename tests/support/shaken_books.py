"""A book whose stand has an accelerometer: a propeller as it is, with a trial mass, and turned on its hub."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from isothrust.virtual import COMMA, Accelerometer, Mode, Stand, Unbalance, rig_toml, simulate
from support.shaken import DESIGN, shaken_plan

__all__ = ["OWN", "PUT", "RADIUS", "write_shaken_book"]

OWN = Unbalance(blade=1.0e-6 * np.exp(0.7j), hub=0.5e-6 * np.exp(2.5j))
PUT = 1.1e-6 * np.exp(1j * np.radians(25.0))
RADIUS = 0.02
_METER = Accelerometer(rate=6400.0, mark=True, modes=(Mode(38.0), Mode(120.0, 0.05), Mode(730.0)))
_HEADS = (
    "run,design,sample,mounting,kind,log,vibration,date,temperature [degC],pressure [hPa],humidity [%],"
    "trial mass [g],trial radius [mm],trial angle [deg],turned [deg]"
)


def write_shaken_book(root: Path) -> Path:
    """Write the book: v1 and v2 as it is, v3 with the trial mass, v4 turned."""
    changes = {"v1": OWN, "v2": OWN, "v3": replace(OWN, trial=PUT), "v4": replace(OWN, turned=True)}
    plans = [replace(shaken_plan(_METER), name=name, unbalance=each) for name, each in changes.items()]
    rows = [_HEADS]
    files: dict[str, bytes] = {}
    for run in simulate(plans, 9):
        name, air = run.plan.name, run.plan.read_air
        trial = f"{abs(PUT) / RADIUS * 1e3:.6g},{RADIUS * 1e3:g},25" if name == "v3" else ",,"
        mounting = {"v2": "m2", "v4": "m3"}.get(name, "m1")
        read = f"{air.temperature - 273.15:.2f},{air.pressure / 100:.2f},{air.humidity * 100:.1f}"
        turned = "180" if name == "v4" else ""
        rows.append(
            f"{name},{DESIGN.name},a,{mounting},ramp,{name}.csv,{name}-vib.csv,2026-03-01,{read},{trial},{turned}"
        )
        files[f"{name}.csv"] = run.log_bytes(COMMA)
        files[f"{name}-vib.csv"] = run.vibration_bytes()
    stand = replace(Stand(), accelerometer=_METER)
    texts = {
        "book.toml": 'title = "Shaken"\ncomparison_thrusts = ["600 gf"]\n',
        "propellers.csv": f"design,diameter [in],blades,mass [g]\n{DESIGN.name},{DESIGN.diameter / 0.0254:g},3,4.2\n",
        "motors.csv": "motor,kv [rpm/V],resistance [ohm],rotor mass [g]\n" + f"{plans[0].drive.name},1700,0.06,12\n",
        "rigs/loft.toml": rig_toml(stand, plans[0].drive, COMMA),
        "campaigns/spring/campaign.toml": 'rig = "loft"\n',
        "campaigns/spring/runs.csv": "\n".join(rows) + "\n",
    }
    for name, text in texts.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    for name, content in files.items():
        path = root / "campaigns" / "spring" / "raw" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    return root
