"""Time and memory of reading and reducing one run, as ratios within one run of this program.

Run as `.venv/bin/python benchmarks/reduce_run.py`. The aim: a 14 s run of 8 channels at 1 kHz within 5 times the bare
reading of its file by polars, and within 150 MB beyond the imports; all checks of the run together cost no more than
the rest of its reduction.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from unittest import mock

ROUNDS = 15
TIMES, MEGABYTES = 5.0, 150.0
DURATION = 14.0

MEMORY = """
import resource, sys
import psutil
from isothrust.workflows.jobs import JobFailure, reduce_job
sys.path.insert(0, {here!r})
from reduce_run import job_of
job = job_of({folder!r})
before = psutil.Process().memory_info().rss
if isinstance(reduce_job(job), JobFailure):
    sys.exit("the run was not reduced")
print(before, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024)
"""


def write_run(folder: Path) -> None:
    """Write a log of time, throttle, speed, thrust, two torque cells, voltage and current, and its rig."""
    from isothrust.virtual.demo_designs import BENCHES, DESIGNS
    from isothrust.virtual.plans import RunPlan
    from isothrust.virtual.rigtext import rig_toml
    from isothrust.virtual.schedules import ramp
    from isothrust.virtual.simulation import simulate

    bench = next(bench for bench in BENCHES if bench.stand.rate == 1000.0)
    rest = 2.0
    schedule = ramp(rest=rest, rise=DURATION - rest - 3.3, plateau=0.3, end=3.0)
    plan = RunPlan("r01", DESIGNS[1], bench.drive, bench.stand, schedule)
    (run,) = simulate([plan], 7)
    (folder / "r01.csv").write_bytes(run.log_bytes(bench.dialect))
    (folder / "rig.toml").write_text(rig_toml(bench.stand, bench.drive, bench.dialect), encoding="utf-8")


def job_of(folder: str):  # noqa: ANN201
    """Return the job of that run."""
    from isothrust.book.rigfile import parse_rig
    from isothrust.records.air import Air, AirReading
    from isothrust.records.book import Design, Run
    from isothrust.records.job import RunJob

    rig, _ = parse_rig(Path(folder) / "rig.toml")
    air = Air(AirReading(288.15, 0.3, "run"), AirReading(101325.0, 60.0, "run"), AirReading(0.5, 0.03, "run"))
    run = Run("r01", "spring", "A", "1", "1", "ramp", {"log": "r01.csv"}, "", air)
    return RunJob(
        run, rig, Design("A", diameter=0.1778, blades=2), None, 1.225, {"log": str(Path(folder) / "r01.csv")}, {}
    )


def median(work: Callable[[], object]) -> float:
    work()
    taken = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def checking(work: Callable[[], object]) -> float:
    """Return the share of the checks of a run in the time that `work` takes to reduce it without reading."""
    from isothrust.reduction import run as reducing

    taken = [0.0, 0.0]

    def timed(place: int, call: Callable[..., object]) -> Callable[..., object]:
        def timing(*given: object, **named: object) -> object:
            start = time.perf_counter()
            try:
                return call(*given, **named)
            finally:
                taken[place] += time.perf_counter() - start

        return timing

    with (
        mock.patch.object(reducing, "examine", timed(0, reducing.examine)),
        mock.patch("isothrust.workflows.jobs.reduce_run", timed(1, reducing.reduce_run)),
    ):
        for _ in range(ROUNDS):
            work()
    return taken[0] / taken[1]


def main() -> None:
    import polars as pl

    from isothrust.ingest import read_recording
    from isothrust.workflows.jobs import JobFailure, reduce_job

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_run(folder)
        job = job_of(name)
        log = job.files["log"]
        rows = pl.read_csv(log)
        print(f"{rows.height} rows of {rows.width} columns, {Path(log).stat().st_size / 1e6:.2f} MB")
        outcome = reduce_job(job)
        if isinstance(outcome, JobFailure):
            sys.exit("\n".join(problem.text() for problem in outcome.problems))
        bare = median(lambda: pl.read_csv(log))
        read = median(lambda: read_recording("r01", job.files, job.rig))
        whole = median(lambda: reduce_job(job))
        print(f"bare reading by polars   {bare * 1e3:8.2f} ms")
        print(f"reading the recording    {read * 1e3:8.2f} ms  {read / bare:6.1f} times")
        print(f"reading and reducing     {whole * 1e3:8.2f} ms  {whole / bare:6.1f} times")
        checks = checking(lambda: reduce_job(job))
        print(f"checks of the run        {checks / (1.0 - checks):8.2f} times the rest of its reduction")
        program = MEMORY.format(here=str(Path(__file__).parent), folder=name)
        out = subprocess.run([sys.executable, "-c", program], check=True, capture_output=True, text=True).stdout
    before, peak = (int(word) for word in out.split())
    beyond = (peak - before) / 1e6
    print(f"memory beyond imports    {beyond:8.1f} MB  (imports {before / 1e6:.0f} MB)")
    if whole > TIMES * bare or beyond > MEGABYTES or checks > 0.5:
        sys.exit(f"more than {TIMES:g} times the bare reading, {MEGABYTES:g} MB, or checks dearer than the reduction")


if __name__ == "__main__":
    main()
