"""Write runs/: `python tests/logs/make_runs.py`. The files are committed: a book of good runs and of one fault each."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))

from logs.run_beside import BESIDE  # noqa: E402
from logs.run_book import Row, book_files, campaigns_of, rig_text  # noqa: E402
from logs.run_campaigns import campaign_rows  # noqa: E402
from logs.run_logs import GROUPS, BadRun, bad_runs, named_cases  # noqa: E402

RUNS = HERE / "runs"
NO_RUN = ("air", "air-implausible-2")
"""72 degC in a row: no book is read with it, so no run can have it."""


def all_faults() -> list[tuple[str, str]]:
    """Return group and name of every bad run."""
    return [(group, name) for group in GROUPS for name in named_cases(group) if (group, name) != NO_RUN]


def bad_rows(wanted: Sequence[tuple[str, str]]) -> Iterator[Row]:
    """Yield the rows of bad runs, in the order in which they are asked for."""
    made = {(bad.job.run.campaign, bad.name): bad for bad in bad_runs(wanted)}
    for key in wanted:
        bad = made[key]
        yield Row(bad.job, rig_text(bad.job, bad.logger), bad.log(), expected=expected_of(bad))


def expected_of(bad: BadRun) -> str:
    """Return what has to be found, from what was planted."""
    beside = [f'"{code}"' for code in BESIDE.get(bad.name, ())]
    allowed = f"beside = [{', '.join(beside)}]\n" if beside else ""
    return f'fault = "{bad.case.fault}"\nfinding = "{bad.case.code}"\n{allowed}'


def files(rows: Iterable[Row]) -> dict[str, bytes]:
    """Return the files of the book by name."""
    return book_files(campaigns_of(rows))


def main() -> None:
    written = files([*campaign_rows(), *bad_rows(all_faults())])
    shutil.rmtree(RUNS, ignore_errors=True)
    for name, data in written.items():
        path = RUNS / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)


if __name__ == "__main__":
    main()
