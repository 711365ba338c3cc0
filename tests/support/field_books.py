"""Two complete books of other people's recordings in ../shared/field: written for a test, never kept."""

from __future__ import annotations

import shutil
from pathlib import Path

from support.field import FIELD, RIGS

THESIS = {"datura-2.5": 2.5, "datura-3.0": 3.0, "datura-3.5": 3.5, "datura-4.9": 4.9}
"""Design -> diameter [in]."""


def write(root: Path, texts: dict[str, str]) -> None:
    for name, text in texts.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


def lever_book(root: Path) -> Path:
    """A run of the lever bench; neither propeller nor air are known."""
    write(
        root,
        {
            "book.toml": 'title = "Lever bench"\ncomparison_thrusts = ["500 gf"]\ncomparison_speeds = ["8000 rpm"]\n',
            "propellers.csv": "design,diameter [in],blades\nunknown,,2\n",
            "rigs/uni-lever-16v3.toml": (RIGS / "uni-lever-16v3.toml").read_text(encoding="utf-8"),
            "campaigns/july/campaign.toml": 'rig = "uni-lever-16v3"\n',
            "campaigns/july/runs.csv": "run,design,sample,mounting,kind,log\nr1,unknown,a,1,holds,Motor_16p3.txt\n",
        },
    )
    raw = root / "campaigns" / "july" / "raw"
    raw.mkdir()
    shutil.copyfile(FIELD / "uni-lever-16v3" / "Motor_16p3.txt", raw / "Motor_16p3.txt")
    return root


def thesis_book(root: Path) -> Path:
    """Four propellers of one motor; diameters are known, speed and air are not; one recording is another bench's."""
    designs = "".join(f"{name},{inches},2\n" for name, inches in THESIS.items())
    rows = "".join(f"r{k},{name},a,1,holds,{name}.csv\n" for k, name in enumerate(THESIS, start=1))
    rows += "r9,datura-2.5,b,2,holds,prose.csv\n"
    write(
        root,
        {
            "book.toml": 'title = "Thesis"\ncomparison_thrusts = ["60 gf"]\n',
            "propellers.csv": f"design,diameter [in],blades\n{designs}",
            "rigs/thesis-minibench.toml": (RIGS / "thesis-minibench.toml").read_text(encoding="utf-8"),
            "campaigns/thesis/campaign.toml": 'rig = "thesis-minibench"\n',
            "campaigns/thesis/runs.csv": f"run,design,sample,mounting,kind,log\n{rows}",
        },
    )
    raw = root / "campaigns" / "thesis" / "raw"
    raw.mkdir()
    for name in THESIS:
        shutil.copyfile(FIELD / "thesis-minibench" / f"{name}.csv", raw / f"{name}.csv")
    shutil.copyfile(FIELD / "LOG.md", raw / "prose.csv")
    return root
