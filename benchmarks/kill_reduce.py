"""`reduce` in earnest, killed at 50 random moments and after every rename: the next completes it to the same bytes.

Run as `.venv/bin/python benchmarks/kill_reduce.py [MOMENTS]`. Two processes work on it; it takes some minutes.
"""

from __future__ import annotations

import random
import shutil
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from isothrust.workflows.reduce import reduce_book
from support.killed import run_killed
from support.small_books import tree

MOMENTS = 50


def write_book(root: Path) -> None:
    """Write a book of a few simulated runs: among them one cut short before its coast, and one that fails."""
    from isothrust.virtual.demo_designs import BENCHES, DESIGNS, MOTORS
    from isothrust.virtual.plans import RunPlan
    from isothrust.virtual.rigtext import rig_toml
    from isothrust.virtual.schedules import holds, ramp, steps
    from isothrust.virtual.simulation import simulate

    bench = BENCHES[0]
    plan = RunPlan("r1", DESIGNS[1], bench.drive, bench.stand)
    plans = [
        replace(plan, name="r1", schedule=ramp(rise=4.0)),
        replace(plan, name="r2", schedule=ramp(rise=4.0, end=0.2)),
        replace(plan, name="r3", schedule=holds([0.4, 0.7, 1.0], stay=1.5)),
        replace(plan, name="r4", schedule=steps(low=0.3, high=0.8, repeats=3)),
    ]
    rows = ["run,design,sample,kind,log,temperature [degC],pressure [hPa],humidity [%]"]
    texts = {
        "book.toml": 'title = "Killed"\n',
        "propellers.csv": f"design,diameter [mm],blades\n{DESIGNS[1].name},{DESIGNS[1].diameter * 1e3},2\n",
        "motors.csv": f"motor\n{MOTORS[0].name}\n",
        "rigs/loft.toml": rig_toml(bench.stand, bench.drive, bench.dialect),
        "campaigns/c/campaign.toml": 'rig = "loft"\n',
    }
    raw = root / "campaigns/c/raw"
    raw.mkdir(parents=True)
    for run in simulate(plans, 3):
        (raw / f"{run.plan.name}.csv").write_bytes(run.log_bytes(bench.dialect))
        rows.append(f"{run.plan.name},{DESIGNS[1].name},1,{run.plan.schedule.kind},{run.plan.name}.csv,15,1013,50")
    (raw / "r5.csv").write_text("rain\n")
    rows.append(f"r5,{DESIGNS[1].name},1,ramp,r5.csv,15,1013,50")
    texts["campaigns/c/runs.csv"] = "\n".join(rows) + "\n"
    for name, text in texts.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")


def main() -> None:
    moments = int(sys.argv[1]) if len(sys.argv) > 1 else MOMENTS
    draw = random.Random(5)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_book(folder / "book")
        whole = shutil.copytree(folder / "book", folder / "whole")
        renames = run_killed("reduce", whole)
        assert renames is not None
        start = time.perf_counter()
        reduce_book(shutil.copytree(folder / "book", folder / "timed"))
        lasts = 1.3 * (time.perf_counter() - start)
        expected = tree(whole)

        def one(case: tuple[str, int, float | None]) -> str:
            label, after_rename, after_seconds = case
            killed = shutil.copytree(folder / "book", folder / label)
            gone = run_killed("reduce", killed, after_rename=after_rename, after_seconds=after_seconds) is None
            run_killed("reduce", killed)
            same = tree(killed) == expected
            shutil.rmtree(killed)
            return ("killed, " if gone else "was done before, ") + ("same bytes" if same else "DIFFERENT")

        cases: list[tuple[str, int, float | None]] = [(f"rename {k}", k, None) for k in range(1, renames + 1)]
        cases += [(f"moment {k}", 0, draw.uniform(0.0, lasts)) for k in range(moments)]
        with ThreadPoolExecutor(2) as pool:
            told = list(pool.map(one, cases))
    for (label, _, seconds), what in zip(cases, told, strict=True):
        print(f"{label:12}" + ("" if seconds is None else f"{seconds:7.2f} s ") + what)
    print(f"{renames} renames, {moments} moments within {lasts:.1f} s: {sum('same' in what for what in told)} the same")
    if any("DIFFERENT" in what for what in told):
        sys.exit(1)


if __name__ == "__main__":
    main()
