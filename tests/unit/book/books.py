"""Small books, written by hand, for the tests."""

from __future__ import annotations

from pathlib import Path

RIG = """
motor = "m1"
[air]
temperature = "0.3 K"
pressure = "0.6 hPa"
humidity = "3 %"
[supply]
voltage = "24 V"
[channels.time]
column = "t"
unit = "s"
[channels.thrust]
column = "f"
unit = "N"
"""

FILES = {
    "book.toml": 'title = "Loft"\nowner = "A. Tester"\n',
    "propellers.csv": "design,maker,diameter [in],pitch [in],blades,mass [g],max speed [rpm],note\n"
    'Auk,Inlet,7,4,2,9.1,20000,"grey, matt"\nTern,Inlet,5,4.3,3,,,\n',
    "motors.csv": "motor,kv [rpm/V],resistance [ohm],no-load current [A],pole pairs\nm1,1300,0.06,0.8,7\n",
    "rigs/loft.toml": RIG,
    "campaigns/spring/campaign.toml": 'rig = "loft"\n',
    "campaigns/spring/runs.csv": "run,design,sample,mounting,kind,log,vibration,sound,date,"
    "temperature [degC],pressure [hPa],humidity [%],note\n"
    "r01,Auk,A1,m1,ramp,r01.csv,,,2026-03-01,20,1013.25,50,\n"
    "r02,Tern,T1,,holds,r02.csv,r02v.csv,,2026-03-01,21,1012,48,second\n",
}


def write_book(root: Path, **changes: str | None) -> Path:
    """Write a book of two runs; `changes` maps a file (/ written as __, . as _dot_) to another text, or None."""
    files: dict[str, str | None] = dict(FILES)
    files |= {name.replace("__", "/").replace("_dot_", "."): text for name, text in changes.items()}
    for name, text in files.items():
        if text is not None:
            path = root / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    return root
