"""What a reduced run depends on, as one hash: it is recomputed when, and only when, that changes."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from isothrust.records.job import RunJob

__all__ = ["input_key"]

_NO_INPUT = frozenset({"line", "note", "extra", "title"})
"""Fields that are shown to people and change no figure: editing them reduces nothing again."""


def input_key(job: RunJob, method_version: int) -> str:
    """Return the SHA-256 over everything that the job's figures depend on, the absolute place of its files left out."""
    content = {
        "method": method_version,
        "job": _plain(replace(job, files=dict.fromkeys(job.files, ""))),
    }
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=True).encode("ascii")).hexdigest()


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
