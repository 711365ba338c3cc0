"""What a reduced run depends on, as one hash: it is recomputed when, and only when, that changes."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from isothrust.records.job import RunJob
from isothrust.records.reduced import Estimate

__all__ = ["input_key", "input_parts", "results_key"]

_SHORT = 12
"""Hexadecimal digits of a part's hash: two that differ are not mistaken for one another in a lifetime."""
_NO_INPUT = frozenset({"line", "note", "extra", "title"})
"""Fields that are shown to people and change no figure: editing them reduces nothing again."""


def input_key(job: RunJob, method_version: int) -> str:
    """Return the SHA-256 over everything that the job's figures depend on, the absolute place of its files left out."""
    content = {
        "method": method_version,
        "job": _plain(replace(job, files=dict.fromkeys(job.files, ""))),
    }
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=True).encode("ascii")).hexdigest()


def results_key(content: Mapping[str, object]) -> str:
    """Return the SHA-256 over what a book's results rest on: the keys of its runs, its decisions, what is asked."""
    return hashlib.sha256(json.dumps(_plain(content), sort_keys=True, ensure_ascii=True).encode("ascii")).hexdigest()


def input_parts(job: RunJob, method_version: int) -> dict[str, str]:
    """Return a short hash of each part of what the figures depend on, to tell later which of them changed.

    A part is a field of the run's row, the rig, the design or the motor (`run.air`, `rig.obstruction`), a channel of
    the rig (`rig.channels.thrust`), a recording (`hashes.log`), or one of `standard_density`, `inertia` and `method`.
    """
    parts = {"method": _short(method_version)}
    for field in fields(job):
        if field.name == "files":
            continue
        value = getattr(job, field.name)
        inner = _inner(value)
        parts |= {f"{field.name}.{name}": _short(item) for name, item in inner.items()}
        if not inner:
            parts[field.name] = _short(value)
    return parts


def _inner(value: Any) -> dict[str, Any]:  # noqa: ANN401 (any record's value)
    """Return what a record or a mapping holds, the channels of a rig one by one; nothing of anything else."""
    if isinstance(value, Mapping):
        return {str(name): item for name, item in value.items()}
    if not is_dataclass(value) or isinstance(value, Estimate):
        return {}
    found = {field.name: getattr(value, field.name) for field in fields(value) if field.name not in _NO_INPUT}
    channels = found.pop("channels", {})
    return found | {f"channels.{name}": plan for name, plan in channels.items()}


def _short(value: Any) -> str:  # noqa: ANN401 (any record's value)
    text = json.dumps(_plain(value), sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:_SHORT]


def _plain(value: Any) -> Any:  # noqa: ANN401 (any record's value)
    if is_dataclass(value) and not isinstance(value, type):
        inputs = [field.name for field in fields(value) if field.name not in _NO_INPUT]
        return {name: _plain(getattr(value, name)) for name in inputs}
    if isinstance(value, Mapping):
        return {str(name): _plain(item) for name, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item) for item in value]
    if value is None or isinstance(value, bool | int | str):
        return value
    # The shortest decimal that reads back as the same float: no rounding hides a change, and inf and nan have a name.
    return repr(float(value))
