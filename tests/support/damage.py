"""Files damaged at random and read: what a child process does that a test watches, since native readers may crash.

`python -m support.damage FORMAT COUNT SEED FOLDER` prints one line a file: the reading's outcome and its time [s].
"""

from __future__ import annotations

import random
import resource
import sys
import time
import warnings
from pathlib import Path

from isothrust.errors import IsothrustError
from isothrust.ingest.readers.choosing import contents_of
from support.formats import WRITERS

__all__ = ["damaged", "main"]

_PIECES = (b"\n", b",", b";", b'"', b"\x00", b"\xff" * 8, b"1e999", b"nan", b"\t\t", b"\x00" * 64, b"PK\x03\x04")


def damaged(data: bytes, draw: random.Random) -> bytes:
    """Return the bytes after one to six injuries: bits flipped, pieces cut, put in, doubled, or the end missing."""
    for _ in range(draw.randint(1, 6)):
        if not data:
            break
        at, length = draw.randrange(len(data)), draw.choice([1, 2, 8, 64, 500])
        kind = draw.choice(["flip", "flip", "flip", "drop", "insert", "double", "cut", "swap"])
        if kind == "flip":
            data = data[:at] + bytes([data[at] ^ (1 << draw.randrange(8))]) + data[at + 1 :]
        elif kind == "drop":
            data = data[:at] + data[at + length :]
        elif kind == "insert":
            data = data[:at] + draw.choice(_PIECES) + data[at:]
        elif kind == "double":
            data = data[:at] + data[at : at + length] + data[at:]
        elif kind == "swap":
            data = data.replace(b",", draw.choice([b";", b"\t", b" ", b"|", b",,"]), draw.choice([1, -1]))
        elif draw.random() < 0.3:
            data = data[:at]
    return data


def main(words: list[str]) -> None:
    """Damage and read so many files of a format; whatever is raised that is no error of ours ends the process."""
    warnings.simplefilter("ignore")
    name, count, seed, folder = words[0], int(words[1]), int(words[2]), Path(words[3])
    file, write = WRITERS[name]
    write(folder / file)
    whole = (folder / file).read_bytes()
    contents_of(folder / file)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    for k in range(count):
        (folder / file).write_bytes(damaged(whole, random.Random(f"{seed} {k}")))
        start = time.perf_counter()
        try:
            contents_of(folder / file)
            outcome = "read"
        except IsothrustError as error:
            told = [problem for problem in error.problems if problem.what and problem.fix]
            outcome = error.problems[0].code if len(told) == len(error.problems) else "untold"
        sys.stdout.write(f"{outcome} {time.perf_counter() - start:.3f}\n")
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    sys.stdout.write(f"grown {(after - before) * 1024} {len(whole)}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
