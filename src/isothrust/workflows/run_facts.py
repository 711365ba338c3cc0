"""What is known of a run beside its figures: its files read once more, with their hashes, and its zeros."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from isothrust.book.campaigns import CAMPAIGNS
from isothrust.book.hashes import RAW, file_sha256, read_hashes
from isothrust.errors import IsothrustError
from isothrust.ingest import read_recording
from isothrust.records.book import Book, Run
from isothrust.records.recording import Recording
from isothrust.records.reduced import ReducedRun
from isothrust.records.standing import last_decisions
from isothrust.records.trail import FileFacts, RunFacts, ZeroLevel
from isothrust.reduction.zero_levels import zero_levels
from isothrust.tables.inside import split_inside
from isothrust.workflows.rawnames import raw_name

__all__ = ["run_facts"]


def run_facts(book: Book, run: Run, reduced: ReducedRun) -> RunFacts:
    """Return what the run's recordings and tables say; a recording that cannot be read says why."""
    raw = Path(book.root).resolve() / CAMPAIGNS / run.campaign / RAW
    paths = {kind: raw / name for kind, name in run.files.items()}
    recording, reason = _read(book, run, paths)
    return RunFacts(
        reduced=reduced,
        air=run.air,
        note=run.note,
        files=_files(run, paths, recording, reason, read_hashes(book.root, run.campaign)),
        zeros=_zeros(recording, reduced),
        channels=() if recording is None else tuple(recording.channels),
        decision=last_decisions(book.decisions).get((run.campaign, run.name)),
    )


def _read(book: Book, run: Run, paths: Mapping[str, Path]) -> tuple[Recording | None, str]:
    rig = book.campaigns[run.campaign].rig
    try:
        return read_recording(run.name, {kind: str(path) for kind, path in paths.items()}, rig), ""
    except IsothrustError as error:
        # the run's finding tells the whole; no path of this machine belongs into a text that others are sent
        return None, f"not read [{error.code}]"


def _files(
    run: Run, paths: Mapping[str, Path], recording: Recording | None, reason: str, first_seen: Mapping[str, str]
) -> tuple[FileFacts, ...]:
    sources = {} if recording is None else {source.file: source for source in recording.sources}
    found = []
    for kind, name in run.files.items():
        path = paths[kind]
        raw = Path(split_inside(path)[0])
        source = sources.get(str(path))
        found.append(
            FileFacts(
                kind=kind,
                file=f"{CAMPAIGNS}/{run.campaign}/{RAW}/{name}",
                sha256=file_sha256(raw) if raw.is_file() else "",
                first_sha256=first_seen.get(raw_name(name, first_seen), ""),
                rows=None if source is None else source.rows,
                dialect=(reason or "not read: no channel of the rig is in it") if source is None else source.dialect,
            )
        )
    return tuple(found)


def _zeros(recording: Recording | None, reduced: ReducedRun) -> dict[str, tuple[ZeroLevel, ...]]:
    levels = {} if recording is None else zero_levels(recording)
    return {name: levels.get(name, ()) for name in reduced.zeros}
