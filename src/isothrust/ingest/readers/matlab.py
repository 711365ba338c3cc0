"""MATLAB files up to version 7: vectors, matrices and structs, these flattened to dotted names."""

from __future__ import annotations

from typing import Any, Final

import numpy as np

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.contract import Claim, Contents, Specimen
from isothrust.ingest.readers.late import late
from isothrust.ingest.readers.rehearsal import rehearse
from isothrust.ingest.readers.vectors import Found
from isothrust.tables.limits import inflated_size

__all__ = ["Matlab"]

_MAGIC: Final = b"MATLAB 5.0"
_HEAD: Final = 128
_COMPRESSED: Final = 15
_DEEPEST: Final = 8
_OBJECT: Final = "is an object of MATLAB's own (a table, timetable, datetime or string), closed to other programs"


class Matlab:
    """The reader of MATLAB files up to version 7."""

    name = "MATLAB"

    def claim(self, specimen: Specimen) -> Claim:
        """Return CONTENT for the words at the beginning; the oldest files have none, and only the name tells."""
        if specimen.beginning.startswith(_MAGIC):
            return Claim.CONTENT
        return Claim.NAME if specimen.name.endswith(".mat") else Claim.NONE

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        """Return vectors of one length as a table each."""
        del wanted
        _check_packed(specimen)
        rehearse(specimen, "matlab")
        return self.read(specimen)

    def read(self, specimen: Specimen) -> Contents:
        """Return the same, without trying first whether the file can be read at all."""
        try:
            with specimen.open() as stream:
                # Squeezing nothing keeps a struct of one element apart from an array of them.
                variables = late("scipy.io").loadmat(stream, struct_as_record=False, squeeze_me=False)
        except Exception as failure:  # noqa: BLE001 (scipy's own error is no closer kind, and a torn file sets off any)
            raise _damaged(specimen, failure) from None
        found = Found()
        for name, value in variables.items():
            if not name.startswith("__"):
                _take(found, name, value, 0)
            elif name == "__function_workspace__":
                found.skipped.setdefault("an unnamed variable", _OBJECT)
        return found.contents(specimen, "MATLAB")


def _take(found: Found, name: str, value: Any, depth: int) -> None:  # noqa: ANN401 (whatever scipy makes of it)
    """Put a variable into what was found: structs field by field, arrays of structs element by element."""
    if depth > _DEEPEST:
        found.skipped[name] = f"lies {depth} levels deep"
    elif hasattr(value, "_fieldnames"):
        for field in value._fieldnames:  # noqa: SLF001 (scipy's documented way to list the fields)
            _take(found, f"{name}.{field}", getattr(value, field), depth + 1)
    elif not isinstance(value, np.ndarray):
        found.skipped[name] = _OBJECT if "Opaque" in type(value).__name__ else f"is a {type(value).__name__}"
    elif type(value).__name__ in {"MatlabOpaque", "MatlabObject", "MatlabFunction"}:
        found.skipped[name] = _OBJECT
    elif value.dtype != object:
        _take_plain(found, name, value)
    elif value.size and all(hasattr(each, "_fieldnames") for each in value.flat):
        for place, each in enumerate(value.flat, 1):
            _take(found, name if value.size == 1 else f"{name}({place})", each, depth + 1)
    elif value.size and all(_is_text(each) for each in value.flat):
        texts = np.array([str(each.reshape(-1)[0]) if each.size else "" for each in value.flat])
        found.add(name, (texts.size,), texts.dtype, lambda: texts)
    else:
        found.skipped[name] = "is a cell array of unlike things"


def _take_plain(found: Found, name: str, value: np.ndarray[Any, np.dtype[Any]]) -> None:
    if value.dtype.kind == "U":
        found.note(name, "".join(value.reshape(-1).tolist()))
    elif value.dtype.names is not None:
        found.skipped[name] = _OBJECT
    else:
        found.add(name, value.shape, value.dtype, lambda: value)


def _is_text(each: Any) -> bool:  # noqa: ANN401
    return isinstance(each, np.ndarray) and each.dtype.kind == "U" and each.size <= 1


def _check_packed(specimen: Specimen) -> None:
    """Count what the packed variables of a file of version 5 unpack to, before any is."""
    with specimen.open() as stream:
        head = stream.read(_HEAD)
        order: Any = "little" if head[126:128] == b"IM" else "big"
        while head.startswith(_MAGIC) and len(tag := stream.read(8)) == 8:
            kind, length = int.from_bytes(tag[:4], order), int.from_bytes(tag[4:], order)
            start = stream.tell()
            if kind == _COMPRESSED:
                inflated_size(stream, length, specimen.path, wbits=15)
            stream.seek(start + length)


def _damaged(specimen: Specimen, failure: Exception) -> LogError:
    return LogError(
        f"the MATLAB file cannot be read: {failure}",
        code="damaged-file",
        where=Where(specimen.path),
        expected="a whole file of MATLAB version 4 to 7",
        fix="save the variables once more, as vectors of numbers, and copy the file anew",
    )
