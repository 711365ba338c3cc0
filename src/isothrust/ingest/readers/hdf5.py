"""HDF5: datasets and tables of any program, and MATLAB's files of version 7.3, which are HDF5 inside."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from isothrust.errors import LogError, Where
from isothrust.ingest.readers.contract import Claim, Contents, Specimen
from isothrust.ingest.readers.late import late
from isothrust.ingest.readers.rehearsal import rehearse
from isothrust.ingest.readers.vectors import Found, Vector
from isothrust.tables.limits import check_expansion

__all__ = ["HDF5"]

_MAGIC: Final = b"\x89HDF\r\n\x1a\n"
_PLACES: Final = (0, 512, 1024, 2048)
_DEEPEST: Final = 8
_OWN: Final = "#"
"""MATLAB keeps what its variables refer to in groups whose names begin so."""


class HDF5:
    """The reader of HDF5 files, MATLAB's among them."""

    name = "HDF5"

    def claim(self, specimen: Specimen) -> Claim:
        """Return CONTENT for the signature, which may follow a block of the writer's own."""
        if any(specimen.beginning[place : place + len(_MAGIC)] == _MAGIC for place in _PLACES):
            return Claim.CONTENT
        return Claim.NAME if specimen.name.endswith((".h5", ".hdf5", ".hdf", ".he5")) else Claim.NONE

    def contents(self, specimen: Specimen, wanted: str) -> Contents:
        """Return the tables of the file; nothing but shapes is kept before a column is asked for."""
        del wanted
        rehearse(specimen, "hdf5")
        return self.read(specimen)

    def read(self, specimen: Specimen) -> Contents:
        """Return the same, without trying first whether the file can be read at all."""
        words = "MATLAB 7.3" if specimen.beginning.startswith(b"MATLAB") else "HDF5"
        walk = _Walk(specimen, Found(), matlab=words != "HDF5")
        with _opened(specimen) as file:
            walk.group(file, "", 0)
        return walk.found.contents(specimen, words)


@contextmanager
def _opened(specimen: Specimen) -> Iterator[Any]:
    try:
        with late("h5py").File(specimen.path if specimen.data is None else specimen.open(), "r") as file:
            yield file
    except (OSError, RuntimeError, KeyError, ValueError, TypeError) as failure:
        raise LogError(
            f"the HDF5 file cannot be read: {failure}",
            code="damaged-file",
            where=Where(specimen.path),
            expected="a whole HDF5 file",
            fix="copy the file again from where it was recorded",
        ) from None


@dataclass(frozen=True, slots=True)
class _Walk:
    """One way through a file."""

    specimen: Specimen
    found: Found
    matlab: bool

    def group(self, group: Any, name: str, depth: int) -> None:  # noqa: ANN401 (h5py has no types)
        """Look at everything in a group."""
        if depth > _DEEPEST:
            self.found.skipped[name] = f"lies {depth} levels deep"
            return
        for key in group:
            link = group.get(key, getlink=True)
            if key.startswith(_OWN) or not isinstance(link, late("h5py").HardLink):
                continue  # a link may lead out of the file, or round in a circle
            item, path = group[key], f"{name}.{key}" if name else key
            if isinstance(item, late("h5py").Group):
                self.group(item, path, depth + 1)
            elif isinstance(item, late("h5py").Dataset):
                self.dataset(item, path, depth, group=name)
            else:
                self.found.skipped[path] = "names a kind of data and holds none"

    def dataset(self, item: Any, name: str, depth: int, *, group: str) -> None:  # noqa: ANN401
        """Look at one dataset: a table, an array, or references to others."""
        if item.shape is None or item.attrs.get("MATLAB_empty"):
            return
        check_expansion(float(item.size) * item.dtype.itemsize, self.specimen.size, self.specimen.path)
        before = len(self.found.vectors)
        if item.dtype.names is not None:
            self._compound(item, name)
        elif item.dtype.kind == "O" and item.dtype.metadata and "ref" in item.dtype.metadata:
            self._referred(item, name, depth)
        elif self.matlab and item.attrs.get("MATLAB_class", b"") == b"char":
            self.found.note(name, "".join(map(chr, np.asarray(item).T.reshape(-1).tolist())))
        elif item.dtype.kind == "O":
            self._texts(item, name)
        else:
            shape = item.shape[::-1] if self.matlab else item.shape
            self.found.add(name, shape, item.dtype, self._reading(item.name))
        unit = _unit(item)
        for place in range(before, len(self.found.vectors)):
            vector = self.found.vectors[place]
            own = vector.group or ("" if self.matlab else group)
            self.found.vectors[place] = replace(vector, unit=vector.unit or unit, group=own)

    def _compound(self, item: Any, name: str) -> None:  # noqa: ANN401
        """Take over a table with named columns."""
        if len(item.shape) != 1:
            self.found.skipped[name] = f"is a table with {len(item.shape)} dimensions"
            return
        for field in item.dtype.names:
            kind = item.dtype[field]
            found = Found()
            found.add(field, (item.shape[0], *kind.shape), kind.base, self._reading(item.name, field))
            self.found.vectors += [replace(vector, group=name) for vector in found.vectors]
            self.found.skipped.update({f"{name}.{each}": why for each, why in found.skipped.items()})

    def _referred(self, item: Any, name: str, depth: int) -> None:  # noqa: ANN401
        """Follow the references of MATLAB's arrays of structs and cells."""
        if item.attrs.get("MATLAB_class", b"") not in (b"", b"struct"):
            self.found.skipped[name] = "is a cell array or an object of MATLAB's own"
            return
        if depth > _DEEPEST or item.size > 1000:
            self.found.skipped[name] = f"refers to {item.size} other things"
            return
        group, _, field = name.rpartition(".")
        for place, reference in enumerate(np.asarray(item).T.reshape(-1), 1):
            target = item.file[reference] if reference else None
            said = f"{group}({place}).{field}" if item.size > 1 else name
            if isinstance(target, late("h5py").Dataset):
                self.dataset(target, said, depth + 1, group="")
            elif target is not None:
                self.group(target, said, depth + 1)

    def _texts(self, item: Any, name: str) -> None:  # noqa: ANN401
        if len(item.shape) == 1 and late("h5py").check_string_dtype(item.dtype) is not None:
            vector = Vector(name, item.shape[0], self._reading(item.name), np.dtype("O"))
            self.found.vectors.append(vector)
        else:
            self.found.skipped[name] = "holds objects and no numbers"

    def _reading(self, place: str, field: str | None = None) -> Any:  # noqa: ANN401
        specimen, matlab = self.specimen, self.matlab

        def read() -> NDArray[np.generic]:
            with _opened(specimen) as file:
                values = file[place][()] if field is None else file[place].fields(field)[()]
            return np.asarray(values.T if matlab else values)

        return read


def _unit(item: Any) -> str | None:  # noqa: ANN401
    """Return the unit that a dataset's attributes tell."""
    for key in ("units", "unit", "Units", "Unit"):
        if isinstance(value := item.attrs.get(key), str | bytes):
            return value.decode("utf-8", "replace") if isinstance(value, bytes) else value
    return None
