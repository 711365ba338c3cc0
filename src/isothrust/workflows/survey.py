"""A folder of unknown recordings looked through: which logs share a layout, and what is no log."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from isothrust.errors import LogError, UsageError, Where
from isothrust.ingest.mapping import Look, layout_key, looks_at, map_layout
from isothrust.records.mapping import LayoutMapping
from isothrust.workflows.filenames import FileRole, role_of, run_name
from isothrust.workflows.incoming import recordings_in

__all__ = ["LayoutFound", "LeftOut", "Progress", "Survey", "survey_folder"]

Progress = Callable[[int, int, str], None]
"""Called with how many files are done, how many there are, and which is the next."""

_FEWEST_ROWS = 3


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A file of the folder that is not taken into the book."""

    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class LayoutFound:
    """Logs of one layout, with the vibration and sound files of the same runs."""

    mapping: LayoutMapping
    looks: tuple[Look, ...]
    vibration: LayoutMapping | None
    beside: Mapping[str, Mapping[str, str]]
    """Run's name -> 'vibration' or 'sound' -> path under the folder."""


@dataclass(frozen=True, slots=True)
class Survey:
    """What is in a folder."""

    layouts: tuple[LayoutFound, ...]
    """The one with most logs first."""
    left_out: tuple[LeftOut, ...]


def survey_folder(folder: Path, progress: Progress | None = None) -> Survey:
    """Look through a folder; nothing in it is touched.

    Raises
    ------
    UsageError
        `no-folder`, or `no-logs` with the reason for each of the first files.
    """
    names = recordings_in(folder)
    left_out = [LeftOut(name, "no recording by its name's ending") for name in names if role_of(name) is None]
    named = [(name, role) for name in names if (role := role_of(name)) is not None]
    looks: list[Look] = []
    roles: dict[str, FileRole] = {}
    waves: dict[str, str] = {}
    for done, (name, role) in enumerate(named):
        if progress is not None:
            progress(done, len(named), name)
        if role == "sound":
            waves[run_name(name)] = name
            continue
        try:
            found, none = looks_at(folder / name, name)
        except LogError as error:
            left_out.append(LeftOut(name, error.problems[0].what))
            continue
        left_out += [LeftOut(inner, reason) for inner, reason in none.items()]
        left_out += [LeftOut(look.name, reason) for look in found if (reason := _of_no_use(look))]
        of_use = [look for look in found if not _of_no_use(look)]
        looks += of_use
        roles |= {look.name: role for look in of_use}
    if not looks:
        raise _no_logs(folder, left_out, list(waves.values()))
    layouts, alone = _layouts(looks, roles, waves)
    left_out += [LeftOut(name, "a sound of no run that has a log") for name in alone]
    return Survey(layouts, tuple(sorted(left_out, key=lambda each: each.name)))


def _of_no_use(look: Look) -> str:
    if look.table.dialect.width < 2:
        return "one column of numbers: no recording of a run (a calibration perhaps)"
    return f"no more than {look.rows} rows" if look.rows < _FEWEST_ROWS else ""


def _layouts(
    looks: Sequence[Look], roles: Mapping[str, FileRole], waves: Mapping[str, str]
) -> tuple[tuple[LayoutFound, ...], list[str]]:
    """Group logs by layout; vibration files go with the log of the same run, and count as logs where there is none."""
    logs = {run_name(look.name): look for look in looks if roles[look.name] == "log"}
    beside = {run_name(look.name): look for look in looks if roles[look.name] == "vibration"}
    partners = {name: look for name, look in beside.items() if name in logs}
    groups: dict[tuple[str, ...], list[Look]] = {}
    for look in looks:
        if look.name not in {partner.name for partner in partners.values()}:
            groups.setdefault(layout_key(look), []).append(look)
    found = []
    for group in sorted(groups.values(), key=lambda group: (-len(group), group[0].name)):
        runs = [run_name(look.name) for look in group]
        with_them = [partners[run] for run in runs if run in partners]
        kept = [look for look in with_them if layout_key(look) == layout_key(with_them[0])]
        files = {
            run: {
                **({"vibration": partners[run].name} if run in partners and partners[run] in kept else {}),
                **({"sound": waves[run]} if run in waves else {}),
            }
            for run in runs
        }
        found.append(LayoutFound(map_layout(group), tuple(group), map_layout(kept) if kept else None, files))
    taken = {name for layout in found for files in layout.beside.values() for name in files.values()}
    return tuple(found), [name for name in waves.values() if name not in taken]


def _no_logs(folder: Path, left_out: Sequence[LeftOut], waves: Sequence[str]) -> UsageError:
    told = [f"{each.name}: {each.reason}" for each in left_out[:3]]
    told += [f"{len(left_out) - 3} more"] if len(left_out) > 3 else []
    told += [f"{len(waves)} sound files, which need a log beside them"] if waves else []
    return UsageError(
        f"{folder} holds no log that can be read" + (f" ({'; '.join(told)})" if told else ": it is empty"),
        code="no-logs",
        where=Where(str(folder)),
        expected="logs: text, plain or gzip, workbooks, Parquet, MATLAB or HDF5 files, zip; three rows at least",
        fix="name the folder that the bench wrote to, or convert its recordings to CSV",
    )
