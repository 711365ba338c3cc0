"""What `reduce` computed, in derived/: one Parquet file a run, readable by anything that reads Parquet.

A file holds no time stamp and no path, so that the same input gives the same bytes. It may be deleted at any time. One
that cannot be read, or was written with other columns, counts as not there: `reduce` then makes it anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

import numpy as np
import polars as pl

from isothrust.book.codec import decode, dtype_of, encode
from isothrust.book.rows import parquet_bytes, read_rows, schema_of
from isothrust.records.reduced import ReducedRun
from isothrust.records.result import Result
from isothrust.science.smoothing import evaluate
from isothrust.tables.atomic import TEMPORARY_SUFFIX, rename, write_bytes

__all__ = [
    "DERIVED",
    "GRID_POINTS",
    "Former",
    "FormerRun",
    "StoredRun",
    "forget_former",
    "read_former",
    "read_reduced",
    "read_results",
    "read_results_key",
    "read_stored",
    "remove_leftovers",
    "remove_other_runs",
    "run_file",
    "set_results_aside",
    "write_reduced",
    "write_results",
]

DERIVED: Final = "derived"
GRID_POINTS: Final = 101
"""Points of the plain grid beside each curve, even in x from its least to its greatest measured value."""
RESULTS_FILE: Final = "results.parquet"
FORMER_RESULTS: Final = ".former-results"
FORMER_RUNS: Final = ".former-runs"

_KEY: Final = "isothrust key"
_PARTS: Final = dtype_of(Mapping[str, str])
_STATE: Final[Mapping[str, pl.DataType]] = {
    "key": pl.String(),
    "base_key": pl.String(),
    "borrowed": pl.Boolean(),
    "parts": _PARTS,
}
_FORMER_RUN: Final[Mapping[str, pl.DataType]] = {
    "campaign": pl.String(),
    "run": pl.String(),
    "design": pl.String(),
    "parts": _PARTS,
}
_GRID: pl.DataType = pl.List(
    pl.Struct(
        {
            "curve": pl.String(),
            "x": pl.List(pl.Float64()),
            "value": pl.List(pl.Float64()),
            "standard_uncertainty": pl.List(pl.Float64()),
        }
    )
)


@dataclass(frozen=True, slots=True)
class StoredRun:
    """A reduced run with the hash of what it was computed from."""

    key: str
    """Of everything, a borrowed inertia included."""
    base_key: str
    """Of the run's own input alone."""
    borrowed: bool
    """True where the rotor inertia came from another run."""
    reduced: ReducedRun
    """A run that could not be reduced has no curves and no figures, and a fail finding that says why."""
    parts: Mapping[str, str] = field(default_factory=dict)
    """Short hashes of the parts of its input, to tell later which of them changed."""


@dataclass(frozen=True, slots=True)
class FormerRun:
    """A run as it was when the former results were computed."""

    design: str
    parts: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Former:
    """Results of an earlier `reduce`, and what they rested on."""

    results: tuple[Result, ...]
    runs: Mapping[tuple[str, str], FormerRun]


def run_file(root: str | Path, campaign: str, run: str) -> Path:
    """Return where a run's reduced form lies."""
    return Path(root) / DERIVED / campaign / f"{run}.parquet"


def write_reduced(root: str | Path, stored: StoredRun) -> None:
    """Write one run, whole or not at all."""
    row: dict[str, Any] = {"key": stored.key, "base_key": stored.base_key, "borrowed": stored.borrowed}
    row["parts"] = encode(stored.parts, Mapping[str, str])
    row |= encode(stored.reduced, ReducedRun)
    row["grids"] = _grids(stored.reduced)
    path = run_file(root, stored.reduced.campaign, stored.reduced.run)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_bytes(path, parquet_bytes([row], _run_schema()))


def read_reduced(
    root: str | Path, tell: Callable[[int, int, str], None] | None = None
) -> dict[tuple[str, str], StoredRun]:
    """Return every run in derived/ by (campaign, run), in that order; `tell` is called as they are read."""
    paths = sorted((Path(root) / DERIVED).glob("*/*.parquet"))
    found: dict[tuple[str, str], StoredRun] = {}
    for count, path in enumerate(paths, start=1):
        stored = read_stored(path)
        if stored is not None:
            found[stored.reduced.campaign, stored.reduced.run] = stored
        if tell is not None:
            tell(count, len(paths), "reading what was reduced before")
    return found


def read_stored(path: str | Path) -> StoredRun | None:
    """Return one stored run; None where there is none that this version can read."""
    rows = read_rows(Path(path), _run_schema())
    if rows is None or len(rows) != 1:
        return None
    plain = rows[0]
    try:
        reduced: ReducedRun = decode(plain, ReducedRun)
        parts: dict[str, str] = decode(plain["parts"], Mapping[str, str])
    except (TypeError, ValueError):  # A shape that does not fit its values, a null where there is none: damage.
        return None
    return StoredRun(plain["key"], plain["base_key"], plain["borrowed"], reduced, parts)


def remove_other_runs(root: str | Path, keep: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Delete what is stored of runs not in `keep`; return which."""
    wanted = set(keep)
    removed: list[tuple[str, str]] = []
    for path in sorted((Path(root) / DERIVED).glob("*/*.parquet")):
        name = (path.parent.name, path.stem)
        if name not in wanted:
            path.unlink()
            removed.append(name)
    for folder in (Path(root) / DERIVED).glob("*/"):
        if not any(folder.iterdir()):
            folder.rmdir()
    return tuple(removed)


def remove_leftovers(root: str | Path, campaigns: Iterable[str]) -> None:
    """Delete what killed writes have left: temporary files that never took their place.

    Only for the holder of the book's lock: nobody else is then writing.
    """
    folder = Path(root)
    places = [folder / DERIVED, *(folder / DERIVED).glob("*/"), *(folder / "campaigns" / name for name in campaigns)]
    for place in places:
        for path in place.glob(f".*{TEMPORARY_SUFFIX}"):
            path.unlink(missing_ok=True)


def write_results(root: str | Path, results: Sequence[Result], *, key: str = "") -> None:
    """Write the book's results: one row a result, its budget nested; `key` is the hash of what they rest on."""
    folder = Path(root) / DERIVED
    folder.mkdir(parents=True, exist_ok=True)
    rows = [encode(result, Result) for result in results]
    write_bytes(folder / RESULTS_FILE, parquet_bytes(rows, schema_of(Result), {_KEY: key}))


def read_results_key(root: str | Path) -> str | None:
    """Return the hash of what the stored results rest on; None where there are none, or none that says so."""
    path = Path(root) / DERIVED / RESULTS_FILE
    if not path.is_file():
        return None
    try:
        return pl.read_parquet_metadata(path).get(_KEY) or None
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException):
        return None


def read_results(root: str | Path) -> tuple[Result, ...] | None:
    """Return the stored results; None where there are none that this version can read."""
    return _results_in(Path(root) / DERIVED / RESULTS_FILE)


def set_results_aside(root: str | Path, stored: Mapping[tuple[str, str], StoredRun]) -> None:
    """Take the stored results away before a run changes, so that no kill leaves results of other runs behind.

    They become the former results, with the parts of the input that they rest on, until `forget_former`. Former ones
    that are there already stay: nobody was told yet what has moved since.
    """
    folder = Path(root) / DERIVED
    results = folder / RESULTS_FILE
    if not results.is_file():
        return
    if (folder / FORMER_RESULTS).is_file():
        results.unlink()
        return
    rows = [
        {"campaign": campaign, "run": run, "design": one.reduced.design, "parts": encode(one.parts, Mapping[str, str])}
        for (campaign, run), one in stored.items()
    ]
    # Written first: where the former results are, what they rest on is there as well.
    write_bytes(folder / FORMER_RUNS, parquet_bytes(rows, _FORMER_RUN))
    rename(results, folder / FORMER_RESULTS)


def read_former(root: str | Path) -> Former | None:
    """Return the former results, None where there are none that this version can read."""
    folder = Path(root) / DERIVED
    results = _results_in(folder / FORMER_RESULTS)
    if results is None:
        return None
    rows = read_rows(folder / FORMER_RUNS, _FORMER_RUN) or []
    runs = {
        (row["campaign"], row["run"]): FormerRun(row["design"], decode(row["parts"], Mapping[str, str])) for row in rows
    }
    return Former(results, runs)


def forget_former(root: str | Path) -> None:
    """Delete the former results: it was told what has moved since."""
    for name in (FORMER_RESULTS, FORMER_RUNS):
        (Path(root) / DERIVED / name).unlink(missing_ok=True)


def _results_in(path: Path) -> tuple[Result, ...] | None:
    rows = read_rows(path, schema_of(Result))
    return None if rows is None else tuple(decode(row, Result) for row in rows)


def _run_schema() -> dict[str, pl.DataType]:
    return {**_STATE, **schema_of(ReducedRun), "grids": _GRID}


def _grids(reduced: ReducedRun) -> list[dict[str, Any]]:
    grids = []
    for name, curve in reduced.curves.items():
        x = np.linspace(curve.low, curve.high, GRID_POINTS)
        value, uncertainty = evaluate(x, curve.knots, curve.coefficients, curve.covariance)
        grids.append(
            {"curve": name, "x": x.tolist(), "value": value.tolist(), "standard_uncertainty": uncertainty.tolist()}
        )
    return grids
