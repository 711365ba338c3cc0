"""How long the command line takes to answer, as a ratio to a bare Python in the same run.

Run as `.venv/bin/python benchmarks/startup.py`. The aim: `isothrust --help` within 6 times `python -c pass`, no numpy.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

ROUNDS = 25
LIMIT = 6.0

BARE = [sys.executable, "-c", "pass"]
HELP = [sys.executable, "-c", "import sys; from isothrust.cli import main; sys.argv[1:] = ['--help']; main()"]
QUANTITIES = [sys.executable, "-c", "import isothrust.quantities"]


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> None:
    cases = {"bare": BARE, "--help": HELP, "quantities": QUANTITIES}
    for command in cases.values():
        seconds(command)  # bytecode and disk are warm afterwards
    # Taken in turns, so that whatever else the machine does falls on all alike.
    taken: dict[str, list[float]] = {name: [] for name in cases}
    for _ in range(ROUNDS):
        for name, command in cases.items():
            taken[name].append(seconds(command))
    bare = statistics.median(taken["bare"])
    for name, times in taken.items():
        middle = statistics.median(times)
        print(f"{name:18} {middle * 1e3:7.1f} ms   {middle / bare:5.1f} times a bare start")
    if statistics.median(taken["--help"]) > LIMIT * bare:
        sys.exit(f"--help takes more than {LIMIT:g} bare starts")


if __name__ == "__main__":
    main()
