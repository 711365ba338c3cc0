"""How long a log takes to read into channels, as a ratio to polars' own read_csv of the same file, taken in turns.

Run as `.venv/bin/python benchmarks/reading.py`. The aims: a run of 14 s at 1 kHz and 8 channels within 2 times the bare
reader, a log of 100 MB within 1.5 times; memory beyond the imports is told for both. Dialects that polars does not read
by itself are set against its reading of the plain file.
"""

from __future__ import annotations

import math
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl

from isothrust.ingest import read_recording
from isothrust.records.rig import ChannelPlan, ColumnPick, Rig

HEADS = ("t", "cmd", "rpm", "axial", "left", "right", "volt", "amp")
SHORT, LONG = 14_000, 1_700_000
GF, RPM = 0.00980665, 2.0 * math.pi / 60.0


def rig() -> Rig:
    def plan(quantity: str, head: str, unit: str, factor: float = 1.0, sign: float = 1.0) -> ChannelPlan:
        return ChannelPlan(quantity, (ColumnPick(head=head),), unit=unit, factor=factor, sign=sign)

    arms = (ColumnPick(head="left", arm=0.021), ColumnPick(head="right", arm=-0.021))
    plans = [
        plan("time", "t", "s"),
        plan("throttle", "cmd", "%", 0.01),
        plan("speed", "rpm", "rpm", RPM),
        plan("thrust", "axial", "gf", GF, -1.0),
        ChannelPlan("torque", arms, unit="gf", factor=GF),
        plan("voltage", "volt", "V"),
        plan("current", "amp", "A"),
    ]
    return Rig("bench", "Bench", {each.quantity: each for each in plans})


def write_log(path: Path, rows: int, *, delimiter: str = ",", decimal: str = ".", blank: bool = False) -> None:
    noise = np.random.default_rng(5)
    time_s = np.arange(rows) / 1000.0
    ramp = np.clip(time_s % 14.0 - 1.0, 0.0, 10.0) / 10.0
    columns = [
        time_s,
        100.0 * ramp,
        24000.0 * np.sqrt(ramp) + noise.normal(0, 5, rows),
        -1500.0 * ramp + noise.normal(0, 3, rows),
        300.0 * ramp + noise.normal(0, 1, rows),
        -300.0 * ramp + noise.normal(0, 1, rows),
        24.0 - ramp + noise.normal(0, 0.01, rows),
        40.0 * ramp**1.5 + noise.normal(0, 0.1, rows),
    ]
    cells = pl.DataFrame({name: np.round(values, 3) for name, values in zip(HEADS, columns, strict=True)})
    if blank:  # a slow channel: filled in every tenth row
        cells = cells.with_columns(pl.when(pl.int_range(rows) % 10 == 0).then(pl.col("amp")).alias("amp"))
    cells.write_csv(path, separator=delimiter, float_precision=3, decimal_comma=decimal == ",")


def compare(name: str, ours: Callable[[], object], bare: Callable[[], object], rounds: int) -> float:
    ours(), bare()  # warm
    taken: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for times, read in zip(taken, (ours, bare), strict=True):
            start = time.perf_counter()
            read()
            times.append(time.perf_counter() - start)
    mine, other = (min(times) for times in taken)  # on a busy machine the least disturbed turn of each is comparable
    print(f"{name:34} {mine * 1e3:8.1f} ms   bare {other * 1e3:8.1f} ms   ratio {mine / other:5.2f}")
    return mine / other


def memory(path: Path) -> None:
    """Print the greatest memory beyond the imports [MB], of a fresh process for each reader."""
    for name in ("ours", "bare"):
        command = [sys.executable, __file__, "--memory", name, str(path)]
        print(
            f"  memory, {name}: {subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()} MB"
        )


def measure_memory(name: str, path: str) -> None:
    start = high_water()
    kept = read_recording("r", {"log": path}, rig()) if name == "ours" else pl.read_csv(path)
    print(f"{high_water() - start:.0f}" if kept is not None else "")


def high_water() -> float:
    """Return the greatest memory of this process so far [MB]; the kernel starts it anew with each program."""
    status = Path("/proc/self/status")
    if not status.exists():
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
    return int(line.split()[1]) / 1024


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        plain, long = Path(folder, "plain.csv"), Path(folder, "long.csv")
        write_log(plain, SHORT)

        def ours(path: Path) -> Callable[[], object]:
            return lambda: read_recording("r", {"log": str(path)}, rig())

        def bare(path: Path) -> Callable[[], object]:
            return lambda: pl.read_csv(path)

        print(f"{plain.stat().st_size / 1e6:.2f} MB, {SHORT} rows, 8 columns")
        short_ratio = compare("plain", ours(plain), bare(plain), 41)
        variants = {
            "semicolons and decimal commas": {"delimiter": ";", "decimal": ","},
            "tabs": {"delimiter": "\t"},
            "a slow channel, blank between": {"blank": True},
        }
        for name, options in variants.items():
            path = Path(folder, "variant.csv")
            write_log(path, SHORT, **options)  # type: ignore[arg-type]
            compare(name, ours(path), bare(plain), 21)
        irregular = {
            "cut off in the last row": plain.read_bytes()[:-9],
            "one ragged row, one broken cell": plain.read_bytes()
            .replace(b"\n7.000,", b"\n7.000,7,")
            .replace(b"\n8.0", b"\n8x0", 1),
            "runs of blanks": plain.read_bytes().replace(b",", b"   "),
        }
        for name, data in irregular.items():
            path = Path(folder, "irregular.csv")
            path.write_bytes(data)
            compare(name, ours(path), bare(plain), 21)
        memory(plain)
        write_log(long, LONG)
        print(f"{long.stat().st_size / 1e6:.0f} MB, {LONG} rows, 8 columns")
        long_ratio = compare("plain", ours(long), bare(long), 7)
        memory(long)
    if short_ratio > 2.0 or long_ratio > 1.5:
        sys.exit("slower than aimed at")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--memory"]:
        measure_memory(*sys.argv[2:4])
    else:
        main()
