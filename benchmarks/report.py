"""The report of a campaign of 60 designs: how long it takes, how large it is, how soon it can be used.

Run as `.venv/bin/python benchmarks/report.py [BOOK]`. Without BOOK one is written and reduced first, which takes a
minute. The aims: within 10 s and 6 MB, and usable within 1 s of opening, on two quiet cores. Seconds stand beside how
many times the reading of the same stored runs they are, so that machines can be compared.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from isothrust.book.store import read_reduced

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

PROGRAM = "from isothrust.cli import main; main()"
SECONDS, MEGABYTES, USABLE = 10.0, 6.0, 1.0
OPENINGS = 5
# Ready, the ranking and the first chart drawn.
IN_USE = "document.documentElement.dataset.ready && document.querySelector('[data-chart] .view svg .mark-line path')"


def book_of(arguments: list[str], scratch: Path) -> Path:
    from support.large_books import write_large_book

    if arguments:
        return Path(arguments[0])
    print("writing a book of 60 designs")
    write_large_book(scratch)
    subprocess.run([sys.executable, "-c", PROGRAM, "reduce"], cwd=scratch, check=True, stdout=subprocess.DEVNULL)
    return scratch


def usable_after(page: Path) -> tuple[float, float]:
    """Return seconds from the start of the navigation to the ranking that answers, and to the first chart."""
    from support.browser import open_browser

    ready, drawn = [], []
    with open_browser() as browser:
        for _ in range(OPENINGS):
            window = browser.new_page(viewport={"width": 1440, "height": 2400})
            window.goto(page.as_uri(), wait_until="commit")
            window.wait_for_function(IN_USE, polling=20)
            drawn.append(window.evaluate("performance.now()") / 1e3)
            ready.append(float(window.evaluate("document.documentElement.dataset.ready")) / 1e3)
            window.close()
    return statistics.median(ready), statistics.median(drawn)


def main() -> None:
    with tempfile.TemporaryDirectory() as scratch:
        book = book_of(sys.argv[1:], Path(scratch))
        out = Path(scratch) / "report.html"
        start = time.perf_counter()
        runs = len(read_reduced(book))
        reading = time.perf_counter() - start
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", PROGRAM, "report", "--out", str(out)], cwd=book, check=True)
        seconds, size = time.perf_counter() - start, out.stat().st_size / 1e6
        ready, usable = usable_after(out)
    print(f"{runs} runs: {seconds:.1f} s (at most {SECONDS:.0f}), {seconds / reading:.1f} times the reading alone")
    print(f"{size:.1f} MB (at most {MEGABYTES:.0f})")
    print(f"the ranking answers after {ready:.2f} s")
    print(f"usable, its first chart drawn, after {usable:.2f} s (at most {USABLE:.0f}), median of {OPENINGS} openings")
    if seconds > SECONDS or size > MEGABYTES or usable > USABLE:
        sys.exit("an aim is missed")


if __name__ == "__main__":
    main()
