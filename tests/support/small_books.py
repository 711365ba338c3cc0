"""Small books, written by hand, whose recordings are words for `fake_reduction`."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

RIG = """
motor = "m1"
[air]
temperature = "0.3 K"
[channels.time]
column = "t"
unit = "s"
[channels.thrust]
column = "f"
unit = "N"
"""
HEADS = "run,design,sample,mounting,kind,log,date,temperature [degC],pressure [hPa],humidity [%],note"


def row(run: str, design: str = "Auk", sample: str = "A1", kind: str = "ramp", note: str = "") -> str:
    return f"{run},{design},{sample},,{kind},{run}.csv,2026-03-01,20,1013,50,{note}"


def write_small_book(
    root: Path, logs: Mapping[str, str], rows: list[str] | None = None, *, campaign: str = "spring", rig: str = RIG
) -> Path:
    """Write a book with one campaign (or one more campaign into a book): `logs` maps a run to the words of its log."""
    texts = {
        "book.toml": 'title = "Small"\n',
        "propellers.csv": "design,diameter [in],note\nAuk,7,\nTern,5,\n",
        "motors.csv": "motor,rotor inertia [kg m2]\nm1,5e-6\n",
        "rigs/loft.toml": rig,
        f"campaigns/{campaign}/campaign.toml": 'rig = "loft"\n',
        f"campaigns/{campaign}/runs.csv": "\n".join([HEADS, *(rows or [row(run) for run in logs])]) + "\n",
    }
    texts |= {f"campaigns/{campaign}/raw/{run}.csv": words for run, words in logs.items()}
    for name, text in texts.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root


def tree(root: Path) -> dict[str, bytes]:
    """Return every file below a folder with its bytes."""
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in sorted(root.rglob("*")) if path.is_file()}
