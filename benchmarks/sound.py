"""What the sound of a run costs, as a ratio to the bare cost of reading its samples and one Welch pass over them.

Run as `.venv/bin/python benchmarks/sound.py`. A ramp of 12 s with sound at 48 kHz, 24 bits: levels, bands, tones,
ratios, loudness, sharpness and the map, with a tachometer and without one. The aim, shared with vibration: 8 times the
bare cost of both, within 400 MB.
"""

from __future__ import annotations

import resource
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import soundfile
from scipy.signal import welch

from isothrust.ingest.besides import read_besides
from isothrust.reduction import reduce_run
from support.heard import Case, heard_case

TURNS = 9


def main() -> None:
    """Print the ratios, the median of several turns taken alternately."""
    with tempfile.TemporaryDirectory() as folder:
        for speed in (True, False):
            case = heard_case(1, speed=speed)
            path = Path(folder) / "r1.wav"
            path.write_bytes(case.heard.wav_bytes())
            _compare(case, path, "with a tachometer" if speed else "by the sound alone")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(f"greatest memory of this process, simulation included: {peak:.0f} MB")


def _compare(case: Case, path: Path, what: str) -> None:
    def bare() -> None:
        values, rate = soundfile.read(path, dtype="float64")
        welch(values, rate, nperseg=4096)

    silent = {name: each for name, each in case.recording.channels.items() if name != "sound"}
    plain = type(case.recording)("r1", silent, case.recording.sources)

    def read() -> None:
        read_besides({"background": str(path)}, case.job.rig, "r1")

    def whole() -> None:
        reduce_run(case.recording, case.job)

    def without() -> None:
        reduce_run(plain, case.job)

    base, reading, all_of_it, rest = _medians(bare, read, whole, without)
    spent = reading + all_of_it - rest
    print(
        f"{what}: bare {1e3 * base:.0f} ms, reading {1e3 * reading:.0f} ms, sound in the reduction "
        f"{1e3 * (all_of_it - rest):.0f} ms, ratio {spent / base:.1f}"
    )


def _medians(*ways: Callable[[], None]) -> list[float]:
    spent: list[list[float]] = [[] for _ in ways]
    for _ in range(TURNS):
        for place, way in enumerate(ways):
            begin = time.process_time()
            way()
            spent[place].append(time.process_time() - begin)
    return [statistics.median(each) for each in spent]


if __name__ == "__main__":
    main()
